"""What every correction shares around its rule: saved once per key, based on the newest revision, appended."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from setup_rules import Problem, RequestError, Setup
from setup_rules.messages.message import Message
from webapp.ground.action_errors import ConflictError
from webapp.ground.hashes import repeat_key
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.append_revision import append_revision, conflict, repeated_revision
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.revision import CardTexts, Revision

#: How often a correction that named no base is worked out again because another one was saved meanwhile.
_ATTEMPTS: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """A correction: its stable kind, the reason as a message, what was asked as plain data, and the rule.

    A reason that tells what became of the setup is made from what it was and what it is. Without `texts` those of the
    card stay.
    """

    kind: str
    reason: Message | Callable[[Setup, Setup], Message]
    asked: Any
    apply: Callable[[Setup], Setup]
    texts: CardTexts | None = None


def save_correction(
    code_text: str, correction: Correction, *, base_revision: int | None, idempotency_key: str | None
) -> Revision:
    """Apply a correction to the setup behind a code and save the outcome as its newest revision.

    Parameters
    ----------
    base_revision : int or None
        The revision that the caller looked at; None for whichever is the newest, also when another one is saved
        while this one is calculated.
    idempotency_key : str or None
        The client's key: the same correction again under it answers with the same revision.

    Raises
    ------
    ConflictError
        When `base_revision` is not the newest any more; `latest` holds that one. Nothing was saved or lost.
    IdempotencyError
        When the key was used for something else.
    RequestError
        When the rules refuse the correction, or there never was such a base revision.
    LinkUnknownError, LinkGoneError
        As in `find_setup`.
    """
    key = repeat_key(idempotency_key, [correction.kind, correction.asked, base_revision])
    if repeated := repeated_revision(code_text, key):
        return repeated
    for left in reversed(range(_ATTEMPTS)):
        base = _find_base(code_text, base_revision)
        new = _follow(base, correction)
        try:
            return append_revision(new, key)
        except ConflictError as error:
            if base_revision is not None or not left:
                error.latest = find_setup(code_text)
                raise
    raise AssertionError("the last attempt returns or raises")


def _follow(base: Revision, correction: Correction) -> Revision:
    corrected, reason = correction.apply(base.setup), correction.reason
    said = reason if isinstance(reason, Message) else reason(base.setup, corrected)
    return base.followed_by(corrected, kind=correction.kind, reason=said, texts=correction.texts)


def _find_base(code_text: str, base_revision: int | None) -> Revision:
    latest = find_setup(code_text)
    if base_revision is None or base_revision == latest.number:
        return latest
    if not 1 <= base_revision < latest.number:
        message = _("This setup has no version %(number)s.", number=str(base_revision)[:20])
        raise RequestError((Problem("base_revision", message),))
    error = conflict(latest.number)
    error.latest = latest
    raise error
