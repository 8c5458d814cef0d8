"""A shop's own checklist: what every new record starts with."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from setup_rules.workshop.checklist import DEFAULT_STEPS, MOST_STEPS, Step
from webapp.accounts.queries import hold_shop
from webapp.accounts.staff import StaffMember
from webapp.ground.action_errors import ActionError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.workshop.actions.records import checklist_of
from webapp.workshop.queries import records as record_queries


class ChecklistError(ActionError, ValueError):
    """A checklist that cannot be: a fixed step is missing, or there are too many."""


def find_checklist(shop_id: int) -> tuple[Step, ...]:
    """Return the checklist that the shop's new records start with."""
    with database.read() as connection:
        return checklist_of(connection, shop_id)


def save_checklist(member: StaffMember, steps: Sequence[Step]) -> None:
    """Replace the shop's checklist; records that are open keep theirs.

    Raises
    ------
    ChecklistError
        When one of the fixed steps of safety is missing, a key comes twice, or there are too many steps.
    """
    keys = [step.key for step in steps]
    fixed = {step.key for step in DEFAULT_STEPS if step.fixed}
    kept = {step.key for step in steps if step.safety and step.fixed}
    if not fixed <= kept or len(set(keys)) != len(keys):
        raise ChecklistError(_("The fixed safety steps cannot be removed. Reload the page."))
    if len(steps) > MOST_STEPS:
        raise ChecklistError(_("A checklist can have at most %(most)d steps. Remove some.", most=MOST_STEPS))
    with database.write() as connection:
        hold_shop(connection, member.shop_id)
        record_queries.store_checklist(connection, member.shop_id, steps, datetime.now(UTC), member.staff_id)
