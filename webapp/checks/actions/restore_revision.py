"""Restores an earlier revision as a new one."""

from __future__ import annotations

from dataclasses import replace

from setup_rules import Problem, RequestError, Setup
from setup_rules.messages.message import Message
from webapp.checks.actions.save_correction import Correction, save_correction
from webapp.ground.text.i18n import gettext as _
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.revision import Revision


def restore_revision(
    code_text: str, revision: int, *, base_revision: int | None = None, idempotency_key: str | None = None
) -> Revision:
    """Save an earlier revision of the setup behind a code again, as its newest.

    Its numbers come back exactly, and so does what was known then: a sag check that was mistaken is undone by going
    back to before it. The revisions in between stay.

    Raises
    ------
    RequestError
        When that revision is the newest already.
    LinkUnknownError
        When there is no such revision, or as in `find_setup`.
    ConflictError, IdempotencyError, LinkGoneError
        As in `save_correction`.
    """
    earlier = find_setup(code_text, revision)
    correction = Correction(
        kind="restored",
        reason=Message.of("revision.restored", number=revision),
        asked=revision,
        apply=lambda newest: _bring_back(newest, earlier),
    )
    return save_correction(code_text, correction, base_revision=base_revision, idempotency_key=idempotency_key)


def _bring_back(newest: Setup, earlier: Revision) -> Setup:
    back = replace(earlier.setup, advice=(), settled=None)
    if back == replace(newest, advice=(), settled=None):
        message = _("Version %(number)d is already the current version.", number=earlier.number)
        raise RequestError((Problem("revision", message),))
    return back
