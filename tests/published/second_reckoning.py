"""A second reckoning of a whole request: pressure, rest, sag and clicks, every unknown at its central value.

Written from the design, without the product's code, so that a rule that asks about the wrong thing where two features
meet (luggage and chart, entered share and reference) does not stand on both sides. One draw, scalar, in N, mm, kg and
MPa; equations are solved by SciPy's bracketed root finder.

The design is silent on some points. There this follows what was decided for the product: the reference rider of the
clicks has this rider's stance (not the share that is entered or that a scale shows), sits at the sag of trail riding
and knows no limit; a chart means a standing rider, this bike and, where it is for the rider alone, this kit; a minimum
holds at the bench alone; of stocked coils within 0.5 % of the travel the least preload counts.

Source: balance of moments and forces (any text on statics), gas law and polytropic law (any text on thermodynamics),
virtual work and the damped oscillator (any text on vibration); loads from `second_loads`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from scipy.optimize import brentq

from tests.published import second_estimates as our
from tests.published.on_paper import Chambers, clicks_out
from tests.published.second_loads import Carried, Path, bike_kg, carried, path_of, reference
from tests.published.second_springs import Air, Spring, Steel, places_of

Body = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Answer:
    """One end: psi gauge at the bench (0 with steel), mm, N; clicks before they are rounded, and as set."""

    psi: float
    rate: float
    preload: float
    limited: bool
    rest: float
    sag_target: float
    sag: float
    wheel_sag: float
    load: float
    damping: float
    rebound: float
    compression: float | None
    rebound_set: int
    compression_set: int | None


# --- what pushes back


def inside_of(name: str, end: Body, length: float) -> Chambers:
    """Return an air spring's inside: as entered, the rest by its class, whose lengths are those without travel spacers.

    Travel spacers hold the legs deeper at full extension: so much less air is shut in below.
    """
    class_bore, ratio = our.class_of(name, end)
    bore, longest = end.get("bore_mm", class_bore), our.longest_of(end)
    area = math.pi / 4 * bore**2
    rod = end.get("rod_mm")
    coil = end.get("negative_spring", "air") == "coil"
    legs = our.LEG_AREA * area if name == "front" else 0.0
    return Chambers(
        travel=length,
        bore=bore,
        volume=volume_of(name, end, area, ratio),
        negative_area=0.0 if coil else our.NEGATIVE_AREA[name] * area if rod is None else area - math.pi / 4 * rod**2,
        negative_volume=negative_of(name, end, area * longest),
        port=end.get("port_position_mm", our.PORT * longest),
        coil_rate=end.get("negative_rate_n_per_mm", our.COIL_RATE) if coil else 0.0,
        coil_length=end.get("negative_length_mm", our.COIL_LENGTH) if coil else 0.0,
        leg_area=legs,
        leg_volume=(our.LEG_VOLUME * longest - (longest - length)) * legs if legs else 1.0,
        gas=our.GAS[name],
    )


def volume_of(name: str, end: Body, area: float, ratio: float) -> float:
    """Return the positive chamber [mm³] fully extended: travel spacers take stroke and leave what is compressed."""
    length = end.get("travel_mm") or end["stroke_mm"]
    whole = area * our.longest_of(end) / (ratio - 1.0) + area * length
    if (entered := end.get("positive_volume_cm3")) is not None:
        whole = entered * 1000.0
    spacers = end.get("volume_spacers", 0) * (end.get("volume_spacer_cm3") or our.SPACER_CM3[name])
    return float(whole - 1000.0 * (spacers + end.get("air_lubricant_cm3", 0.0)))


def negative_of(name: str, end: Body, swept: float) -> float:
    """Return the negative chamber [mm³] fully extended."""
    if (entered := end.get("negative_volume_cm3")) is not None:
        return float(entered * 1000.0)
    return our.NEGATIVE_VOLUME[name, end.get("negative_size")] * swept


def air_of(body: Body, name: str) -> Air:
    """Return the air spring of one end."""
    end = body[name]
    inside = inside_of(name, end, end.get("travel_mm") or end["stroke_mm"])
    second = end.get("second_volume_cm3")
    if second is None:
        return Air(inside=inside, at=places_of(body))
    most = end.get("second_max_pressure_psi") or our.limits_of(name, {**end, "max_pressure_psi": None})[1]
    return Air(
        inside=inside,
        at=places_of(body),
        second=second * 1000.0,
        ratio=end["second_pressure_ratio"],
        second_most=most,
    )


# --- where it comes to rest


def hangs_at(spring: Spring, setting: float, load: Callable[[float], float], length: float) -> float:
    """Return the compression [mm] at which a spring carries a load: 0 where it is not moved, the end where it is."""

    def over(x: float) -> float:
        return spring.settled(setting, x) - load(x)

    if over(0.0) >= 0.0:
        return 0.0
    return length if over(length) <= 0.0 else float(brentq(over, 0.0, length, xtol=1e-10))


def rest_of(spring: Spring, setting: float, held: Carried, path: Path, datum: str) -> float:
    """Return where the O-ring's gap begins [mm]: on its wheels without the rider, or with the wheel hanging."""
    kg = held.without if datum == "bike_at_rest" else -held.below
    return hangs_at(spring, setting, lambda x: path.load(kg, x), path.length)


