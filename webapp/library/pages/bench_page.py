"""What the pushes on a fork or shock of the library showed, as the strings and points of its page."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from setup_rules import RequestError, Setup, read_request, recommend
from setup_rules.types.result import PushedSpring
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say
from webapp.library.merging import with_suspension_unit
from webapp.library.suspension_unit import SuspensionUnit

#: Size of the plot in its own units, and the room around the curve.
_WIDE: Final = 312.0
_HIGH: Final = 172.0
_ROOM: Final = 4.0
#: A shock's page knows no frame: pushes are on the shock itself, and no force depends on the ratio.
_RATIO: Final = 2.5


@dataclass(frozen=True, slots=True)
class BenchPage:
    """The pushes beside the likeliest spring: sentences, rows of a table, points and curve of a plot."""

    title: str
    words: str
    cautions: tuple[str, ...]
    rows: tuple[tuple[str, str, str], ...]
    points: tuple[tuple[float, float], ...]
    curve: str


def present_bench_test(unit: SuspensionUnit) -> BenchPage | None:
    """Return what the pushes of an entry showed; None without pushes, or where the rules now refuse them."""
    if unit.spring_test is None or (setup := _setup_of(unit)) is None:
        return None
    (end,) = setup.ends()
    return None if end.pushed is None else _page(end.pushed, setup)


def _setup_of(unit: SuspensionUnit) -> Setup | None:
    fork, test = unit.kind == "fork", unit.spring_test
    travel = None if test is None else test.tested_travel_mm
    end: dict[str, Any] = with_suspension_unit(unit, {"travel_mm" if fork else "stroke_mm": travel})
    if not fork:
        end |= {"leverage_start": _RATIO, "leverage_end": _RATIO}
    known = {key: value for key, value in end.items() if value is not None}
    try:
        asked = {"rider_mass_kg": 75, "riding_style": "trail", "front" if fork else "rear": known}
        return recommend(read_request(asked))
    except RequestError:
        return None


def _page(pushed: PushedSpring, setup: Setup) -> BenchPage:
    rows = zip(pushed.compression_mm, pushed.force_n, pushed.residual_n, strict=True)
    wide, high = max(pushed.curve_mm), max(*pushed.curve_n, *pushed.force_n)

    def place(mm: float, newton: float) -> tuple[float, float]:
        return round(_ROOM + _WIDE * mm / wide, 1), round(_ROOM + _HIGH * (1.0 - max(newton, 0.0) / high), 1)

    curve = (place(*point) for point in zip(pushed.curve_mm, pushed.curve_n, strict=True))
    return BenchPage(
        title=_("Pushes at %(psi)s psi", psi=numbers.psi(pushed.pressure_pa)),
        words=_(
            "Friction is about %(friction)s N either way. The pushes lie within %(off)s N of the air spring that fits "
            "them best.",
            friction=numbers.number(pushed.friction_n),
            off=numbers.number(max(abs(n) for n in pushed.residual_n)),
        ),
        cautions=tuple(say(n.said) for n in setup.cautions if n.code in ("pushes_doubted", "pushed_above_assumed")),
        rows=tuple((numbers.halves(mm), numbers.number(n), numbers.number(off)) for mm, n, off in rows),
        points=tuple(place(mm, n) for mm, n in zip(pushed.compression_mm, pushed.force_n, strict=True)),
        curve=" L".join(f"{x} {y}" for x, y in curve),
    )
