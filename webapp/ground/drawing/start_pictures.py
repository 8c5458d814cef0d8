"""The three start numbers as small inline SVG drawings: a range as a bar, sag at the O-ring, clicks on a dial.

Written by hand with presentation attributes and classes only. Every text comes from the page, ready to show.
"""

from __future__ import annotations

import math
from typing import Final, Protocol

from markupsafe import Markup, escape

#: Both straight drawings: from here to there along x, in units of the drawing.
_LEFT, _RIGHT = 12.0, 308.0
#: The stanchion's seal, and where full travel lies.
_SEAL, _FULL = 108.0, 304.0
#: The dial leaves a gap below: it starts and ends this far from straight down [degrees].
_GAP: Final = 40.0
_CENTRE, _RADIUS = 50.0, 40.0
#: Height of the letters: 16 px on a screen of 320 px, where a straight drawing is 252 px wide.
_LETTERS: Final = 20.5


class RangeBar(Protocol):
    """A value in its range, in one unit: `low` ≤ `value` ≤ `high`, and the words."""

    @property
    def name(self) -> str: ...
    @property
    def low(self) -> float: ...
    @property
    def value(self) -> float: ...
    @property
    def high(self) -> float: ...
    @property
    def low_text(self) -> str: ...
    @property
    def high_text(self) -> str: ...
    @property
    def title(self) -> str: ...


class RingPlace(Protocol):
    """The O-ring's place: `sag_mm` from the seal, of `travel_mm`, and the words."""

    @property
    def name(self) -> str: ...
    @property
    def sag_mm(self) -> float: ...
    @property
    def travel_mm(self) -> float: ...
    @property
    def sag_text(self) -> str: ...
    @property
    def travel_text(self) -> str: ...
    @property
    def title(self) -> str: ...


class ClickPlace(Protocol):
    """An adjuster's place: `out` clicks from fully closed, 0 ≤ `out` ≤ `total`, and the words."""

    @property
    def name(self) -> str: ...
    @property
    def out(self) -> int: ...
    @property
    def total(self) -> int: ...
    @property
    def title(self) -> str: ...


def range_bar(bar: RangeBar) -> Markup:
    """Return a bar from the low to the high end of a range, with the value marked on it."""
    share = (bar.value - bar.low) / (bar.high - bar.low) if bar.high > bar.low else 0.5
    at = _LEFT + (_RIGHT - _LEFT) * min(max(share, 0.0), 1.0)
    return _drawing(
        bar.name,
        bar.title,
        "0 0 320 54",
        f'<path d="M{_LEFT:g} 14H{_RIGHT:g}" stroke-width="10" stroke-opacity=".3"/>'
        f'<path class="picture-mark" d="M{at:.1f} 3V25" stroke-width="5"/>',
        _text(_LEFT - 10, 48, "start", bar.low_text) + _text(_RIGHT + 10, 48, "end", bar.high_text),
    )


def sag_ring(ring: RingPlace) -> Markup:
    """Return a stanchion lying on its side: the O-ring at its distance from the seal, to scale along the travel."""
    at = _SEAL + (_FULL - _SEAL) * min(max(ring.sag_mm / ring.travel_mm, 0.0), 1.0)
    return _drawing(
        ring.name,
        ring.title,
        "0 0 320 74",
        f'<path d="M4 4H{_SEAL:g}V40H4" stroke-width="3"/>'
        f'<path d="M{_SEAL:g} 4H{_SEAL - 10:g}V40H{_SEAL:g}Z" fill="currentColor" fill-opacity=".3" stroke-width="2"/>'
        f'<path d="M{_SEAL:g} 11H{_FULL:g}V33H{_SEAL:g}" stroke-width="2"/>'
        f'<path class="picture-mark" d="M{at:.1f} 7V37" stroke-width="6"/>'
        f'<path d="M{_SEAL:g} 47V61M{_SEAL:g} 54H{at:.1f}M{at:.1f} 47V61" stroke-width="1.5"/>',
        _text(2, 62, "start", ring.sag_text) + _text(_FULL + 14, 62, "end", ring.travel_text),
    )


def click_dial(dial: ClickPlace) -> Markup:
    """Return a dial with a tick for each click: fully closed at the clockwise end, the place marked."""
    ticks = "".join(_tick(dial, n, 4.0) for n in range(dial.total + 1))
    return _drawing(
        dial.name,
        dial.title,
        "0 0 100 104",
        f'<path d="{ticks}" stroke-width="1.5"/>'
        f'<path class="picture-mark" d="{_tick(dial, dial.out, 22.0)}" stroke-width="5"/>'
        f'<circle cx="{_CENTRE:g}" cy="{_CENTRE:g}" r="8" fill="currentColor" stroke="none"/>',
        _text(84, 102, "middle", "0") + _text(16, 102, "middle", str(dial.total)),
        "dial",
    )


def _tick(dial: ClickPlace, clicks: int, length: float) -> str:
    """Return a line from the rim inwards at so many clicks out, anticlockwise from the closed end."""
    turn = (360.0 - 2 * _GAP) * clicks / dial.total if dial.total else 0.0
    angle = math.radians(90.0 - _GAP - turn)
    x, y = math.cos(angle), math.sin(angle)
    outer, inner = _RADIUS, _RADIUS - length
    return f"M{_CENTRE + outer * x:.1f} {_CENTRE + outer * y:.1f}L{_CENTRE + inner * x:.1f} {_CENTRE + inner * y:.1f}"


def _text(x: float, y: float, anchor: str, text: str) -> str:
    return (
        f'<text class="plot-text" x="{x:g}" y="{y:g}" text-anchor="{anchor}" font-size="{_LETTERS:g}" '
        f'fill="currentColor" stroke="none">{escape(text)}</text>'
    )


def _drawing(name: str, title: str, box: str, lines: str, texts: str, kind: str = "strip") -> Markup:
    return Markup(  # noqa: S704 every text in it was escaped above or is here
        f'<svg class="picture {kind}" viewBox="{box}" role="img" aria-labelledby="{escape(name)}" '
        f'xmlns="http://www.w3.org/2000/svg" fill="none" stroke="currentColor"><title id="{escape(name)}">'
        f"{escape(title)}</title>{lines}{texts}</svg>"
    )
