"""The numbers for when the network is gone, as strings: a table a bike and style, with every limit and caution."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from setup_rules import EndSetup
from setup_rules.types.result import Note
from webapp.demo_day.pages.bike_words import end_word
from webapp.demo_day.pages.change_page import limit_words
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say
from webapp.setups.pages.setup_page import style_word

#: Cautions that the line of a weight says itself.
_IN_LINE: Final = frozenset({"limited", "pressure_above_maximum", "pressure_below_minimum"})
_NONE: Final = "–"


class Row(Protocol):
    """The answer for one weight [kg] and style."""

    @property
    def style(self) -> str:
        """The style."""

    @property
    def weight_kg(self) -> int:
        """The weight."""

    @property
    def ends(self) -> tuple[EndSetup, ...]:
        """What the rules say, nothing where they give no answer."""

    @property
    def cautions(self) -> tuple[Note, ...]:
        """What the rules warn of."""


@dataclass(frozen=True, slots=True)
class NumbersLine:
    """One weight: its cells in the order of the columns, and what is limited."""

    weight_kg: int
    cells: tuple[str, ...]
    limits: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StyleNumbers:
    """One style: its table."""

    style: str
    name: str
    targets: str
    lines: tuple[NumbersLine, ...]


@dataclass(frozen=True, slots=True)
class BikeNumbers:
    """One bike: its columns, a table a style, and every caution that goes with them."""

    columns: tuple[str, ...]
    styles: tuple[StyleNumbers, ...]
    cautions: tuple[str, ...]


def present_numbers(rows: Sequence[Row]) -> BikeNumbers:
    """Return a bike's numbers as strings."""
    ends = next((row.ends for row in rows if row.ends), ())
    columns = tuple(heading for end in ends for heading, _cell in _cells(end))
    styles = tuple(
        _style_numbers(style, [row for row in rows if row.style == style], len(columns))
        for style in dict.fromkeys(row.style for row in rows)
    )
    return BikeNumbers(columns, styles, _cautions(rows))


def _style_numbers(style: str, rows: Sequence[Row], width: int) -> StyleNumbers:
    targets = [
        _("%(end)s: target sag %(mm)s mm", end=end_word(end.end), mm=numbers.halves(end.sag_target_mm))
        for end in next((row.ends for row in rows if row.ends), ())
    ]
    return StyleNumbers(style, style_word(style), ", ".join(targets), tuple(_line(row, width) for row in rows))


def _line(row: Row, width: int) -> NumbersLine:
    if not row.ends:
        return NumbersLine(row.weight_kg, (_NONE,) * width, ())
    limits = tuple(
        _("%(end)s: %(what)s", end=end_word(end.end), what=told) for end in row.ends if (told := limit_words(end))
    )
    return NumbersLine(row.weight_kg, tuple(cell for end in row.ends for _heading, cell in _cells(end)), limits)


def _cells(end: EndSetup) -> list[tuple[str, str]]:
    """Return (heading, cell) for every number of an end, as its other pages round it."""
    coil, cells = end.coil, list[tuple[str, str]]()
    if coil is None:
        most = numbers.psi(end.max_pressure_pa)
        cells.append((_("pressure (psi, maximum %(psi)s)", psi=most), numbers.psi(end.pressure_pa)))
    else:
        cells.append((_("spring (N/mm)"), numbers.rate(coil.rate_n_per_m) if coil.fits else _NONE))
        cells.append((_("preload (mm)"), numbers.preload(coil.preload_mm) if coil.fits else _NONE))
    if end.second is not None:
        cells.append((_("second chamber (psi)"), numbers.psi(end.second.pressure_pa)))
    if end.rebound is not None:
        cells.append((_("rebound (clicks out)"), str(end.rebound.out)))
    if end.compression is not None:
        cells.append((_("compression (clicks out)"), str(end.compression.out)))
    return [(f"{end_word(end.end)}: {heading}", cell) for heading, cell in cells]


def _cautions(rows: Sequence[Row]) -> tuple[str, ...]:
    """Return every caution that the lines do not say themselves, once."""
    notes = [note for row in rows for note in row.cautions if note.code not in _IN_LINE]
    return tuple(dict.fromkeys(say(note.said) for note in notes))
