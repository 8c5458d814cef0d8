"""Gives a borrowed bike back to its own rider: the numbers as they were, and what was learned meanwhile."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from setup_rules import Problem, RequestError, Setup, request_data, what_if
from setup_rules.messages.message import Message
from webapp.checks.actions.save_correction import Correction, save_correction
from webapp.checks.changed_keys import differing
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_borrower import Borrower, find_borrower
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.revision import Revision

#: Kept with a scale reading and changed by nobody.
_OF_THE_SCALES_DAY = ("weighed_kg", "weighed_stance")
#: Printed on the fork or shock: whoever read it while the bike was lent, it holds for its own rider, too.
_PRINTED = ("max_pressure_psi", "second_max_pressure_psi", "min_pressure_psi")


def return_bike(code_text: str, *, base_revision: int | None = None, idempotency_key: str | None = None) -> Revision:
    """Save the setup behind a code for its own rider again (raises as `save_correction`).

    Raises
    ------
    RequestError
        When nobody has borrowed it.
    """
    borrower = find_borrower(find_setup(code_text, base_revision))
    if borrower is None:
        raise RequestError((Problem("revision", _("This bike is not borrowed.")),))
    correction = Correction(
        kind="returned",
        reason=Message.of("revision.returned", name=borrower.name),
        asked=[borrower.since, borrower.before],
        apply=lambda newest: _give_back(code_text, newest, borrower),
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)


def _give_back(code_text: str, newest: Setup, borrower: Borrower) -> Setup:
    """Return the setup before it was lent, to its last digit; with what was measured meanwhile, where anything was."""
    lent, before = (find_setup(code_text, number).setup for number in (borrower.since, borrower.before))
    changes = differing(request_data(lent.request), request_data(before.request))
    printed = [end.pop(key) for end in _ends_of(changes) for key in _PRINTED if key in end]
    if not printed and newest.checks == before.checks and newest.request == lent.request:
        return replace(before, advice=(), settled=None)
    for key in _OF_THE_SCALES_DAY:
        changes.pop(key, None)
    return what_if(newest, changes)


def _ends_of(changes: dict[str, Any]) -> list[dict[str, Any]]:
    return [end for name in ("front", "rear") if isinstance(end := changes.get(name), dict)]
