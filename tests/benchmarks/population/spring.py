"""An air spring on a bike, from outside: forces, where it comes to rest under a load, and the gap at the O-ring.

SI units. Every function takes a `Hidden` of floats (one spring) or of equally long arrays (many at once); a single
spring's equations are closed by scipy's `brentq`, many at once by a bracketed secant of our own.
Set pressure is gauge, read fully extended after the chambers were equalised. Compression x counts from full extension.

The gap that a person reads is the compression under the rider less the compression where the gap is read: with the bike
standing on its wheels without its rider (`bike_at_rest`), or with the wheel lifted (`wheel_off_ground`), where the
unsprung weight pulls the spring out and the negative chamber may still hold it in.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from typing import Any, Literal

import numpy as np
from scipy.optimize import brentq

SEA_LEVEL_PA = 101_325.0
GRAVITY = 9.80665
PSI = 6894.757293168

Value = Any
"""A float, or an array of floats."""
Datum = Literal["bike_at_rest", "wheel_off_ground"]
DATUMS: tuple[Datum, Datum] = ("bike_at_rest", "wheel_off_ground")


def ambient_pa(altitude_m: Value) -> Value:
    """Return the standard atmosphere's absolute pressure [Pa] at a geopotential altitude [m] (ISO 2533)."""
    return SEA_LEVEL_PA * (1.0 - 0.0065 * altitude_m / 288.15) ** 5.2559


@dataclass(frozen=True, slots=True, kw_only=True)
class Hidden:
    """What nobody sees: the spring's internals, the bike's weights, the pump and the rider's habits. SI units."""

    travel: Value
    area: Value
    end_volume: Value
    """of the positive chamber at full compression [m³]"""
    bulge: Value = 0.0
    """of the positive chamber mid-travel, as a share of area times travel"""
    ambient: Value = SEA_LEVEL_PA
    negative_area: Value = 0.0
    negative_volume: Value = 1.0
    """at full extension [m³]"""
    port: Value = 0.0
    coil_rate: Value = 0.0
    coil_length: Value = 0.0
    leg_area: Value = 0.0
    leg_volume: Value = 1.0
    leg_air: Value = SEA_LEVEL_PA
    """absolute pressure in the lower legs at full extension: the ambient where they were last vented [Pa]"""
    gas: Value = 0.0
    """pushes the shaft out over the whole travel [N]"""
    along: Value = 1.0
    """share of the load that acts along the leg; 1 on a shock"""
    leverage_start: Value = 1.0
    leverage_end: Value = 1.0
    leverage_bow: Value = 0.0
    mass: Value = 0.0
    """rider and kit, on both wheels [kg]"""
    share: Value = 0.5
    """of it on this end in the rider's own mean stance"""
    rest_mass: Value = 0.0
    """what the bike alone puts on this spring: its share less the unsprung mass [kg]"""
    unsprung: Value = 0.0
    friction: Value = 0.0
    habit: Value = 0.0
    drag: Value = 0.0
    gauge_scale: Value = 1.0
    gauge_offset: Value = 0.0
    leak_rate: Value = 0.0

    def row(self, index: int) -> Hidden:
        """Return one spring of many, as floats."""
        return Hidden(**{spec.name: float(getattr(self, spec.name)[index]) for spec in fields(self)})

    def leverage(self, x: Value) -> Value:
        """Return wheel travel over spring travel at compression x [m]: straight, with a bow."""
        first, second, third = self.leverage_terms()
        return first + x * (second + x * third)

    def leverage_terms(self) -> tuple[Value, Value, Value]:
        """Return the leverage as the terms of a parabola in x."""
        bow = 4.0 * self.leverage_bow / self.travel
        fall = (self.leverage_end - self.leverage_start) / self.travel
        return self.leverage_start, fall + bow, -bow / self.travel

    def volume(self, x: Value) -> Value:
        """Return the positive chamber's volume [m³] at compression x [m]."""
        first, second, third = self.volume_terms()
        return first + x * (second + x * third)

    def volume_terms(self) -> tuple[Value, Value, Value]:
        """Return the positive chamber's volume as the terms of a parabola in x."""
        bulge = 4.0 * self.bulge * self.area
        return self.end_volume + self.area * self.travel, bulge - self.area, -bulge / self.travel

    def gauge_pa(self, shown_psi: Value) -> Value:
        """Return the true gauge pressure [Pa] behind what the pump shows [psi]."""
        return (shown_psi * self.gauge_scale + self.gauge_offset) * PSI


def _power(base: Value, exponent: Value) -> Value:
    return base if isinstance(exponent, float) and exponent == 1.0 else base**exponent


def balance(
    h: Hidden,
    gauge: Value,
    weight: Value = 0.0,
    push: Value = 0.0,
    exponent: Value = 1.0,
    fill: Value = 1.0,
) -> Callable[[Value], Value]:
    """Return, as a function of x [m], the spring's force less a weight at the wheel and a push at the spring [N]."""
    absolute = gauge + h.ambient
    v0, v1, v2 = h.volume_terms()
    l0, l1, l2 = (weight * term for term in h.leverage_terms())
    positive = absolute * h.area * _power(v0, exponent)
    # Equalising happens slowly, while cycling: without an exponent, unlike the compression after it.
    at_port = absolute * v0 / h.volume(h.port) * fill
    negative = at_port * h.negative_area * _power(h.negative_volume + h.negative_area * h.port, exponent)
    legs = h.leg_area * h.leg_air * _power(h.leg_volume, exponent)
    still = h.gas - (h.area - h.negative_area + h.leg_area) * h.ambient - push - l0
    has_legs, has_coil = bool(np.any(legs)), bool(np.any(h.coil_rate))

    def net(x: Value) -> Value:
        out = positive / _power(v0 + x * (v1 + x * v2), exponent) + still - x * (l1 + x * l2)
        if has_legs:
            out = out + legs / _power(h.leg_volume - h.leg_area * x, exponent)
        if has_coil:
            reach = h.coil_length - x
            return out - 0.5 * h.coil_rate * (reach + abs(reach))
        return out - negative / _power(h.negative_volume + h.negative_area * x, exponent)

    return net


