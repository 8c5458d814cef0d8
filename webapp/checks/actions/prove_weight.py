"""Asks who wants to know what another rider's weight would change for the weight that was saved.

A what-if for any weight, free of charge, is a solver: nine of them, each halving what is left, find the weight at which
the pressure is the card's, and one that answers "nothing changed" finds it at once. Decided: whoever changes the
rider's weight says the saved one first, as its rider can, and a wrong one is told so a few times a day and no more,
with nothing about how far off it was. The owner's link needs no such proof. To answer in relative figures instead
would not do: a ratio of two pressures tells the load just as well.

What this does not hide: the pressure and the load [N] that the card's page shows follow from the weight, so that
whoever knows everything else that was entered can work back from them; a change of kit tells no more than they do.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any, Final

from setup_rules import Problem, RequestError, Setup
from webapp.accounts.actions.throttle import count_guess, forget_guesses
from webapp.checks.weight_proof import WeightProof
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.link_codes import normalise
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_by_owner_key import find_by_owner_key
from webapp.setups.actions.round_weights import STEP_KG

#: How far from the saved weight the weight that is said may be [kg]: what rounding does to it, in pounds too.
TOLERANCE_KG: Final = STEP_KG
#: The most guesses at one setup's weight that are looked at in a day.
WRONG_A_DAY: Final = 3
_DAY: Final = timedelta(days=1)


def prove_weight(code_text: str, setup: Setup, changes: Mapping[str, Any], proof: WeightProof) -> None:
    """Return when `changes` leave the rider's weight alone, or who asks for them knows it or owns the setup.

    Raises
    ------
    RequestError
        In every other case, with the field `rider_mass_now_kg`: the same for any weight that is wrong.
    """
    if "rider_mass_kg" not in changes:
        return
    code = normalise(code_text)
    if proof.owner_link and _is_owners(proof.owner_link, code):
        return
    if proof.now_kg is None:
        raise _refusal(_("Enter “Rider weight now”, the weight that was saved, or the owner's link."))
    if count_guess(f"weight of {code}", _DAY) > WRONG_A_DAY:
        raise _refusal(_("Too many wrong weights today. Try again tomorrow, or use the owner's link."))
    if abs(proof.now_kg - setup.request.rider_mass_kg) > TOLERANCE_KG:
        raise _refusal(
            _("“Rider weight now” is not the weight that was saved. Ask the rider, or use the owner's link.")
        )
    forget_guesses(f"weight of {code}")


def _is_owners(link: str, code: str) -> bool:
    try:
        return find_by_owner_key(link.rstrip("/").rpartition("/")[2]).code == code
    except (LinkUnknownError, LinkGoneError):
        return False


def _refusal(message: str) -> RequestError:
    return RequestError((Problem("rider_mass_now_kg", message),))
