"""Asks who wants to know what another rider's weight would change for the weight that was saved.

A what-if for any weight, free of charge, is a solver: nine of them, each halving what is left, find the weight at which
the pressure is the card's, and one that answers "nothing changed" finds it at once. Decided: whoever changes the
rider's weight says the saved one first, as its rider can, and a wrong one is told so a few times a day and no more,
with nothing about how far off it was. The owner's link needs no such proof, nor does the staff of the shop that made
the setup: neither is ever limited, so that a stranger's guesses keep nobody out for good. To answer in relative
figures instead would not do: a ratio of two pressures tells the load just as well.

The kit is held in the same way. A pressure follows from rider and kit together, so that it leaves the rider's weight as
open as the kit is; but what-ifs with another kit find the one that was saved, by the pressure that comes back, and
with it the rider. No page says the kit for the same reason. A chart of
one's own is a solver too: it makes any pressure of any weight, so that a what-if with one needs the proof as well.

What this does not hide: the pressure on the card tells the sum of rider and kit to whoever knows the bike, to the half
kilogram that is stored. `tests/webapp/checks/test_weight_posterior.py` shows how far that leaves the rider open.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from typing import Any, Final

from setup_rules import Problem, RequestError, Setup
from webapp.accounts.actions.throttle import count_guess, forget_guesses
from webapp.checks.weight_proof import WeightProof
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.client_network import client_network
from webapp.ground.link_codes import normalise
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_by_owner_key import find_by_owner_key
from webapp.setups.actions.round_weights import STEP_KG
from webapp.setups.actions.shop_setups import is_of_shop

#: How far from the saved weight the weight that is said may be [kg]: what rounding does to it, in pounds too.
TOLERANCE_KG: Final = STEP_KG
#: The most guesses at one setup's weight that are looked at in a day: from one network, and from all of them. The first
#: keeps a stranger's guesses from using up the rider's, the second keeps many networks from finding the weight.
WRONG_A_DAY: Final = 3
WRONG_EVERYWHERE: Final = 9
_DAY: Final = timedelta(days=1)
#: A scale reading held against the saved weights says how far off it is: the proof comes first.
SCALE: Final = ("front_axle_kg", "rear_axle_kg", "weighed_kg", "weighed_stance")
#: What a what-if changes only for who knows the rider or owns the setup, beside charts.
_PERSONAL: Final = ("rider_mass_kg", "kit_mass_kg", *SCALE)


def prove_weight(code_text: str, setup: Setup, changes: Mapping[str, Any], proof: WeightProof) -> None:
    """Return when `changes` leave the weight of rider and kit alone, or who asks for them knows it or owns the setup.

    Raises
    ------
    RequestError
        In every other case, with the field `rider_mass_now_kg`: the same for any weight that is wrong.
    """
    if not _is_personal(changes):
        return
    code = normalise(code_text)
    if (
        proof.entered_here
        or (proof.owner_link and _is_owners(proof.owner_link, code))
        or is_of_shop(code, proof.shop_id)
    ):
        return
    if proof.now_kg is None and proof.owner_link:
        raise _refusal(_("This is not the owner's link of this setup. Check the link, or enter “Rider weight now”."))
    if proof.now_kg is None:
        raise _refusal(_("Enter “Rider weight now”, the weight that was saved, or the owner's link."))
    everywhere = f"weight of {code}"
    here = f"{everywhere} from {client_network(proof.address)}"
    if count_guess(here, _DAY) > WRONG_A_DAY or count_guess(everywhere, _DAY) > WRONG_EVERYWHERE:
        raise _refusal(_("Too many wrong weights today. Try again tomorrow, use the owner's link, or ask the shop."))
    if abs(proof.now_kg - setup.request.rider_mass_kg) > TOLERANCE_KG:
        raise _refusal(
            _("“Rider weight now” is not the weight that was saved. Ask the rider, or use the owner's link.")
        )
    for subject in (here, everywhere):
        forget_guesses(subject)


def _is_personal(changes: Mapping[str, Any]) -> bool:
    """Return whether changes would tell a weight: rider, kit, a scale, or a spring of one's own.

    A chart and a spring that somebody knows have a pressure for each weight.
    """
    ends = (changes.get(end) for end in ("front", "rear"))
    fields = {name for end in ends if isinstance(end, Mapping) for name in end}
    return any(name in changes for name in _PERSONAL) or any(
        name.startswith(("chart", "spring_test")) for name in fields
    )


def asks_the_scale(changes: Mapping[str, Any]) -> bool:
    """Return whether changes hold a scale reading, which the rules would weigh against the saved masses."""
    return any(name in changes for name in SCALE)


def _is_owners(link: str, code: str) -> bool:
    try:
        return find_by_owner_key(link.rstrip("/").rpartition("/")[2]).code == code
    except (LinkUnknownError, LinkGoneError):
        return False


def _refusal(message: str) -> RequestError:
    return RequestError((Problem("rider_mass_now_kg", message),))
