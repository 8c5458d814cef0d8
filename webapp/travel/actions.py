"""Plans a change of a saved setup's travel, and saves it as a new revision."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules import Problem, RequestError
from setup_rules.advice import travel_plan
from setup_rules.advice.travel_plan import TravelPlan, TravelWish
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say
from webapp.setups.actions.append_revision import append_revision, conflict
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.revision import Revision
from webapp.travel.wording import describe_change


@dataclass(frozen=True, slots=True)
class PlannedTravel:
    """A plan and the saved setup that it starts from."""

    saved: Revision
    plan: TravelPlan


def plan_travel(code_text: str, wish: TravelWish) -> PlannedTravel:
    """Return how the newest revision behind a code gets the wanted travel. Nothing is saved.

    Raises
    ------
    setup_rules.RequestError
        When unit, frame or fork do not allow it.
    LinkUnknownError, LinkGoneError
        As in `find_setup`.
    """
    saved = find_setup(code_text)
    return PlannedTravel(saved, travel_plan.plan_travel(saved.setup, wish))


def change_travel(code_text: str, wish: TravelWish, base_revision: int, chosen: int = 0) -> Revision:
    """Save the planned travel as a new revision with the stack number `chosen` of the plan, and return it.

    Raises
    ------
    setup_rules.RequestError
        As `plan_travel`, and when no stack of the spacers on hand gives the travel.
    ConflictError
        When the setup was changed since `base_revision` was looked at.
    """
    planned = plan_travel(code_text, wish)
    plan, exact = planned.plan, planned.plan.stacks.exact
    if plan.after is None or not exact:
        message = _("These spacers do not give this travel. Choose a travel from the list, or add another spacer size.")
        raise RequestError((Problem("travel_mm", message),))
    if planned.saved.number != base_revision:
        raise conflict(planned.saved.number)
    before = planned.saved.setup.request.front
    done = describe_change(before.travel_mm if before else 0.0, wish.travel_mm, exact[chosen % len(exact)])
    # The card's line is a text, as what people type there is: it stays in the words of whoever changed the travel.
    texts = planned.saved.texts.with_service(say(done))
    return append_revision(planned.saved.followed_by(plan.after, kind="travel_change", reason=done, texts=texts))
