"""What every correction shares around its rule: saved once per key, based on the newest revision, appended."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from setup_rules import Problem, RequestError, Setup
from webapp.ground.hashes import body_fingerprint, secret_hash
from webapp.ground.refusals import ConflictError
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.append_revision import NextRevision, append_revision, conflict, repeated_revision
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.saved import SavedSetup

#: How often a correction that named no base is worked out again because another one was saved meanwhile.
_ATTEMPTS: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction:
    """A correction: its stable kind, the reason in one sentence, what was asked as plain data, and the rule."""

    kind: str
    reason: str
    asked: Any
    apply: Callable[[Setup], Setup]


def save_correction(
    code_text: str, correction: Correction, *, base_revision: int | None, idempotency_key: str | None
) -> SavedSetup:
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
    fingerprint = body_fingerprint([correction.kind, correction.asked, base_revision])
    key_hash = secret_hash(idempotency_key) if idempotency_key else None
    if repeated := repeated_revision(code_text, key_hash, fingerprint):
        return repeated
    for left in reversed(range(_ATTEMPTS)):
        base = _base(code_text, base_revision)
        wanted = NextRevision(
            base_revision=base.revision,
            setup=correction.apply(base.setup),
            kind=correction.kind,
            reason=correction.reason,
            idempotency_key=idempotency_key,
            fingerprint=fingerprint,
        )
        try:
            return append_revision(code_text, wanted)
        except ConflictError as error:
            if base_revision is not None or not left:
                error.latest = find_setup(code_text)
                raise
    raise AssertionError("the last attempt returns or raises")


def _base(code_text: str, base_revision: int | None) -> SavedSetup:
    latest = find_setup(code_text)
    if base_revision is None or base_revision == latest.revision:
        return latest
    if not 1 <= base_revision < latest.revision:
        message = _("This setup has no version %(number)s.", number=str(base_revision)[:20])
        raise RequestError((Problem("base_revision", message),))
    error = conflict(latest.revision)
    error.latest = latest
    raise error


def end_word(end: str) -> str:
    """Return what people call a spring end: fork or shock."""
    return _("fork") if end == "front" else _("shock")
