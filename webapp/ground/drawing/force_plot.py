"""The force-travel plot as inline SVG, written by hand: presentation attributes and classes only, no style."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import Final, Protocol

from markupsafe import Markup, escape

from webapp.ground.text import numbers

WIDTH: Final = 360.0
HEIGHT: Final = 250.0
LEFT, RIGHT, TOP, BOTTOM = 46.0, 12.0, 14.0, 42.0

Points = Sequence[tuple[float, float]]


class ForcePlot(Protocol):
    """What is drawn: points in (mm, N), the words, and in mm the rest point and the sag with its band from there."""

    @property
    def name(self) -> str: ...
    @property
    def points(self) -> Points: ...
    @property
    def load(self) -> Points: ...
    @property
    def rest_mm(self) -> float: ...
    @property
    def rest_label(self) -> str: ...
    @property
    def sag_mm(self) -> float: ...
    @property
    def sag_low_mm(self) -> float: ...
    @property
    def sag_high_mm(self) -> float: ...
    @property
    def title(self) -> str: ...
    @property
    def description(self) -> str: ...
    @property
    def across(self) -> str: ...
    @property
    def upward(self) -> str: ...
    @property
    def curve_label(self) -> str: ...
    @property
    def load_label(self) -> str: ...
    @property
    def sag_label(self) -> str: ...


class Pushed(Protocol):
    """Measured points in (mm, N), the curve that fits them, and what both are called."""

    @property
    def points(self) -> Points: ...
    @property
    def curve(self) -> Points: ...
    @property
    def label(self) -> str: ...


class SetupPlot(ForcePlot, Protocol):
    """A plot that may also show what was measured of the spring at another pressure."""

    @property
    def pushed(self) -> Pushed | None: ...


def force_plot(plot: SetupPlot) -> Markup:
    """Return the plot as one `<svg>` element whose title and description say in words what it shows."""
    across = _ticks(plot.points[-1][0])
    measured = [*plot.pushed.curve, *plot.pushed.points] if plot.pushed else []
    upward = _ticks(max(y for _, y in [*plot.points, *plot.load, *measured]))
    frame = _Frame(plot.points[-1][0], upward[-1])
    parts = [
        *_opening(plot),
        _band(plot, frame),
        _grid(frame, across, upward),
        f'<path class="plot-load" fill="none" stroke="currentColor" stroke-width="1.5" stroke-dasharray="5 4" '
        f'd="{frame.path(plot.load)}"/>',
        f'<path class="plot-curve" fill="none" stroke="currentColor" stroke-width="3" d="{frame.path(plot.points)}"/>',
        _pushed(plot.pushed, frame) if plot.pushed else "",
        _labels(plot, frame),
        "</svg>",
    ]
    return Markup("".join(str(part) for part in parts))  # noqa: S704 every text in it was escaped above


def _pushed(pushed: Pushed, frame: _Frame) -> str:
    """Return the measured points as squares over the curve that fits them, drawn thin."""
    squares = "".join(
        f'<rect class="plot-pushed" x="{frame.x(mm) - 4:g}" y="{frame.y(newton) - 4:g}" width="8" height="8" '
        f'fill="none" stroke="currentColor" stroke-width="2"/>'
        for mm, newton in pushed.points
    )
    mm, newton = pushed.points[-1]
    return (
        f'<path class="plot-pushed" fill="none" stroke="currentColor" stroke-width="1.5" '
        f'd="{frame.path(pushed.curve)}"/>'
        f'{squares}<text class="plot-text" font-size="12" fill="currentColor" x="{frame.x(mm) + 8:g}" '
        f'y="{frame.y(newton) + 14:g}">{escape(pushed.label)}</text>'
    )


class TravelPlot(ForcePlot, Protocol):
    """A plot that also shows the curve before a change, drawn thin below the new one."""

    @property
    def before(self) -> Points: ...
    @property
    def before_label(self) -> str: ...
    @property
    def curve_name(self) -> str: ...


def travel_plot(plot: TravelPlot) -> Markup:
    """Return the new force-travel curve over the old one, both on the same scales, as one `<svg>` element."""
    across = _ticks(max(plot.points[-1][0], plot.before[-1][0]))
    upward = _ticks(max(y for _, y in [*plot.points, *plot.load, *plot.before]))
    frame = _Frame(max(plot.points[-1][0], plot.before[-1][0]), upward[-1])
    parts = [
        *_opening(plot),
        _band(plot, frame),
        _grid(frame, across, upward),
        f'<path class="plot-load" fill="none" stroke="currentColor" stroke-width="1.5" stroke-dasharray="5 4" '
        f'd="{frame.path(plot.load)}"/>',
        f'<path class="plot-before" fill="none" stroke="currentColor" stroke-width="2" stroke-dasharray="2 3" '
        f'd="{frame.path(plot.before)}"/>',
        f'<path class="plot-curve" fill="none" stroke="currentColor" stroke-width="3" d="{frame.path(plot.points)}"/>',
        _curve_names(plot, frame),
        _labels(plot, frame),
        "</svg>",
    ]
    return Markup("".join(str(part) for part in parts))  # noqa: S704 every text in it was escaped above


def _curve_names(plot: TravelPlot, frame: _Frame) -> str:
    """Return the names of both curves: left of the upper one and right of the lower one, where neither is crossed."""
    at = 0.75 * min(plot.points[-1][0], plot.before[-1][0])
    new, old = _height_at(plot.points, at), _height_at(plot.before, at)
    upper, lower = (plot.curve_name, plot.before_label) if new >= old else (plot.before_label, plot.curve_name)
    x, high, low = frame.x(at), frame.y(max(new, old)), frame.y(min(new, old))
    return (
        f'<g class="plot-text" font-size="13" font-weight="bold" fill="currentColor">'
        f'<text x="{x - 8:g}" y="{high - 6:g}" text-anchor="end">{escape(upper)}</text>'
        f'<text x="{x + 8:g}" y="{low + 16:g}">{escape(lower)}</text></g>'
    )


def _opening(plot: ForcePlot) -> tuple[str, ...]:
    name = escape(plot.name)
    return (
        f'<svg class="plot" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" '
        f'aria-labelledby="plot-{name}-title plot-{name}-words" xmlns="http://www.w3.org/2000/svg">',
        f'<title id="plot-{name}-title">{escape(plot.title)}</title>',
        f'<desc id="plot-{name}-words">{escape(plot.description)}</desc>',
    )


class _Frame:
    """Where millimetres and newtons fall in the picture."""

    def __init__(self, across: float, upward: float) -> None:
        self._x = (WIDTH - LEFT - RIGHT) / (across or 1.0)
        self._y = (HEIGHT - TOP - BOTTOM) / (upward or 1.0)
        self._across = across

    def x(self, mm: float) -> float:
        return round(LEFT + min(max(mm, 0.0), self._across) * self._x, 1)

    def y(self, newton: float) -> float:
        return round(HEIGHT - BOTTOM - max(newton, 0.0) * self._y, 1)

    def path(self, points: Points) -> str:
        return "M" + "L".join(f"{self.x(mm):g} {self.y(newton):g}" for mm, newton in points)


def _ticks(top: float, wanted: int = 5) -> list[float]:
    """Return evenly spaced round numbers from zero that reach just beyond `top`."""
    rough = max(top, 1e-9) / wanted
    size = 10.0 ** math.floor(math.log10(rough))
    step = next(m * size for m in (1, 2, 2.5, 5, 10) if m * size >= rough)
    return [step * n for n in range(math.ceil(top / step - 1e-9) + 1)]


def _band(plot: ForcePlot, frame: _Frame) -> str:
    low, high = frame.x(plot.rest_mm + plot.sag_low_mm), frame.x(plot.rest_mm + plot.sag_high_mm)
    return (
        f'<rect class="plot-band" x="{low:g}" y="{TOP:g}" width="{max(high - low, 1.0):g}" '
        f'height="{HEIGHT - TOP - BOTTOM:g}" fill="currentColor" fill-opacity="0.14"/>'
    )


def _grid(frame: _Frame, across: Sequence[float], upward: Sequence[float]) -> str:
    parts = ['<g class="plot-grid" stroke="currentColor" stroke-width="1" stroke-opacity="0.25">']
    parts += [f'<path d="M{LEFT:g} {frame.y(n):g}H{WIDTH - RIGHT:g}"/>' for n in upward]
    parts.append('</g><g class="plot-text" font-size="12" fill="currentColor">')
    parts += [
        f'<text x="{LEFT - 6:g}" y="{frame.y(n) + 4:g}" text-anchor="end">{numbers.general(n)}</text>' for n in upward
    ]
    parts += [
        f'<text x="{frame.x(mm):g}" y="{HEIGHT - BOTTOM + 16:g}" text-anchor="middle">{numbers.general(mm)}</text>'
        for mm in across
        if mm <= frame._across
    ]
    return "".join([*parts, "</g>"])


def _labels(plot: ForcePlot, frame: _Frame) -> str:
    rider_mm = plot.rest_mm + plot.sag_mm
    sag_x, sag_y = frame.x(rider_mm), frame.y(_height_at(plot.points, rider_mm))
    middle = plot.points[round(len(plot.points) * 0.7)]
    floor = HEIGHT - BOTTOM
    return (
        f'<path class="plot-target" stroke="currentColor" stroke-width="2" d="M{sag_x:g} {floor:g}V{TOP:g}"/>'
        f'<circle class="plot-target" cx="{sag_x:g}" cy="{sag_y:g}" r="5" fill="currentColor"/>'
        f"{_rest(plot, frame)}"
        f'<g class="plot-text" font-size="13" font-weight="bold" fill="currentColor">'
        f'<text x="{sag_x + 6:g}" y="{TOP + 12:g}">{escape(plot.sag_label)}</text>'
        f'<text x="{frame.x(middle[0]) - 8:g}" y="{frame.y(middle[1]) - 8:g}" text-anchor="end">'
        f"{escape(plot.curve_label)}</text>"
        f'<text x="{WIDTH - RIGHT:g}" y="{frame.y(plot.load[-1][1]) - 6:g}" text-anchor="end">'
        f"{escape(plot.load_label)}</text></g>"
        f'<g class="plot-text" font-size="12" fill="currentColor">'
        f'<text x="{WIDTH - RIGHT:g}" y="{HEIGHT - 6:g}" text-anchor="end">{escape(plot.across)}</text>'
        f'<text x="4" y="{HEIGHT - 6:g}">{escape(plot.upward)} ↑</text></g>'
    )


def _rest(plot: ForcePlot, frame: _Frame) -> str:
    """Return the rest point, where the gap at the O-ring starts, and the sag as a line from there to the rider's."""
    x, y = frame.x(plot.rest_mm), frame.y(_height_at(plot.points, plot.rest_mm))
    rider_x, level = frame.x(plot.rest_mm + plot.sag_mm), TOP + 26
    return (
        f'<path class="plot-rest" fill="none" stroke="currentColor" stroke-width="1.5" '
        f'd="M{x:g} {HEIGHT - BOTTOM:g}V{TOP:g}M{x:g} {level:g}H{rider_x:g}"/>'
        f'<circle class="plot-rest" cx="{x:g}" cy="{y:g}" r="4" fill="none" stroke="currentColor" stroke-width="2"/>'
        f'<text class="plot-text" font-size="12" fill="currentColor" x="{x + 4:g}" y="{level + 16:g}">'
        f"{escape(plot.rest_label)}</text>"
    )


def _height_at(points: Points, mm: float) -> float:
    """Return the force [N] at `mm`, straight between the points beside it."""
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if x0 <= mm <= x1 and x1 > x0:
            return y0 + (y1 - y0) * (mm - x0) / (x1 - x0)
    return points[-1][1]
