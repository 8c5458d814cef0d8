"""How right the numbers were, as the strings of its page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from setup_rules.inference.calibration import ClassFactor
from setup_rules.types.request import ShopChecks
from webapp.calibration.tally import Coverage, Tally
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.library.actions.class_factors import FactorState


@dataclass(frozen=True, slots=True)
class CoverageLine:
    """One row of a table: what it is about, how many checks, how many held, with the interval, and the correction."""

    name: str
    checks: str
    held: str
    interval: str
    correction: str


@dataclass(frozen=True, slots=True)
class ClassLine:
    """One row of the table of classes: what the checks say of the pressure, and what would be used."""

    name: str
    checks: str
    measured: str
    used: str


@dataclass(frozen=True, slots=True)
class StateLine:
    """One state of the switch: its number, when and by whom, and what it moves."""

    number: int
    made: str
    moves: str
    is_on: bool


@dataclass(frozen=True, slots=True)
class CalibrationPage:
    """The strings of the page."""

    checks: int
    waiting: int
    kinds: tuple[CoverageLine, ...]
    held_by_class: tuple[CoverageLine, ...]
    classes: tuple[ClassLine, ...]
    states: tuple[StateLine, ...]
    can_use: bool
    in_use: bool


def present_calibration(
    tally: Tally, states: tuple[FactorState, ...], usable: tuple[ShopChecks, ...]
) -> CalibrationPage:
    """Return the page of a shop's checks."""
    whole = tally.all_kinds
    kinds = [_coverage(_kind_name(kind), found) for kind, found in tally.by_kind.items()]
    now = states[0].factors if states else ()
    return CalibrationPage(
        checks=len(tally.judged),
        waiting=tally.waiting,
        kinds=(*kinds, *([_coverage(_("All"), whole)] if whole and len(kinds) > 1 else ())),
        held_by_class=tuple(_coverage(class_name(name), found) for name, found in tally.by_class.items()),
        classes=tuple(_class(name, found) for name, found in tally.factors.items()),
        states=tuple(_state(one) for one in states),
        can_use=bool(usable) and usable != now,
        in_use=bool(now),
    )


def class_name(spring_class: str) -> str:
    """Return what a class is called."""
    kind, *size, negative = spring_class.split("_")
    if kind == "shock":
        return _("Shock, air negative spring") if negative == "air" else _("Shock, coil negative spring")
    if negative == "air":
        return _("Fork, %(mm)s mm, air negative spring", mm=size[0])
    return _("Fork, %(mm)s mm, coil negative spring", mm=size[0])


def _kind_name(kind: str) -> str:
    names: Mapping[str, str] = {
        "front_air": _("Forks, air negative spring"),
        "front_coil": _("Forks, coil negative spring"),
        "rear_air": _("Shocks, air negative spring"),
        "rear_coil": _("Shocks, coil negative spring"),
        "entered": _("With internals or a chart entered"),
    }
    return names[kind]


def _coverage(name: str, found: Coverage) -> CoverageLine:
    share = _("%(held)d of %(checks)d", held=found.held, checks=found.checks)
    return CoverageLine(
        name,
        str(found.checks),
        share,
        percent_range(found.low, found.high),
        change(found.correction),
    )


def percent_range(low: float, high: float) -> str:
    """Return two shares as one range in per cent."""
    return f"{numbers.number(100 * low)}{numbers.DASH}{numbers.number(100 * high)} %"


def _class(name: str, found: ClassFactor) -> ClassLine:
    measured = _(
        "%(middle)s (%(low)s to %(high)s)",
        middle=change(found.measured),
        low=change(found.low),
        high=change(found.high),
    )
    used = _("too few checks") if found.used == 1.0 else change(found.used)
    return ClassLine(class_name(name), str(found.checks), measured, used)


def change(factor: float) -> str:
    """Return a factor on pressure as a change in per cent, with its sign."""
    percent = round(100 * (factor - 1))
    sign = "+" if percent > 0 else "\N{MINUS SIGN}" if percent < 0 else ""
    return f"{sign}{numbers.number(abs(percent))} %"


def _state(state: FactorState) -> StateLine:
    made = f"{numbers.day(state.made_at)}, {state.login}"
    moves = " · ".join(f"{class_name(one.spring_class)}: {change(one.factor)}" for one in state.factors)
    return StateLine(state.number, made, moves or _("Off: our estimates"), bool(state.factors))
