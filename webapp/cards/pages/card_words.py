"""Texts of a card in two lengths, and those that every card carries."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from webapp.ground.text.i18n import gettext as _


@dataclass(frozen=True, slots=True)
class Words:
    """One text in full and as the small label says it."""

    full: str
    short: str

    def on(self, *, compact: bool) -> str:
        """Return the text for a card that is compact, or not."""
        return self.short if compact else self.full


NO_WORDS: Final = Words("", "")


def link_words(*, local: bool = False, dead: bool = False, later: bool = False) -> Words:
    """Return what a card says of its link: nothing where it simply works.

    `dead`: it would not work at home, so that the card has no QR code. `local`: it works on this machine or network
    only. `later`: it works once the setup has been moved.
    """
    if dead:
        return Words(
            _("No QR code, as it would not work at home. All numbers are on this card."),
            _("No QR code, as it would not work at home."),
        )
    if local:
        return Words(_("Works only on the network where it was made."), _("The link works only here."))
    if later:
        return Words(_("Works as soon as the shop has put the day online."), _("Works once the shop is online."))
    return NO_WORDS


def safety_words() -> Words:
    """Return the safety line of a card's front."""
    return Words(
        _(
            "Clicks count out from fully closed. Starting point only: follow the manual, the printed "
            "maximum and local rules. Before opening, let all air out and wear eye protection. Damage or "
            "play: do not ride, see a qualified mechanic."
        ),
        _("Clicks: out from fully closed. Starting point only: follow the manual and the printed maximum."),
    )


def coil_safety_words() -> Words:
    """Return the safety line of a card with coil springs alone."""
    return Words(
        _(
            "Clicks count out from fully closed. Starting point only: follow the manual, its preload limits and local "
            "rules. Before taking a spring off, turn the preload back. Damage or play: do not ride, see a qualified "
            "mechanic."
        ),
        _("Clicks: out from fully closed. Starting point only: follow the manual and its preload limits."),
    )


def shop_line(name: str, phone: str, initials: str) -> str:
    """Return which shop a card is from and who set it, in one line, "" where it is from none."""
    set_by = _("set by %(initials)s", initials=initials) if initials else ""
    return " · ".join(part for part in (name, phone, set_by) if part) if name else ""
