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
class NumbersColumn:
    """One number of an end: the head of its column, and how it is said alone: `said` with NUMBER, `most` in small."""

    heading: str
    said: str
    most: str


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

    columns: tuple[NumbersColumn, ...]
    styles: tuple[StyleNumbers, ...]
    cautions: tuple[str, ...]


def present_numbers(rows: Sequence[Row]) -> BikeNumbers:
    """Return a bike's numbers as strings."""
    ends = next((row.ends for row in rows if row.ends), ())
    columns = tuple(column for end in ends for column, _cell in _cells(end))
    styles = tuple(
        _style_numbers(style, [row for row in rows if row.style == style], len(columns))
        for style in dict.fromkeys(row.style for row in rows)
    )
    return BikeNumbers(columns, styles, _cautions(rows))


def _style_numbers(style: str, rows: Sequence[Row], width: int) -> StyleNumbers:
    targets = [_target(end) for end in next((row.ends for row in rows if row.ends), ())]
    return StyleNumbers(style, style_word(style), ", ".join(targets), tuple(_line(row, width) for row in rows))


def _target(end: EndSetup) -> str:
    """Return the target sag, the same at every weight; what it reads where the spring is set is not."""
    values = {"end": end_word(end.end), "mm": numbers.halves(end.sag_target_mm)}
    if end.reads_otherwise:
        return _("%(end)s: target sag %(mm)s mm on the ride", **values)
    return _("%(end)s: target sag %(mm)s mm", **values)


def _line(row: Row, width: int) -> NumbersLine:
    if not row.ends:
        return NumbersLine(row.weight_kg, (_NONE,) * width, ())
    limits = tuple(
        _("%(end)s: %(what)s", end=end_word(end.end), what=told) for end in row.ends if (told := limit_words(end))
    )
    return NumbersLine(row.weight_kg, tuple(cell for end in row.ends for _column, cell in _cells(end)), limits)


def _cells(end: EndSetup) -> list[tuple[NumbersColumn, str]]:
    """Return (column, cell) for every number of an end, as its other pages round it."""
    coil, cells, word = end.coil, list[tuple[NumbersColumn, str]](), end_word(end.end)

    def add(heading: str, said: str, cell: str, most: str = "") -> None:
        cells.append((NumbersColumn(f"{word}: {heading}", f"{word}: {said}", most), cell))

    if coil is None:
        most = _("maximum %(psi)s psi", psi=numbers.psi(end.max_pressure_pa))
        heading = _("psi, maximum %(psi)s", psi=numbers.psi(end.max_pressure_pa))
        add(heading, _("NUMBER psi"), numbers.psi(end.pressure_pa), most)
    else:
        add(_("spring N/mm"), _("spring NUMBER N/mm"), numbers.rate(coil.rate_n_per_m) if coil.fits else _NONE)
        add(_("preload mm"), _("preload NUMBER mm"), numbers.preload(coil.preload_mm) if coil.fits else _NONE)
    if end.second is not None:
        add(_("second chamber psi"), _("second chamber NUMBER psi"), numbers.psi(end.second.pressure_pa))
    if end.rebound is not None:
        add(_("rebound out"), _("rebound NUMBER out"), str(end.rebound.out))
    if end.compression is not None:
        add(_("compression out"), _("compression NUMBER out"), str(end.compression.out))
    return cells


def _cautions(rows: Sequence[Row]) -> tuple[str, ...]:
    """Return every caution that the lines do not say themselves, once."""
    notes = [note for row in rows for note in row.cautions if note.code not in _IN_LINE]
    return tuple(dict.fromkeys(say(note.said) for note in notes))
