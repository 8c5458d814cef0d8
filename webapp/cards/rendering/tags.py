"""Tags for things that are scanned again and again, such as a shop's bikes: a title in large letters and a QR code."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from webapp.cards.rendering.renderer import TAG, print_card
from webapp.cards.rendering.sizes import CardSize, SheetSize, card_size_of, sheet_of
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import language


@dataclass(frozen=True, slots=True)
class Tag:
    """A tag: what it is called, what its code opens, and a line below the title, such as the bike's label."""

    name: str
    address: str
    line: str = ""

    @property
    def title(self) -> str:
        """The document's title."""
        return _("Tag: %(name)s", name=self.name)


def print_tags(tags: Sequence[Tag], size: CardSize | SheetSize) -> bytes:
    """Return tags as one PDF: on sheets with cut marks, or one a page of a card's size.

    Parameters
    ----------
    tags : sequence of Tag
        At least one, each with an address.
    size : CardSize or SheetSize
        As cards are printed in.

    Raises as `renderer.print_card` does.
    """
    from webapp.cards.rendering.sheets import lay_on_sheets

    cards = [print_card(tag, card_size_of(size), TAG) for tag in tags]
    return lay_on_sheets(cards, sheet_of(size), _("Tags"), language())