def gap_of(spring: Spring, setting: float, held: Carried, path: Path, datum: str) -> float:
    """Return the sag [mm]: under the rider less where the gap begins."""
    deep = hangs_at(spring, setting, lambda x: path.load(held.with_rider, x), path.length)
    return deep - rest_of(spring, setting, held, path, datum)


def setting_for(spring: Spring, held: Carried, path: Path, datum: str, sag: float) -> float:
    """Return the setting (psi, N/mm) that makes a sag [mm]: the firmest one, since a slack spring has no gap either."""

    def over(setting: float) -> float:
        return gap_of(spring, setting, held, path, datum) - sag

    firm = 3000.0
    while over(soft := 0.9 * firm) < 0.0:
        firm = soft
    return float(brentq(over, soft, firm, xtol=1e-9))


# --- clicks


def damping_of(spring: Spring, setting: float, held: Carried, path: Path, ratio: float) -> float:
    """Return the damping [N·s/m] at the spring for a damping ratio, as the mass at the wheel asks for it at its sag."""
    x = hangs_at(spring, setting, lambda x: path.load(held.with_rider, x), path.length)
    quick, step = spring.quick(setting, x), 1e-3
    ahead, behind = quick(step) / path.lever(x + step), quick(-step) / path.lever(x - step)
    rate = (ahead - behind) / (2 * step * path.lever(x)) * 1000.0
    return 2 * ratio * math.sqrt(rate * held.with_rider * path.sine**2) * path.lever(x) ** 2


def between_points(points: Sequence[Sequence[float]], damping: float) -> float:
    """Return clicks out between two known points of a damper: every click the same ratio."""
    (near, firm), (far, light) = points
    return near + (far - near) * math.log(firm / damping) / math.log(firm / light)


def set_clicks(out: float, offset: int, total: int) -> int:
    """Return the clicks that are set: whole ones, from closed to open."""
    return min(max(math.floor(out + 0.5) + offset, 0), total)


@dataclass(frozen=True, kw_only=True)
class Placed:
    """A spring, its setting and what it carries: all that the clicks and the O-ring ask for."""

    spring: Spring
    setting: float
    held: Carried
    path: Path
    datum: str
    preload: float = 0.0
    limited: bool = False


def placed_air(body: Body, name: str, held: Carried, sag: float) -> Placed:
    """Return an air spring pumped for a sag [mm], within its limits at the bench and on the ride."""
    end, spring, path = body[name], air_of(body, name), path_of(name, body[name])
    datum = end.get("datum", "bike_at_rest")
    wanted = setting_for(spring, held, path, datum, sag)
    least, most = our.limits_of(name, end)
    most = min(
        most, spring.second_most
    )  # the second chamber holds no less than the first, or they are one from the start
    kept = min(max(wanted, least), most, spring.at_bench(most))
    return Placed(spring=spring, setting=kept, held=held, path=path, datum=datum, limited=abs(kept - wanted) > 1e-6)


