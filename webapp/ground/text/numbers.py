"""How a quantity is written for people: rounded to what a gauge, a ruler or a thumb can follow, never "-0"."""

from __future__ import annotations

import functools
import math
from datetime import date, datetime
from decimal import Decimal
from typing import Final

from babel.dates import format_date, format_time
from babel.numbers import NumberPattern, parse_pattern

from setup_rules.messages import rounding
from setup_rules.messages.message import plain_number
from setup_rules.types.units import LBF_PER_IN_N_PER_M, from_base, to_base
from webapp.ground.text import i18n

DASH = "–"
#: A maximum typed as 20 bar is kept as 290.07 psi, a hair (0.0003 bar) below: so much of a step is no step down.
_HAIR: Final = 0.01
#: Beyond so many digits a number is a slip, refused and named in powers of ten; its locale's pattern would not hold it.
_MOST_DIGITS: Final = 15


def number(value: float, places: int = 0) -> str:
    """Return `value` with `places` decimals; a rounded zero has no sign.

    Examples
    --------
    >>> number(-0.04, 1)
    '0.0'
    """
    return _localise(f"{round(value, places) + 0.0:.{places}f}", i18n.locale())


def general(value: float) -> str:
    """Return `value` with as many digits as it needs, six at most.

    Examples
    --------
    >>> general(140.0), general(65.5)
    ('140', '65.5')
    """
    return _localise(f"{value + 0.0:g}", i18n.locale())


def exact(value: float) -> str:
    """Return `value` with every digit that it has, ten at most: it was rounded where it was computed."""
    return _localise(plain_number(value), i18n.locale())


@functools.lru_cache(maxsize=4096)
def _localise(text: str, locale: str) -> str:
    """Return rounded digits in the signs of `locale`, ungrouped: a gauge and a ruler show no groups either."""
    exact = Decimal(text)
    if not exact.is_finite():
        return text
    if exact.adjusted() > _MOST_DIGITS:
        return f"{float(exact):g}"
    places = max(0, -int(exact.as_tuple().exponent))
    return _pattern(places).apply(exact, locale)  # type: ignore[no-any-return]


@functools.cache
def _pattern(places: int) -> NumberPattern:
    return parse_pattern("0." + "0" * places if places else "0")


def halves(value: float) -> str:
    """Return `value` to the nearest half, without a decimal when it is whole.

    Examples
    --------
    >>> halves(27.6), halves(28.1)
    ('27.5', '28')
    """
    return general(rounding.halves(value))


def expected_mm(expected: float, target: float) -> str:
    """Return an expected sag [mm] to the nearest half, without its unit, so that it goes with the target as shown."""
    return general(rounding.expected_mm(expected, target))


def psi(pressure_pa: float, most_pa: float = math.inf) -> str:
    """Return a gauge pressure [Pa] in psi, without its unit: whole from 40 psi on, else to the nearest half.

    It is never rounded above `most_pa`, the maximum of what is pumped.

    Examples
    --------
    >>> psi(1_950_000.0), psi(1_950_000.0, 1_950_000.0)
    ('283', '282')
    """
    shown = rounding.gauge_psi(from_base("pressure", pressure_pa, "psi"))
    if math.isfinite(most_pa):
        shown = min(shown, rounding.gauge_psi_below(from_base("pressure", most_pa, "psi")))
    return general(shown)


def bar(pressure_pa: float, most_pa: float = math.inf) -> str:
    """Return a gauge pressure [Pa] in bar, without its unit, to one decimal: that of the psi which `psi` shows.

    A tenth is as fine as a pump reads. It is never rounded above `most_pa`, the maximum of what is pumped.

    Examples
    --------
    >>> psi(633_000.0), bar(633_000.0), bar(635_000.0)
    ('92', '6.3', '6.3')
    >>> bar(827_371.0), bar(827_371.0, 827_371.0), bar(2e6, 2e6)
    ('8.3', '8.2', '20.0')
    """
    return number(_in_steps(pressure_pa, most_pa, "bar", 10), 1)


def kpa(pressure_pa: float, most_pa: float = math.inf) -> str:
    """Return a gauge pressure [Pa] in kPa, without its unit, in fives, as `bar` does."""
    return number(_in_steps(pressure_pa, most_pa, "kpa", 0.2))


