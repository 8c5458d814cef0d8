"""The sizes a card is printed in: single cards and labels, and sheets that carry finished cards with cut marks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from webapp.ground.text.i18n import LazyText, gettext
from webapp.ground.text.i18n import lazy_gettext as _

#: One typographic point in millimetres (72 to the inch).
POINT_MM: Final = 25.4 / 72


class UnknownSizeError(ValueError):
    """A size is asked for that no card is printed in; the message lists the sizes that are known."""

    def __init__(self, name: str) -> None:
        known = ", ".join([*CARD_SIZES, *SHEET_SIZES])
        super().__init__(
            gettext("The card size %(name)s is not known. Use one of: %(known)s.", name=repr(name[:40]), known=known)
        )


@dataclass(frozen=True, slots=True)
class Step:
    """How tight a card is set: a class in `print.css`, how many cautions are spelt out, and what else it holds.

    Without `extra` it leaves rows out that the setup's page has too, without `elsewhere` what the sag reads where the
    spring is set; `short` remarks are in their few words.
    """

    name: str
    cautions: int
    service: bool = True
    room_to_write: bool = True
    extra: bool = False
    short: bool = False
    elsewhere: bool = True


@dataclass(frozen=True, slots=True)
class CardSize:
    """One card on a page of its own.

    `qr_mm` is the side of the code with its quiet zone, `steps` are tried in order, from roomy to tight, until
    the card fits its page. A compact size is too small for the explanations beside the numbers.
    """

    name: str
    label: LazyText
    width_mm: float
    height_mm: float
    qr_mm: float
    steps: tuple[Step, ...]
    compact: bool = False

    def styles(self, step: Step) -> tuple[str, ...]:
        """Return the style sheets that a card of this size needs at `step`, the strongest last."""
        tight = ("print-tight.css",) if step is not self.steps[0] else ()
        return ("print.css", *tight, *(("print-label.css",) if self.compact else ()))


@dataclass(frozen=True, slots=True)
class SheetSize:
    """A sheet that carries `columns` × `rows` finished cards of size `card`, centred, with marks to cut along."""

    name: str
    label: LazyText
    width_mm: float
    height_mm: float
    columns: int
    rows: int
    card: str = "a6"

    @property
    def places(self) -> int:
        """How many cards fit on one sheet."""
        return self.columns * self.rows


#: What is least needed goes first: the minimum pressure, remarks in words, room to write, the service note. The maximum
#: pressure stays, and the first caution is left to the page only where nothing else helps.
_CARD_STEPS: Final = (
    Step("fit-0", 4, extra=True),
    Step("fit-2", 4),
    Step("fit-2", 3, short=True),
    Step("fit-3", 3, short=True),
    Step("fit-3", 2, short=True),
    Step("fit-3", 2, room_to_write=False, short=True),
    Step("fit-3", 1, service=False, room_to_write=False, short=True),
    Step("fit-3", 1, service=False, room_to_write=False, short=True, elsewhere=False),
    Step("fit-3", 0, service=False, room_to_write=False, short=True, elsewhere=False),
)
_LABEL_STEPS: Final = (
    Step("fit-0", 2),
    Step("fit-1", 2, room_to_write=False),
    Step("fit-2", 1, service=False, room_to_write=False),
    Step("fit-3", 1, service=False, room_to_write=False),
    Step("fit-4", 1, service=False, room_to_write=False),
    Step("fit-4", 1, service=False, room_to_write=False, elsewhere=False),
    Step("fit-4", 0, service=False, room_to_write=False, elsewhere=False),
)

#: ISO 216 A6 is 105 mm × 148 mm; the inch sizes are exact (1 in = 25.4 mm).
CARD_SIZES: Final[dict[str, CardSize]] = {
    "a6": CardSize("a6", _("A6 card"), 105, 148, 28, _CARD_STEPS),
    "4x6": CardSize("4x6", _("Label, 4 × 6 in"), 101.6, 152.4, 28, _CARD_STEPS),
    "62x100": CardSize("62x100", _("Label, 62 × 100 mm"), 62, 100, 22, _LABEL_STEPS, compact=True),
}

SHEET_SIZES: Final[dict[str, SheetSize]] = {
    "a4": SheetSize("a4", _("One card on A4, with cut marks"), 210, 297, 1, 1),
    "a4-4": SheetSize("a4-4", _("Four cards on A4, with cut marks"), 210, 297, 2, 2),
    "a4-8": SheetSize("a4-8", _("Eight small cards on A4, with cut marks"), 297, 210, 4, 2, "62x100"),
    "letter": SheetSize("letter", _("One card on US Letter, with cut marks"), 215.9, 279.4, 1, 1),
    "letter-2": SheetSize("letter-2", _("Two cards on US Letter, with cut marks"), 279.4, 215.9, 2, 1),
    "letter-8": SheetSize(
        "letter-8", _("Eight small cards on US Letter, with cut marks"), 279.4, 215.9, 4, 2, "62x100"
    ),
}

DEFAULT_SIZE: Final = "a6"


def find_size(name: str) -> CardSize | SheetSize:
    """Return the card or sheet size called `name`.

    Raises
    ------
    UnknownSizeError
        When there is no such size.
    """
    size = CARD_SIZES.get(name) or SHEET_SIZES.get(name)
    if size is None:
        raise UnknownSizeError(name)
    return size


def card_size_of(size: CardSize | SheetSize) -> CardSize:
    """Return the size of the single card that `size` is, or that its sheet carries."""
    return CARD_SIZES[size.card] if isinstance(size, SheetSize) else size


def sheet_of(size: CardSize | SheetSize) -> SheetSize:
    """Return the sheet that `size` is; a single card is a sheet of its own, without anything to cut."""
    if isinstance(size, SheetSize):
        return size
    return SheetSize(size.name, size.label, size.width_mm, size.height_mm, 1, 1, size.name)