def placed_steel(body: Body, name: str, held: Carried, sag: float) -> Placed:
    """Return a coil of the rate that makes a sag [mm] at the least preload, or one of the stocked rates.

    Each stocked rate takes the preload that brings it nearest. Of those within 0.5 % of the travel the one with the
    least preload, else the nearest: the product's rule, on which the design is silent. A spring that is not held off
    the end of its travel by its rider is none to choose.
    """
    end, path = body[name], path_of(name, body[name])
    datum, least = end.get("datum", "bike_at_rest"), our.LEAST_PRELOAD[name]
    exact = Steel(preload=least, gas=our.GAS[name])
    if (rates := end.get("stocked_rates_n_per_mm")) is None:
        setting = setting_for(exact, held, path, datum, sag)
        return Placed(spring=exact, setting=setting, held=held, path=path, datum=datum, preload=least)

    def miss(one: Placed) -> float:
        return abs(gap_of(one.spring, one.setting, held, path, datum) - sag)

    def best(rate: float) -> Placed:
        fitted = [
            Placed(spring=Steel(preload=p, gas=exact.gas), setting=rate, held=held, path=path, datum=datum, preload=p)
            for p in preloads(end, least, our.MOST_PRELOAD[name], path.length)
        ]
        return min(fitted, key=miss)

    choices = [one for one in map(best, rates) if hangs_at_sag(one) < path.length]
    close = [one for one in choices if miss(one) <= 0.005 * path.length]
    return min(close, key=lambda one: (one.preload, miss(one))) if close else min(choices, key=miss)


def hangs_at_sag(one: Placed) -> float:
    """Return the compression [mm] at which a spring that is set carries its rider."""
    return hangs_at(one.spring, one.setting, lambda x: one.path.load(one.held.with_rider, x), one.path.length)


def preloads(end: Body, least: float, assumed_most: float, length: float) -> list[float]:
    """Return the preloads [mm] that can be set: quarter turns where the pitch is known, else half millimetres."""
    most = end.get("preload_mm_max", assumed_most)
    most = min(most, end["coil_stroke_mm"] - length) if "coil_stroke_mm" in end else most
    step = end["preload_pitch_mm"] / 4 if "preload_pitch_mm" in end else 0.5
    return [p for i in range(1 + math.ceil(most / step)) if least - 1e-9 <= (p := i * step) <= most + 1e-9]


def placed(body: Body, name: str, held: Carried, sag: float) -> Placed:
    """Return the spring of an end set for a sag [mm]."""
    steel = body[name].get("spring", "air") == "coil"
    return (placed_steel if steel else placed_air)(body, name, held, sag)


def target_of(body: Body, name: str) -> float:
    """Return the target sag [mm]: entered or the middle of the style's, in per cent of travel or stroke."""
    entered = body[name].get("sag_target_percent")
    percent = our.STYLE_SAG[body["riding_style"]][name] if entered is None else entered
    return float(percent * path_of(name, body[name]).length / 100.0)


def gap_where_set(body: Body, one: Placed) -> float:
    """Return the sag [mm] that a set spring shows where it was set: the same air in it, in the bench's air."""
    spring = one.spring
    if isinstance(spring, Air):
        here = places_of({**body, "ride": body.get("bench", {})})
        second = {"ratio": spring.second_psi(one.setting) / one.setting, "second_most": math.inf}
        spring = replace(spring, at=here, **(second if spring.second else {}))
    return gap_of(spring, one.setting, one.held, one.path, one.datum)


