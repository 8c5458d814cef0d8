"""A weight-pressure chart over the range of the spring model, as inline SVG written by hand: no style inside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Protocol

from markupsafe import Markup, escape

from webapp.ground.drawing.axes import spread_ticks
from webapp.ground.text import numbers

WIDTH: Final = 360.0
HEIGHT: Final = 260.0
LEFT, RIGHT, TOP, BOTTOM = 46.0, 14.0, 34.0, 42.0

Points = Sequence[tuple[float, float]]


class ChartPlot(Protocol):
    """What is drawn: points in (kg, psi) and the words. The model's points may be empty."""

    @property
    def name(self) -> str: ...
    @property
    def title(self) -> str: ...
    @property
    def description(self) -> str: ...
    @property
    def chart(self) -> Points: ...
    @property
    def line(self) -> Points: ...
    @property
    def model(self) -> Points: ...
    @property
    def low(self) -> Points: ...
    @property
    def high(self) -> Points: ...
    @property
    def across(self) -> str: ...
    @property
    def upward(self) -> str: ...
    @property
    def chart_word(self) -> str: ...
    @property
    def model_word(self) -> str: ...


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where kilograms and psi fall in the picture."""

    across: Sequence[float]
    upward: Sequence[float]

    def x(self, kg: float) -> float:
        low, high = self.across[0], self.across[-1]
        return round(LEFT + (WIDTH - LEFT - RIGHT) * (kg - low) / (high - low), 1)

    def y(self, psi: float) -> float:
        low, high = self.upward[0], self.upward[-1]
        return round(HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * (psi - low) / (high - low), 1)

    def run(self, points: Points) -> str:
        return "L".join(f"{self.x(kg):g} {self.y(psi):g}" for kg, psi in points)


def chart_plot(plot: ChartPlot) -> Markup:
    """Return the plot as one `<svg>` element whose title and description say in words what it shows."""
    every = [*plot.chart, *plot.low, *plot.high]
    frame = _Frame(spread_ticks([kg for kg, _ in every]), spread_ticks([psi for _, psi in every]))
    name = escape(plot.name)
    parts = [
        f'<svg class="plot" viewBox="0 0 {WIDTH:g} {HEIGHT:g}" role="img" '
        f'aria-labelledby="plot-{name}-title plot-{name}-words" xmlns="http://www.w3.org/2000/svg">',
        f'<title id="plot-{name}-title">{escape(plot.title)}</title>',
        f'<desc id="plot-{name}-words">{escape(plot.description)}</desc>',
        _grid(frame),
        _model(plot, frame),
        _chart(plot, frame),
        _words(plot),
        "</svg>",
    ]
    return Markup("".join(str(part) for part in parts))  # noqa: S704 every text in it was escaped above


def _grid(frame: _Frame) -> str:
    parts = ['<g class="plot-grid" stroke="currentColor" stroke-width="1" stroke-opacity="0.25">']
    parts += [f'<path d="M{LEFT:g} {frame.y(n):g}H{WIDTH - RIGHT:g}"/>' for n in frame.upward]
    parts.append('</g><g class="plot-text" font-size="12" fill="currentColor">')
    parts += [
        f'<text x="{LEFT - 6:g}" y="{frame.y(n) + 4:g}" text-anchor="end">{numbers.general(n)}</text>'
        for n in frame.upward
    ]
    parts += [
        f'<text x="{frame.x(n):g}" y="{HEIGHT - BOTTOM + 16:g}" text-anchor="middle">{numbers.general(n)}</text>'
        for n in frame.across
    ]
    return "".join([*parts, "</g>"])


def _model(plot: ChartPlot, frame: _Frame) -> str:
    if len(plot.model) < 2:
        return ""
    around = frame.run([*plot.low, *reversed(plot.high)])
    return (
        f'<path class="plot-band" d="M{around}Z" fill="currentColor" fill-opacity="0.14"/>'
        f'<path class="plot-load" fill="none" stroke="currentColor" stroke-width="1.5" stroke-dasharray="5 4" '
        f'd="M{frame.run(plot.model)}"/>'
    )


def _chart(plot: ChartPlot, frame: _Frame) -> str:
    dots = "".join(f'<circle cx="{frame.x(kg):g}" cy="{frame.y(psi):g}" r="4"/>' for kg, psi in plot.chart)
    return (
        f'<path class="plot-curve" fill="none" stroke="currentColor" stroke-width="3" d="M{frame.run(plot.line)}"/>'
        f'<g class="plot-curve" fill="currentColor">{dots}</g>'
    )


def _words(plot: ChartPlot) -> str:
    """Return what each line means, above the picture where no line runs, and the names of the axes."""
    model = (
        f'<rect class="plot-band" x="140" y="9" width="24" height="14" fill="currentColor" fill-opacity="0.14"/>'
        f'<path class="plot-load" fill="none" stroke="currentColor" stroke-width="1.5" stroke-dasharray="5 4" '
        f'd="M140 16h24"/><text class="plot-text" x="170" y="20" font-size="13" fill="currentColor">'
        f"{escape(plot.model_word)}</text>"
    )
    return (
        f'<path class="plot-curve" stroke="currentColor" stroke-width="3" d="M{LEFT:g} 16h24"/>'
        f'<circle class="plot-curve" cx="{LEFT + 12:g}" cy="16" r="4" fill="currentColor"/>'
        f'<text class="plot-text" x="{LEFT + 30:g}" y="20" font-size="13" font-weight="bold" fill="currentColor">'
        f"{escape(plot.chart_word)}</text>"
        f"{model if len(plot.model) > 1 else ''}"
        f'<g class="plot-text" font-size="12" fill="currentColor">'
        f'<text x="{WIDTH - RIGHT:g}" y="{HEIGHT - 6:g}" text-anchor="end">{escape(plot.across)}</text>'
        f'<text x="4" y="{HEIGHT - 6:g}">{escape(plot.upward)} ↑</text></g>'
    )
