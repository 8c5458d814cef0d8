"""What is answered and said of a second positive chamber: its pressure, where it joins, and what to take care of."""

from __future__ import annotations

from setup_rules.advice.wording import is_above, whole_psi
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.second_chamber import has_second, second_maximum_pa, second_pressure_pa
from setup_rules.inference.start_setting import DrawnEnd
from setup_rules.messages.catalogue import sources
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, whole
from setup_rules.physics.twin_air_spring import TwinAirSpring
from setup_rules.types import constants as c
from setup_rules.types.result import EndSetup, Note, SecondChamber


def answer_second(drawn: DrawnEnd, first_pa: float) -> SecondChamber | None:
    """Return what to pump into the second chamber of a drawn end for a pressure of the first, None without one."""
    model = drawn.model
    if not has_second(model.end) or model.has_coil:
        return None
    end, ride = model.end, model.request.ride
    pressure_pa = second_pressure_pa(end, model.request, first_pa)
    return SecondChamber(
        pressure_pa=pressure_pa,
        ride_pressure_pa=float(model.setting.shown(model.setting.acting(pressure_pa, ride), ride)),
        max_pressure_pa=second_maximum_pa(end),
        max_pressure_assumed=end.second_max_pressure_psi is None and end.max_pressure_psi is None,
        volume_cm3=end.second_volume_cm3 or 0.0,
        joins_at_mm=_joins_at_mm(drawn),
        limited=is_above((end.second_pressure_ratio or 1.0) * first_pa, pressure_pa),
    )


def _joins_at_mm(drawn: DrawnEnd) -> float | None:
    spring = drawn.model.springs(drawn.posterior.centre)
    if not isinstance(spring, TwinAirSpring):
        return None
    joins_m = float(spring.joins_at_m())
    return 1000 * joins_m if joins_m < drawn.model.travel_m else None


def second_reasons(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    """Return why the second chamber has its pressure, and where it joins; empty without one."""
    second = result.second
    if second is None:
        return ()
    values = {"volume": as_typed(second.volume_cm3), "psi": whole_psi(second.pressure_pa)}
    if second.limited:
        said = Message.of("second.limited", **values)
    else:
        said = Message.of("second.ratio", **values, ratio=as_typed(model.end.second_pressure_ratio or 1.0))
    code = f"{model.name}_second"
    pressure = Note(code, said, sources.ENTERED, model.name)
    return pressure, Note(f"{code}_joins", _said_of_joining(result, second), sources.FORCE_BALANCE, model.name)


def _said_of_joining(result: EndSetup, second: SecondChamber) -> Message:
    travel = as_typed(result.travel_mm)
    if second.joins_at_mm is None:
        return Message.of("second.never_joins", travel=travel)
    beyond = result.rest_mm + result.sag_expected_mm > second.joins_at_mm
    return Message.of(
        f"second.joins.{'in_sag' if beyond else 'after_sag'}", joins=whole(second.joins_at_mm), travel=travel
    )


def second_cautions(model: EndModel, result: EndSetup) -> tuple[Note, ...]:
    """Return the cautions of an end with a second chamber: two valves under pressure, and its maximum."""
    second = result.second
    if second is None:
        return ()
    notes = [Note("second_chamber", Message.of("caution.second_chamber"), end=model.name)]
    if second.limited:
        key = "caution.second_limited.assumed" if second.max_pressure_assumed else "caution.second_limited"
        wanted = (model.end.second_pressure_ratio or 1.0) * result.pressure_pa
        said = Message.of(key, wanted=whole_psi(wanted), psi=whole_psi(second.pressure_pa))
        notes.append(Note("second_limited", said, c.ESTIMATE if second.max_pressure_assumed else "", model.name))
    return tuple(notes)