def middle_damping(body: Body, name: str, one: Placed, ratio: float) -> float:
    """Return the damping [N·s/m] of the middle click: the reference rider's on this spring, set for that rider.

    Its second chamber keeps the ratio that it has, which its maximum may have lowered.
    """
    held, path = reference(body, name), path_of(name, body[name])
    spring = one.spring
    if isinstance(spring, Air) and spring.second:
        spring = replace(spring, ratio=spring.second_psi(one.setting) / one.setting, second_most=math.inf)
    elif isinstance(spring, Steel):
        spring = replace(spring, preload=our.LEAST_PRELOAD[name])
    sag = our.STYLE_SAG["trail"][name] * path.length / 100.0
    return damping_of(spring, setting_for(spring, held, path, one.datum, sag), held, path, ratio)


def damping_at(one: Placed, ratio: float) -> float:
    """Return the damping [N·s/m] at a spring that is set."""
    return damping_of(one.spring, one.setting, one.held, one.path, ratio)


def answer(body: Body, name: str) -> Answer:
    """Return the whole answer for one end of a request."""
    end, style, sag = body[name], body["riding_style"], target_of(body, name)
    one = placed(body, name, carried(body, name), sag)
    rest = rest_of(one.spring, one.setting, one.held, one.path, one.datum)
    got = gap_of(one.spring, one.setting, one.held, one.path, one.datum)
    damping, total = damping_at(one, our.REBOUND[style]), end.get("rebound_clicks", our.CLICKS)
    if points := end.get("rebound_points"):
        out = between_points(points, damping)
    else:
        out = clicks_out(damping, middle_damping(body, name, one, our.REBOUND["trail"]), total)
    squeezed = compression_out(body, name, one)
    steel = isinstance(one.spring, Steel)
    return Answer(
        psi=0.0 if steel else one.setting,
        rate=one.setting if steel else 0.0,
        preload=one.preload,
        limited=one.limited,
        rest=rest,
        sag_target=sag,
        sag=got,
        wheel_sag=one.path.at_wheel(rest, sag),
        load=one.path.load(one.held.with_rider, rest + sag),
        damping=damping,
        rebound=out,
        compression=squeezed,
        rebound_set=set_clicks(out, end.get("rebound_offset_clicks", 0), total),
        compression_set=squeezed
        if squeezed is None
        else set_clicks(squeezed, end.get("compression_offset_clicks", 0), end["compression_clicks"]),
    )


def compression_out(body: Body, name: str, one: Placed) -> float | None:
    """Return the clicks of the compression adjuster before they are rounded, None where none is entered."""
    if (total := body[name].get("compression_clicks")) is None:
        return None
    wanted = damping_at(one, our.COMPRESSION[body["riding_style"]])
    return clicks_out(wanted, middle_damping(body, name, one, our.COMPRESSION["trail"]), total)


def chart_psi(body: Body, name: str, told: Body, kg: float) -> float:
    """Return the pressure [psi] that a manual's chart would give for a weight [kg] on this spring."""
    asked = chart_body(body, name, body[name] | told, kg)
    asked[name] |= {"max_pressure_psi": 3000.0, "min_pressure_psi": 0.0}
    return round(answer(asked, name).psi, 1)


def chart_body(body: Body, name: str, end: Body, kg: float) -> Body:
    """Return the request that a manual's chart answers for a weight [kg].

    A chart is for anybody: standing on a bare bike, kit on, at 20 °C near sea level, at the chart's
    own travel and sag; where it names no sag the middle of trail riding, as for the reference rider of the clicks.
    """
    asked = {key: value for key, value in end.items() if key not in ("chart", "sag_target_percent")}
    if "chart_sag_percent" in end:
        asked["sag_target_percent"] = end["chart_sag_percent"]
    if "chart_travel_mm" in end:
        asked |= {"longest_travel_mm": our.longest_of(end), "travel_mm": end["chart_travel_mm"]}
    return {
        "rider_mass_kg": kg,
        "kit_mass_kg": 0.0 if end["chart_weight"] == "rider_and_kit" else body.get("kit_mass_kg", 4.0),
        "bike_mass_kg": bike_kg(body),
        "riding_style": "trail",
        "stance": "standing",
        name: asked,
    }
