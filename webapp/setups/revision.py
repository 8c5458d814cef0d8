"""A saved setup at one revision: the one shape that is stored, shown, and followed by the next."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Final

from setup_rules import Setup
from setup_rules.messages.message import Message
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH, SERVICE_NOTE_LENGTH


@dataclass(frozen=True, slots=True)
class CardTexts:
    """The free texts of a card: what to call the bike, and what was serviced, one line each."""

    bike_label: str = ""
    service_note: str = ""

    def with_service(self, service_note: str, *, bike_label: str = "") -> CardTexts:
        """Return the texts after a service; `bike_label` counts only where the bike had none."""
        return CardTexts(self.bike_label or bike_label, service_note)


NO_TEXTS: Final = CardTexts()
#: The most characters of each text, by its key in the JSON interface.
TEXT_LENGTHS: Final = {"bike_label": BIKE_LABEL_LENGTH, "service_note": SERVICE_NOTE_LENGTH}


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """One immutable revision of a saved setup.

    `kind` is a short stable word for what led to it, such as ``sag_check_front`` (at most 32 characters), `reason` why
    it was saved: a message, or the text of a revision that was saved before reasons were messages. `created_at` is the
    revision's own moment, `expires_at` the day on which its setup is purged (both aware, UTC). `latest_number` is that
    of the setup's newest revision.
    """

    code: str
    number: int = 1
    latest_number: int = 1
    base_number: int | None = None
    kind: str = "created"
    reason: Message | str
    texts: CardTexts = NO_TEXTS
    setup: Setup
    created_at: datetime
    expires_at: datetime | None = None

    @property
    def is_latest(self) -> bool:
        """Whether no newer revision was saved."""
        return self.number == self.latest_number

    def followed_by(
        self, setup: Setup, *, kind: str, reason: Message | str, texts: CardTexts | None = None
    ) -> Revision:
        """Return the next revision, made from this one; without `texts` those of this one stay."""
        return replace(
            self,
            number=self.number + 1,
            latest_number=self.number + 1,
            base_number=self.number,
            kind=kind,
            reason=reason,
            texts=self.texts if texts is None else texts,
            setup=setup,
            created_at=datetime.now(UTC),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class CreatedSetup:
    """A setup just saved. `owner_key` exists here only; None when an earlier, repeated save is answered."""

    saved: Revision
    owner_key: str | None