def force(h: Hidden, x: Value, gauge: Value, exponent: Value = 1.0, fill: Value = 1.0) -> Value:
    """Return the spring's force [N] at compression x [m] for a set gauge pressure [Pa]."""
    return balance(h, gauge, 0.0, 0.0, exponent, fill)(x)


def rider_weight(h: Hidden, share: Value) -> Value:
    """Return the weight at the wheel, along the leg [N], with `share` of the rider on this end."""
    return (share * h.mass + h.rest_mass) * GRAVITY * h.along


def rest_weight(h: Hidden, datum: Datum) -> Value:
    """Return the weight at the wheel [N] where the gap is read; below zero where the wheel hangs."""
    return (h.rest_mass if datum == "bike_at_rest" else -h.unsprung) * GRAVITY * h.along


def find_root(rises: Callable[[Value], Value], low: Value, high: Value, steps: int = 12) -> Value:
    """Return where a rising function crosses zero, or the end that is nearest to it."""
    at_low, at_high = rises(low), rises(high)
    if np.ndim(at_low) == 0:
        if at_low >= 0.0:
            return float(low)
        return float(high) if at_high <= 0.0 else float(brentq(rises, low, high, xtol=1e-9))
    return _find_roots(rises, low + 0.0 * at_low, high + 0.0 * at_low, at_low, at_high, steps)


def _find_roots(
    rises: Callable[[Value], Value], low: Value, high: Value, at_low: Value, at_high: Value, steps: int
) -> Value:
    """Close many brackets at once by a secant that halves the weight of an end that stays (Illinois)."""
    floor, roof = at_low >= 0.0, at_high <= 0.0
    edges = (low, high)
    at_low, at_high = np.where(floor, -1.0, at_low), np.where(roof, 1.0, at_high)
    last = np.zeros_like(at_low)
    for _ in range(steps):
        x = (low * at_high - high * at_low) / (at_high - at_low)
        at = rises(x)
        below = at < 0.0
        at_high = np.where(below, np.where(last < 0, 0.5 * at_high, at_high), at)
        at_low = np.where(below, at, np.where(last > 0, 0.5 * at_low, at_low))
        low, high = np.where(below, x, low), np.where(below, high, x)
        last = np.where(below, -1.0, 1.0)
    x = (low * at_high - high * at_low) / (at_high - at_low)
    return np.where(floor, edges[0], np.where(roof, edges[1], x))


def settle(
    h: Hidden,
    gauge: Value,
    weight: Value,
    push: Value = 0.0,
    exponent: Value = 1.0,
    fill: Value = 1.0,
    steps: int = 10,
) -> Value:
    """Return the compression [m] where the spring carries a weight at the wheel [N] and a push at the spring [N]."""
    return find_root(balance(h, gauge, weight, push, exponent, fill), 0.0 * h.travel, h.travel, steps)


def true_gap(h: Hidden, gauge: Value, datum: Datum, fill: Value = 1.0) -> Value:
    """Return the settled gap without friction [m], in the rider's own mean stance."""
    ridden = settle(h, gauge, rider_weight(h, h.share), fill=fill)
    return ridden - settle(h, gauge, rest_weight(h, datum), fill=fill)


def gauge_for(h: Hidden, x: Value, weight: Value) -> Value:
    """Return the set gauge pressure [Pa] that carries a weight at the wheel [N] at compression x [m]."""
    # The force grows in proportion to the set pressure, so two forces give the line.
    none, some = force(h, x, 0.0), force(h, x, 1e5)
    return 1e5 * (weight * h.leverage(x) - none) / (some - none)


def _close_in(left_over: Callable[[Value], Value], x: Value, steps: int = 5) -> Value:
    """Return where many slowly varying functions, each about as steep as x itself, cross zero: a few secant steps."""
    at = left_over(x)
    later = x - at
    for _ in range(steps - 1):
        now = left_over(later)
        slope = np.where(abs(later - x) > 1e-7, (now - at) / np.where(later == x, 1.0, later - x), 1.0)
        x, at, later = later, now, later - now / np.clip(slope, 0.15, 3.0)
    return later


def needed_psi(h: Hidden, gap: float, datum: Datum) -> Value:
    """Return what the pump has to show [psi] for a settled gap [m] without friction; at least 1."""
    weight, empty = rider_weight(h, h.share), rest_weight(h, datum)

    def left_over(x: Value) -> Value:
        gauge = gauge_for(h, x, weight)
        return x - settle(h, 0.5 * (gauge + abs(gauge)), empty, steps=8) - gap

    scalar = np.ndim(h.travel) == 0
    x = find_root(left_over, gap, 0.97 * h.travel) if scalar else _close_in(left_over, gap + 0.0 * h.travel)
    return np.maximum(1.0, (gauge_for(h, x, weight) / PSI - h.gauge_offset) / h.gauge_scale)


def stiffness(h: Hidden, x: Value, gauge: Value, weight: Value) -> Value:
    """Return by how much the spring's push grows over the load [N/m] at compression x [m]."""
    step = 1e-3 * h.travel
    rise = force(h, x + step, gauge) - force(h, x - step, gauge)
    return np.maximum(500.0, 0.5 * rise / step - weight * (h.leverage_end - h.leverage_start) / h.travel)
