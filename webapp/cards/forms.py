"""Which size and which side of a card is printed: a form that changes nothing and rides in the address."""

from __future__ import annotations

from webapp.cards.rendering.sizes import CARD_SIZES, DEFAULT_SIZE, SHEET_SIZES, CardSize, SheetSize
from webapp.ground.fields.page_form import TokenlessForm
from webapp.ground.fields.text_and_choice import ChoiceField
from webapp.ground.text.i18n import lazy_gettext as _l

_SIZES: tuple[CardSize | SheetSize, ...] = (*CARD_SIZES.values(), *SHEET_SIZES.values())


class PrintForm(TokenlessForm):
    """Every size that a card is printed in, and its sides."""

    size = ChoiceField(
        tuple((one.name, one.label, "") for one in _SIZES),
        _l("Size"),
        default=DEFAULT_SIZE,
    )
    side = ChoiceField(
        (("both", _l("Both sides"), ""), ("front", _l("Front"), ""), ("back", _l("Back"), "")),
        _l("Side"),
        default="both",
    )