def _in_steps(pressure_pa: float, most_pa: float, key: str, steps: float) -> float:
    """Return the pressure of the psi shown in the unit `key`, in its `steps` a unit and not above a maximum."""

    def in_unit(value_psi: float) -> float:
        return from_base("pressure", to_base("pressure", value_psi, "psi"), key)

    shown = round(in_unit(rounding.gauge_psi(from_base("pressure", pressure_pa, "psi"))) * steps)
    if math.isfinite(most_pa):
        shown = min(shown, math.floor(from_base("pressure", most_pa, key) * steps + _HAIR))
    return shown / steps


def fine_bar(pressure_pa: float) -> str:
    """Return a gauge pressure [Pa] in bar, without its unit, to two decimals, beside a psi with decimals of its own."""
    return number(from_base("pressure", pressure_pa, "bar"), 2)


def psi_range(low_pa: float, high_pa: float) -> str:
    """Return two gauge pressures [Pa] as one range in psi, with the unit; one number where they print alike."""
    return f"{_range(psi(low_pa), psi(high_pa))} psi"


def bar_range(low_pa: float, high_pa: float, most_pa: float = math.inf) -> str:
    """Return two gauge pressures [Pa] as one range in bar, with the unit, not above a maximum."""
    return f"{_range(bar(low_pa, most_pa), bar(high_pa, most_pa))} bar"


def kpa_range(low_pa: float, high_pa: float, most_pa: float = math.inf) -> str:
    """Return two gauge pressures [Pa] as one range in kPa, with the unit, not above a maximum."""
    return f"{_range(kpa(low_pa, most_pa), kpa(high_pa, most_pa))} kPa"


def rate(rate_n_per_m: float) -> str:
    """Return a spring rate [N/m] in N/mm, without its unit, as the springs of a maker differ.

    Examples
    --------
    >>> rate(78_807.06), pounds_per_inch(78_807.06)
    ('78.8', '450')
    """
    return general(rounding.spring_rate(rate_n_per_m / 1000))


def pounds_per_inch(rate_n_per_m: float) -> str:
    """Return a spring rate [N/m] in pounds-force an inch, without its unit, whole."""
    return general(rounding.whole(rate_n_per_m / LBF_PER_IN_N_PER_M))


def rate_range(low_n_per_m: float, high_n_per_m: float) -> str:
    """Return two spring rates [N/m] as one range in N/mm, with the unit."""
    return f"{_range(rate(low_n_per_m), rate(high_n_per_m))} N/mm"


def pounds_range(low_n_per_m: float, high_n_per_m: float) -> str:
    """Return two spring rates [N/m] as one range in pounds-force an inch, with the unit."""
    return f"{_range(pounds_per_inch(low_n_per_m), pounds_per_inch(high_n_per_m))} lb/in"


def preload(preload_mm: float) -> str:
    """Return a preload [mm] without its unit, to a tenth."""
    return general(rounding.places(preload_mm, 1))


def turns(count: float) -> str:
    """Return turns of an adjuster to the nearest quarter, to a tenth where somebody set it in between."""
    return general(rounding.turns(count))


def mm_range(low_mm: float, high_mm: float) -> str:
    """Return two lengths [mm] as one range, with the unit."""
    return f"{_range(halves(low_mm), halves(high_mm))} mm"


def _range(low: str, high: str) -> str:
    return low if low == high else f"{low}{DASH}{high}"


def day(moment: date) -> str:
    """Return the day of a moment as it is written for people.

    Examples
    --------
    >>> day(datetime(2026, 5, 3))
    '3 May 2026'
    """
    return _long_date(moment.date() if isinstance(moment, datetime) else moment, i18n.locale())


@functools.lru_cache(maxsize=512)
def _long_date(when: date, locale: str) -> str:
    return str(format_date(when, "long", locale))


def clock(moment: datetime) -> str:
    """Return the time of day of a moment, without its zone.

    Examples
    --------
    >>> clock(datetime(2026, 5, 3, 9, 7))
    '09:07'
    """
    return str(format_time(moment, "HH:mm", locale=i18n.locale()))


def plain_day(moment: date) -> str:
    """Return the day of a moment as year-month-day, which every language reads alike and a card has room for.

    Examples
    --------
    >>> plain_day(datetime(2026, 5, 3))
    '2026-05-03'
    """
    return f"{moment:%Y-%m-%d}"
