"""Pressure and sag of one end over its revisions, one above the other, as inline SVG written by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from markupsafe import Markup, escape

from webapp.ground.drawing.axes import spread_ticks
from webapp.ground.text import numbers

WIDTH: Final = 360.0
HEIGHT: Final = 330.0
LEFT, RIGHT = 46.0, 16.0
#: Top and bottom of the upper and the lower drawing.
UPPER: Final = (30.0, 138.0)
LOWER: Final = (184.0, 286.0)
#: More numbers than this below the drawing would run into each other.
_MOST_NUMBERS: Final = 9


class TrackPlot(Protocol):
    """What is drawn: a pressure, two sags and perhaps a measured one for each revision, and the words."""

    @property
    def name(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def description(self) -> str: ...
    @property
    def revisions(self) -> Sequence[int]: ...
    @property
    def pressures(self) -> Sequence[float]: ...
    @property
    def target_mm(self) -> Sequence[float]: ...
    @property
    def expected_mm(self) -> Sequence[float]: ...
    @property
    def measured_mm(self) -> Sequence[float | None]: ...
    @property
    def pressure_label(self) -> str: ...
    @property
    def sag_label(self) -> str: ...
    @property
    def across(self) -> str: ...
    @property
    def target_word(self) -> str: ...
    @property
    def expected_word(self) -> str: ...
    @property
    def measured_word(self) -> str: ...


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where a revision and a value fall in one of the two drawings."""

    count: int
    low: float
    high: float
    top: float
    bottom: float

    def x(self, index: int) -> float:
        width = WIDTH - LEFT - RIGHT
        return round(LEFT + 30 + (width - 44) * index / max(self.count - 1, 1), 1)

    def y(self, value: float) -> float:
        return round(self.bottom - (self.bottom - self.top) * (value - self.low) / (self.high - self.low), 1)

    def line(self, values: Sequence[float]) -> str:
        return "M" + "L".join(f"{self.x(i):g} {self.y(value):g}" for i, value in enumerate(values))


def history_plot(plot: TrackPlot) -> Markup:
    """Return the two drawings as one `<svg>` element whose title and description say in words what they show."""
    name, count = escape(plot.name), len(plot.revisions)
    upper_ticks = spread_ticks(plot.pressures)
    sags = [*plot.target_mm, *plot.expected_mm, *(v for v in plot.measured_mm if v is not None)]
    lower_ticks = spread_ticks(sags)
    upper = _Frame(count, upper_ticks[0], upper_ticks[-1], *UPPER)
    lower = _Frame(count, lower_ticks[0], lower_ticks[-1], *LOWER)
    parts = [
        f'<svg class="plot" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" '
        f'aria-labelledby="track-{name}-title track-{name}-words" xmlns="http://www.w3.org/2000/svg">',
        f'<title id="track-{name}-title">{escape(plot.title)}</title>',
        f'<desc id="track-{name}-words">{escape(plot.description)}</desc>',
        _grid(upper, upper_ticks, plot.pressure_label),
        _line(upper, plot.pressures),
        _grid(lower, lower_ticks, plot.sag_label),
        _sags(plot, lower),
        _numbers(plot, lower),
        "</svg>",
    ]
    return Markup("".join(str(part) for part in parts))  # noqa: S704 every text in it was escaped above


def _grid(frame: _Frame, ticks: Sequence[float], label: str) -> str:
    shown = ticks if len(ticks) <= 5 else ticks[:: math.ceil(len(ticks) / 5)]
    parts = [
        f'<text class="plot-text" x="4" y="{frame.top - 12:g}" font-size="13" font-weight="bold" '
        f'fill="currentColor">{escape(label)}</text>',
        '<g class="plot-grid" stroke="currentColor" stroke-width="1" stroke-opacity="0.25">',
    ]
    parts += [f'<path d="M{LEFT:g} {frame.y(n):g}H{WIDTH - RIGHT:g}"/>' for n in shown]
    parts.append('</g><g class="plot-text" font-size="12" fill="currentColor">')
    parts += [
        f'<text x="{LEFT - 6:g}" y="{frame.y(n) + 4:g}" text-anchor="end">{numbers.general(n)}</text>' for n in shown
    ]
    return "".join([*parts, "</g>"])


def _line(frame: _Frame, values: Sequence[float]) -> str:
    dots = "".join(f'<circle cx="{frame.x(i):g}" cy="{frame.y(v):g}" r="4"/>' for i, v in enumerate(values))
    return (
        f'<path class="plot-curve" fill="none" stroke="currentColor" stroke-width="3" d="{frame.line(values)}"/>'
        f'<g class="plot-curve" fill="currentColor">{dots}</g>'
    )


def _sags(plot: TrackPlot, frame: _Frame) -> str:
    measured = "".join(
        f'<rect x="{frame.x(i) - 5:g}" y="{frame.y(v) - 5:g}" width="10" height="10"/>'
        for i, v in enumerate(plot.measured_mm)
        if v is not None
    )
    return (
        f'<path class="plot-load" fill="none" stroke="currentColor" stroke-width="1.5" stroke-dasharray="5 4" '
        f'd="{frame.line(plot.target_mm)}"/>'
        f"{_line(frame, plot.expected_mm)}"
        f'<g class="plot-measured" fill="none" stroke="currentColor" stroke-width="2">{measured}</g>'
    )


def _numbers(plot: TrackPlot, frame: _Frame) -> str:
    """Return the revisions' numbers below the drawings, and what each mark means."""
    step = math.ceil(len(plot.revisions) / _MOST_NUMBERS)
    parts = ['<g class="plot-text" font-size="12" fill="currentColor">']
    parts += [
        f'<text x="{frame.x(i):g}" y="{LOWER[1] + 16:g}" text-anchor="middle">{number}</text>'
        for i, number in enumerate(plot.revisions)
        if i % step == 0
    ]
    parts.append(f'<text x="4" y="{LOWER[1] + 16:g}">{escape(plot.across)}</text></g>')
    return "".join(parts) + _legend(plot)


def _legend(plot: TrackPlot) -> str:
    y = HEIGHT - 12
    words = "".join(
        f'<text x="{x}" y="{y:g}">{escape(word)}</text>'
        for x, word in ((38, plot.target_word), (132, plot.expected_word), (240, plot.measured_word))
    )
    return (
        f'<g class="plot-text" font-size="12" fill="currentColor">{words}</g>'
        f'<path class="plot-load" stroke="currentColor" stroke-width="1.5" stroke-dasharray="5 4" '
        f'd="M10 {y - 4:g}h22"/>'
        f'<g class="plot-curve" fill="currentColor"><path stroke="currentColor" stroke-width="3" '
        f'd="M104 {y - 4:g}h22"/><circle cx="115" cy="{y - 4:g}" r="4"/></g>'
        f'<rect class="plot-measured" x="222" y="{y - 9:g}" width="10" height="10" fill="none" stroke="currentColor" '
        f'stroke-width="2"/>'
    )
