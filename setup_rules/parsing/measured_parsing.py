"""A scale under a wheel and pushes on a spring: what is wrong with them, and what of the day is kept with them."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from typing import Any, Final

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.spring_test import fit_of, pushes_of
from setup_rules.inference.weighed_wheel import is_weighed, total_kg
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, places, whole
from setup_rules.physics.linkage import Leverage
from setup_rules.types import constants as c
from setup_rules.types.errors import Problem
from setup_rules.types.limits import LEAST_PUSHES, MOST_PUSHES
from setup_rules.types.request import EndName, FrontEnd, RearEnd, SetupRequest, SpringTest

#: Weights are kept to half a kilogram: by so much may three of them together be off [kg].
_ROUNDED_KG: Final = 1.0
#: Two pushes closer together than this share of the travel say the same.
_LEAST_STEP: Final = 0.04
#: From the first to the last push at least this share of the travel: less says nothing of the curve.
_LEAST_REACH: Final = 0.3
#: Up may lie over down by reading error alone: up to so many standard deviations at one push.
_CROSSED_SIGMAS: Final = 2.0
_FORCES: Final = ("force_down_n", "force_up_n")
#: What a scale shows in pounds for one kilogram.
_LB_PER_KG: Final = 2.2046


def keep_the_day(request: SetupRequest) -> SetupRequest:
    """Return a request whose scale and pushes carry the masses, stance, travel, spacers and air of their day.

    What changes later on the bike then changes nothing about what was measured.
    """
    day: dict[str, Any] = {}
    if request.front_axle_kg is not None or request.rear_axle_kg is not None:
        day = {"weighed_kg": total_kg(request), "weighed_stance": request.weighed_stance or request.stance}
    for name, end in request.ends():
        if end.spring_test is not None:
            day[name] = replace(end, spring_test=_test_of_the_day(end, end.spring_test, request))
    return replace(request, **day) if day else request


def _test_of_the_day(end: FrontEnd | RearEnd, test: SpringTest, request: SetupRequest) -> SpringTest:
    spacers, bench = test.tested_spacers, request.bench
    return replace(
        test,
        tested_travel_mm=test.tested_travel_mm or end.compression_mm,
        tested_spacers=end.volume_spacers if spacers is None else spacers,
        temperature_c=bench.temperature_c if test.temperature_c is None else test.temperature_c,
        altitude_m=bench.altitude_m if test.altitude_m is None else test.altitude_m,
    )


def measured_problems(request: SetupRequest) -> tuple[Problem, ...]:
    """Return what is wrong with the scale readings and the pushes of a request, each with what to do."""
    problems = _scale_problems(request)
    for name, end in request.ends():
        if end.spring_test is not None:
            problems += _test_problems(name, end, end.spring_test, request)
    return tuple(problems)


def _scale_problems(request: SetupRequest) -> list[Problem]:
    front, rear, all_kg = request.front_axle_kg, request.rear_axle_kg, total_kg(request)
    if front is None and rear is None:
        return []
    if request.rider_front_share_percent is not None and is_weighed(request):
        field = "front_axle_kg" if front is not None else "rear_axle_kg"
        return [Problem(field, Message.of("scale.share_too"))]
    # What was taken once is taken again after its weights were rounded to be kept.
    slack = 0.0 if request.weighed_kg is None else _ROUNDED_KG
    for field, reading in (("front_axle_kg", front), ("rear_axle_kg", rear)):
        if reading is not None and reading >= all_kg + slack:
            said = Message.of("scale.all_of_it", reading=as_typed(reading), total=as_typed(all_kg))
            return [Problem(field, said)]
    if request.weighed_kg is None and (unlike := _stance_problems(request)):
        return unlike
    if front is None or rear is None:
        return []
    allowed = max(c.SCALE_SUM_KG.value, c.SCALE_SUM.value * all_kg)
    if abs(front + rear - all_kg) <= allowed + slack:
        return []
    shown = {"front": front, "rear": rear, "sum": front + rear, "total": all_kg}
    said = Message.of("scale.sum", **{name: places(kg, 1) for name, kg in shown.items()}, allowed=places(allowed, 1))
    return [Problem("front_axle_kg", said)]


def _stance_problems(request: SetupRequest) -> list[Problem]:
    """Refuse readings that nobody can stand in; only on their own day, since masses that change later prove nothing."""
    whole_kg, bike_kg = total_kg(request), c.BIKE_FRONT_SHARE.mean * request.bike_mass_kg
    rider_kg, share = whole_kg - request.bike_mass_kg, c.STANDABLE_SHARE
    low, high = share.low * rider_kg + bike_kg, share.high * rider_kg + bike_kg
    problems = []
    for wheel, least, most in (("front", low, high), ("rear", whole_kg - high, whole_kg - low)):
        reading = getattr(request, f"{wheel}_axle_kg")
        if reading is not None and not least <= reading <= most:
            shown = {"reading": as_typed(reading), "total": as_typed(whole_kg)}
            said = Message.of(f"scale.no_stance.{wheel}", **shown, low=math.ceil(least), high=math.floor(most))
            problems.append(Problem(f"{wheel}_axle_kg", said))
    return problems[:1]


def _test_problems(name: EndName, end: FrontEnd | RearEnd, test: SpringTest, request: SetupRequest) -> list[Problem]:
    path = f"{name}.spring_test"
    if end.spring == "coil":
        return []  # refused as a whole: only an air spring is pushed
    problems = _pressure_problems(path, end, test) or _list_problems(path, test)
    problems = problems or _force_problems(path, test) or _place_problems(path, end, test)
    return problems or _spring_problems(path, name, end, test, request)


def _pressure_problems(path: str, end: FrontEnd | RearEnd, test: SpringTest) -> list[Problem]:
    """Refuse a test above the maximum that was entered: whoever made it stood beside too much air."""
    most, psi = end.max_pressure_psi, test.pressure_psi
    if most is None or psi <= most:
        return []
    said = Message.of(f"pushes.above_maximum.{_variant(end)}", psi=as_typed(psi), limit=as_typed(most))
    return [Problem(f"{path}.pressure_psi", said)]


def _variant(end: FrontEnd | RearEnd) -> str:
    return "fork" if isinstance(end, FrontEnd) else "shock"


def _list_problems(path: str, test: SpringTest) -> list[Problem]:
    count = len(test.compression_mm)
    if not LEAST_PUSHES <= count <= MOST_PUSHES:
        said = Message.of("pushes.count", count=count, least=LEAST_PUSHES, most=MOST_PUSHES)
        return [Problem(f"{path}.compression_mm", said)]
    return [
        Problem(f"{path}.{field}", Message.of("pushes.uneven", count=len(getattr(test, field)), pushes=count))
        for field in _FORCES
        if len(getattr(test, field)) != count
    ]


def _force_problems(path: str, test: SpringTest) -> list[Problem]:
    x, down, up = test.compression_mm, test.force_down_n, test.force_up_n
    for place, (before, after) in enumerate(itertools.pairwise(x)):
        if after <= before:
            said = Message.of("pushes.order", before=as_typed(before), after=as_typed(after))
            return [Problem(f"{path}.compression_mm", said)]
        if down[place + 1] <= down[place]:
            shown = {"before": _force(down[place]), "after": _force(down[place + 1])}
            said = Message.of("pushes.falling", **shown, first=as_typed(before), second=as_typed(after))
            return [Problem(f"{path}.force_down_n", said)]
        if up[place + 1] <= up[place]:
            shown = {"before": _force(up[place]), "after": _force(up[place + 1])}
            said = Message.of("pushes.falling_up", **shown, first=as_typed(before), second=as_typed(after))
            return [Problem(f"{path}.force_up_n", said)]
    return _crossed_problems(path, test)


def _crossed_problems(path: str, test: SpringTest) -> list[Problem]:
    """Refuse up above down: at one push by more than both may be off, or over all of them."""
    over = [up - down for up, down in zip(test.force_up_n, test.force_down_n, strict=True)]
    sigma = [max(c.PUSH_SIGMA_N.value, c.PUSH_SIGMA.value * down) for down in test.force_down_n]
    swapped = sum(over) > sum(sigma)
    for place, mm in enumerate(test.compression_mm):
        if over[place] > _CROSSED_SIGMAS * sigma[place] or (swapped and over[place] > 0.0):
            up, down = test.force_up_n, test.force_down_n
            said = Message.of("pushes.crossed", x=as_typed(mm), up=_force(up[place]), down=_force(down[place]))
            return [Problem(f"{path}.force_up_n", said)]
    return []


def _place_problems(path: str, end: FrontEnd | RearEnd, test: SpringTest) -> list[Problem]:
    if test.at == "wheel" and isinstance(end, FrontEnd):
        return [Problem(f"{path}.at", Message.of("pushes.fork_at_wheel"))]
    travel = _travel_mm(end, test)
    x = test.compression_mm
    if x[-1] >= travel:
        said = Message.of("pushes.beyond", x=as_typed(x[-1]), travel=whole(travel))
        return [Problem(f"{path}.compression_mm", said)]
    if min(b - a for a, b in itertools.pairwise(x)) < _LEAST_STEP * travel or x[-1] - x[0] < _LEAST_REACH * travel:
        said = Message.of("pushes.close", travel=whole(travel))
        return [Problem(f"{path}.compression_mm", said)]
    return []


def _travel_mm(end: FrontEnd | RearEnd, test: SpringTest) -> float:
    """Return how far the place that was pushed can move [mm], as it stood that day."""
    travel = test.tested_travel_mm or end.compression_mm
    if test.at == "spring" or isinstance(end, FrontEnd):
        return travel
    return Leverage.from_points(end.leverage_points).wheel_travel_m(travel / 1000) * 1000


def _spring_problems(
    path: str, name: EndName, end: FrontEnd | RearEnd, test: SpringTest, request: SetupRequest
) -> list[Problem]:
    pushes = pushes_of(end)
    friction = float(pushes.friction_n.mean())
    if friction > c.MOST_FRICTION[name].value:
        said = Message.of("pushes.friction", friction=_force(friction), most=_force(c.MOST_FRICTION[name].value))
        return [Problem(f"{path}.force_up_n", said)]
    fit = fit_of(EndModel(name, end, request))
    if fit.is_a_spring:
        return []
    worst, variant = fit.farthest, _variant(end)
    if (way := _wrong_unit(name, end, test, request)) is not None:
        return [Problem(f"{path}.force_down_n", Message.of(f"pushes.wrong_unit.{way}.{variant}"))]
    way = "more" if fit.residual_n[worst] > 0.0 else "less"
    shown = {"off": _force(abs(fit.residual_n[worst])), "allowed": _force(_allowed_n(fit.sigma_n[worst]))}
    said = Message.of(f"pushes.no_spring.{way}.{variant}", x=as_typed(test.compression_mm[worst]), **shown)
    return [Problem(f"{path}.force_down_n", said)]


def _wrong_unit(name: EndName, end: FrontEnd | RearEnd, test: SpringTest, request: SetupRequest) -> str | None:
    """Return whether kilograms taken for pounds ("less"), or pounds for kilograms, explain what no spring does."""
    for way, factor in (("less", _LB_PER_KG), ("more", 1.0 / _LB_PER_KG)):
        down, up = (tuple(factor * n for n in forces) for forces in (test.force_down_n, test.force_up_n))
        meant = replace(end, spring_test=replace(test, force_down_n=down, force_up_n=up))
        if fit_of(EndModel(name, meant, request)).is_a_spring:
            return way
    return None


def _force(force_n: float) -> Message:
    """Return a force as a part of a sentence, so that a page can say it in the unit that was typed."""
    return Message.of("label.force_in_newtons", n=whole(force_n))


def _allowed_n(sigma_n: float) -> float:
    return c.FARTHEST_PUSH.value * sigma_n
