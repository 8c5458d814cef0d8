"""Reasons of one end with air, and what to do after a check: keys, numbers and bounds for made-up numbers.

1 psi is 6894.757 Pa. The fork has 140 mm, is aimed at 30 mm (tolerance 2.8 mm), and holds 300 N at 10 N/mm there.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice import reasons as module
from setup_rules.advice.cautions import earlier_rules
from setup_rules.advice.reasons import end_reasons, order_notes, rules_changed, sag_check_advice
from setup_rules.inference.end_model import EndModel
from setup_rules.messages.catalogue import sources
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, FrontEnd, RearEnd, SetupRequest, ShopChecks
from setup_rules.types.result import ClickStart, EndSetup, Note, SagCheck, Setup
from setup_rules.types.spring_memory import SpringMemory
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_stop_rule import end_with

FORK = FrontEnd(travel_mm=140.0, stanchion_mm=34.0)
SHOCK = RearEnd(stroke_mm=55.0, leverage_start=2.8)


def model_of(end: FrontEnd | RearEnd = FORK, **request: Any) -> EndModel:
    """Return an end of a rider of 78 kg."""
    name: Any = "front" if isinstance(end, FrontEnd) else "rear"
    given: Any = {"rider_mass_kg": 78.0, "riding_style": "trail", name: end, **request}
    return EndModel(name, end, SetupRequest(**given))


def at(psi: float = 80.0, **changed: Any) -> EndSetup:
    """Return a fork at 80 psi, of 70 to 95, that may have 50 to 150 psi."""
    usual: dict[str, Any] = {
        "pressure_pa": psi * PSI_PA,
        "pressure_low_pa": 70 * PSI_PA,
        "pressure_high_pa": 95 * PSI_PA,
        "ride_pressure_pa": psi * PSI_PA,
        "max_pressure_pa": 150 * PSI_PA,
        "min_pressure_pa": 50 * PSI_PA,
        "friction_n": None,
    }
    return end_with(**{**usual, **changed})


def said(note: Note) -> tuple[str, dict[str, Any]]:
    """Return key and values of a note."""
    return note.said.key, dict(note.said.values)


def reasons(end: FrontEnd | RearEnd = FORK, request: dict[str, Any] | None = None, **changed: Any) -> dict[str, Note]:
    """Return an end's reasons by their codes without the end's name, in order."""
    model = model_of(end, **(request or {}))
    notes = end_reasons(model, at(**{"end": model.name, **changed}), 0.4)
    assert {note.end for note in notes} == {model.name}
    return {note.code.removeprefix(f"{model.name}_"): note for note in notes}


def test_the_usual_reasons_come_in_the_order_of_the_page() -> None:
    found = reasons()
    assert list(found) == ["load", "spring", "pressure", "sag", "gap"]
    assert said(found["load"]) == ("load.fork", {"share": 40, "bike": 14, "load": 300})
    assert found["load"].source == c.FRONT_SHARE["standing"].source
    assert said(found["gap"]) == ("gap.bike_at_rest", {})
    assert found["gap"].source == c.PRACTICE


def test_a_scale_under_a_wheel_is_the_source_of_the_load() -> None:
    assert reasons(request={"front_axle_kg": 38.0})["load"].source == sources.SCALE


@pytest.mark.parametrize(
    ("end", "key", "values"),
    [
        (FORK, "spring.fork.stanchion_entered.air", {"stanchion": 34}),
        (replace(FORK, negative_spring="coil"), "spring.fork.stanchion_entered.coil", {"stanchion": 34}),
        (replace(FORK, stanchion_mm=None), "spring.fork.stanchion_usual.air", {"stanchion": 34}),
        (SHOCK, "spring.shock", {"low": 36.5, "high": 45.5}),
        (replace(FORK, bore_mm=31.0), "spring.fork.stanchion_entered.air", {"stanchion": 34}),
        (replace(FORK, bore_mm=31.0, negative_volume_cm3=40.0), "spring.fork.stanchion_entered.air", {"stanchion": 34}),
        (replace(FORK, positive_volume_cm3=200.0), "spring.fork.stanchion_entered.air", {"stanchion": 34}),
        (
            replace(FORK, positive_volume_cm3=200.0, negative_volume_cm3=40.0),
            "spring.fork.stanchion_entered.air",
            {"stanchion": 34},
        ),
        (
            replace(FORK, bore_mm=31.0, positive_volume_cm3=200.5),
            "spring.fork.stanchion_entered.air",
            {"stanchion": 34},
        ),
    ],
)
def test_a_spring_is_that_of_its_class_until_all_is_known(end: Any, key: str, values: dict[str, Any]) -> None:
    note = reasons(end)["spring"]
    assert said(note) == (key, values)
    assert note.source == c.ESTIMATE


@pytest.mark.parametrize("negative", [{"negative_volume_cm3": 40.0}, {"negative_rate_n_per_mm": 3.0}])
def test_a_spring_of_which_all_is_entered_says_so(negative: dict[str, Any]) -> None:
    note = reasons(replace(FORK, bore_mm=31.0, positive_volume_cm3=200.5, **negative))["spring"]
    assert said(note) == ("spring.entered", {"bore": 31, "volume": 200.5})
    assert note.source == sources.ENTERED


@pytest.mark.parametrize(
    ("factor", "way", "percent"),
    [
        (1.0099, "as_typical", None),
        (0.9901, "as_typical", None),
        (1.016, "more", 2),
        (0.984, "less", 2),
        (1.06, "more", 6),
        (0.94, "less", 6),
    ],
)
def test_what_a_shops_checks_say_of_the_class_is_told(factor: float, way: str, percent: int | None) -> None:
    told = ShopChecks(spring_class="fork_34_air", checks=12, factor=factor, factor_sigma=0.02)
    note = reasons(replace(FORK, shop_checks=told))["shop_checks"]
    values = {"count": 12} | ({} if percent is None else {"percent": percent})
    assert said(note) == (f"shop_checks.{way}.fork", values)
    assert note.source == sources.SHOP_CHECKS


REMEMBERED = SpringMemory(riders=3, shift=(20.0, 0.0, 0.0), precision=(200.0, 0.0, 0.0, 0.0, 0.0, 0.0))


@pytest.mark.parametrize(
    ("end", "changed", "key"),
    [
        (FORK, {}, "pressure.fork"),
        (FORK, {"checks_used": 1}, "pressure.checked.fork"),
        (FORK, {"pressure_high_pa": 151 * PSI_PA}, "pressure.cut.fork"),
        (FORK, {"pressure_high_pa": 150 * PSI_PA}, "pressure.fork"),
        (replace(FORK, memory=REMEMBERED), {}, "pressure.bike.fork"),
        (replace(FORK, memory=REMEMBERED), {"checks_used": 1}, "pressure.checked.fork"),
    ],
)
def test_the_pressure_says_whose_range_it_is(end: FrontEnd, changed: dict[str, Any], key: str) -> None:
    note = reasons(end, **changed)["pressure"]
    assert note.said.key == key
    assert note.said.values["psi"] == 80
    assert note.source == sources.FORCE_BALANCE


@pytest.mark.parametrize(
    ("low", "high", "shown"),
    [(70, 95, (70, 95)), (40, 160, (50, 150)), (20, 45, (50, 50)), (155, 170, (150, 150))],
)
def test_the_range_of_the_pressure_stays_inside_its_limits(low: float, high: float, shown: tuple[int, int]) -> None:
    values = reasons(pressure_low_pa=low * PSI_PA, pressure_high_pa=high * PSI_PA)["pressure"].said.values
    assert (values["low"], values["high"]) == shown


@pytest.mark.parametrize(("expected", "near"), [(32.8, ".near"), (32.9, "")])
def test_a_pressure_at_its_limit_says_whether_the_target_is_near(expected: float, near: str) -> None:
    note = reasons(limited=True, sag_expected_mm=expected)["pressure"]
    assert said(note) == (f"pressure.limited.fork{near}", {"psi": 80})
    assert note.source == sources.SAG_LIMITS


def test_the_target_sag_is_the_styles_or_as_entered() -> None:
    note = reasons(sag_target_percent=22.5)["sag"]
    # Common practice, no source: 20 to 25 % in front for trail.
    assert said(note) == ("sag.style.fork", {"percent": 22.5, "low": 20.0, "high": 25.0})
    assert note.source == c.PRACTICE
    note = reasons(replace(FORK, sag_target_percent=27.0), sag_target_percent=27.0)["sag"]
    assert said(note) == ("sag.entered", {"percent": 27})
    assert note.source == sources.ENTERED


def test_another_place_or_weather_on_the_ride_is_told_with_its_pressure() -> None:
    ride = Conditions(temperature_c=30.5, altitude_m=1200.0)
    note = reasons(request={"ride": ride}, ride_pressure_pa=84.4 * PSI_PA)["conditions"]
    values = {"bench_c": 20, "bench_m": 0, "ride_c": 30.5, "ride_m": 1200, "psi": 84}
    assert said(note) == ("conditions", values)
    assert note.source == sources.CONDITIONS


CHART = ((60.0, 60.0), (80.0, 80.0), (100.0, 100.0))


def test_a_chart_is_read_for_the_rider_with_kit() -> None:
    # 78 kg and 4 kg of kit: 82 psi on a straight chart.
    note = reasons(replace(FORK, chart=CHART, chart_sag_percent=20.0), chart_fit_percent=104.4)["chart"]
    assert said(note) == ("chart.inside", {"psi": 82, "fit": 104, "sag": 20})
    assert note.source == sources.CHART


def test_beyond_a_chart_its_end_is_told() -> None:
    found = reasons(replace(FORK, chart=((60.0, 60.0), (75.0, 75.0))), chart_fit_percent=None)
    assert "chart" not in found
    assert said(found["chart_outside"]) == ("chart.outside", {"psi": 75, "fit": 0, "end": 75})
    assert found["chart_outside"].source == sources.CHART


START = ClickStart(out=7, total=16, clamped=False, damping_n_s_per_m=900.4)


@pytest.mark.parametrize(
    ("end", "clamped", "key"),
    [
        (replace(FORK, rebound_clicks=16), False, "clicks.rebound"),
        (replace(FORK, rebound_clicks=16), True, "clicks.rebound.at_end"),
        (FORK, False, "clicks.rebound.not_counted"),
        (
            replace(FORK, rebound_clicks=16, rebound_points=((2.0, 1500.0), (12.0, 400.0))),
            False,
            "clicks.rebound.points",
        ),
    ],
)
def test_the_rebound_says_how_its_clicks_are_known(end: FrontEnd, clamped: bool, key: str) -> None:
    note = reasons(end, rebound=replace(START, clamped=clamped))["rebound"]
    assert said(note) == (key, {"out": 7, "total": 16, "damping": 900})
    assert note.source == sources.DAMPING


def test_compression_has_a_reason_of_its_own() -> None:
    found = reasons(compression=replace(START, clamped=True))
    assert said(found["compression"]) == ("clicks.compression.at_end", {"out": 7, "total": 16, "damping": 900})
    assert "rebound" not in found


@pytest.mark.parametrize(
    ("factor", "key", "percent"),
    [
        (1.0099, "learned.as_assumed.fork", None),
        (0.9901, "learned.as_assumed.fork", None),
        (1.016, "learned.more.fork", 2),
        (0.984, "learned.less.fork", 2),
        (1.12, "learned.more.fork", 12),
        (0.9, "learned.less.fork", 10),
    ],
)
def test_what_the_checks_taught_is_told_from_one_per_cent_on(factor: float, key: str, percent: int | None) -> None:
    note = reasons(checks_used=2, force_factor=factor, friction_n=41.6)["learned"]
    assert said(note) == (key, {"count": 2, "friction": 42} | ({} if percent is None else {"percent": percent}))
    assert note.source == sources.LEARNED


@pytest.mark.parametrize("missing", [{"checks_used": 0}, {"force_factor": None}, {"friction_n": None}])
def test_without_checks_nothing_was_learned(missing: dict[str, Any]) -> None:
    assert "learned" not in reasons(**{"checks_used": 1, "force_factor": 1.1, "friction_n": 60.0, **missing})


@pytest.mark.parametrize("of", ["bike", "unit"])
@pytest.mark.parametrize(("shift", "way"), [(20.0, "more"), (-20.0, "less"), (0.0, "as_assumed")])
def test_what_earlier_riders_taught_is_told(of: str, shift: float, way: str) -> None:
    """A shift of 20 over a precision of 200 is about 0.1 in the logarithm of the pressure: about a tenth."""
    precision = (200.0 if shift else 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    memory = SpringMemory(riders=3, shift=(shift, 0.0, 0.0), precision=precision)
    note = reasons(replace(FORK, memory=memory) if of == "bike" else replace(FORK, unit_memory=memory))[of]
    assert note.said.key == f"learned_{of}.{way}.fork"
    assert note.said.values["count"] == 3
    if way != "as_assumed":
        percent = note.said.values["percent"]
        assert isinstance(percent, int)
        assert 5 <= percent <= 15
    assert note.source == sources.LEARNED


@pytest.mark.parametrize(("factor", "way"), [(1.016, "more"), (0.984, "less"), (1.0099, "as_assumed")])
def test_what_earlier_riders_taught_is_told_from_one_per_cent_on(
    monkeypatch: pytest.MonkeyPatch, factor: float, way: str
) -> None:
    monkeypatch.setattr(module, "typical_factor", lambda *_: factor)
    values = {"count": 3} | ({} if way == "as_assumed" else {"percent": 2})
    assert said(reasons(replace(FORK, memory=REMEMBERED))["bike"]) == (f"learned_bike.{way}.fork", values)


# After a check


def advised(set_psi: float, *, settled: bool = False, **changed: Any) -> Note:
    """Return what to do after a check at a pressure."""
    return sag_check_advice(SagCheck(end="front"), at(**changed), set_psi * PSI_PA, settled=settled)


@pytest.mark.parametrize(
    ("set_psi", "code", "values"),
    [
        (75.0, "sag_pump", {"psi": 80, "sag": 30.0, "low": 25.0, "high": 35.0, "change": 5}),
        (88.0, "sag_let_out", {"psi": 80, "sag": 30.0, "low": 25.0, "high": 35.0, "change": 8}),
        (80.4, "sag_again", {"psi": 80, "target": 30.0}),
        (79.0, "sag_pump", {"psi": 80, "sag": 30.0, "low": 25.0, "high": 35.0, "change": 1}),
    ],
)
def test_the_pump_is_told_the_difference_of_the_shown_pressures(
    set_psi: float, code: str, values: dict[str, Any]
) -> None:
    note = advised(set_psi)
    assert (note.code, note.source, note.end) == (code, "", "front")
    assert said(note) == (f"{code}.fork", values)


@pytest.mark.parametrize(
    ("expected", "code"), [(32.8, "sag_settled"), (32.9, "sag_at_limit"), (27.3, "sag_settled"), (27.1, "sag_at_limit")]
)
def test_done_is_on_target_or_at_a_limit(expected: float, code: str) -> None:
    note = advised(70.0, settled=True, sag_expected_mm=expected)
    assert (note.code, note.end) == (code, "front")
    assert note.source == (sources.TOLERANCE if code == "sag_settled" else sources.SAG_LIMITS)
    band = {"low": 25.0, "high": 35.0} if code == "sag_settled" else {}
    shown = {32.8: 33.0, 32.9: 33.0, 27.3: 27.5, 27.1: 27.0}[expected]
    assert said(note) == (f"{code}.fork", {"psi": 80, "sag": shown, "target": 30.0} | band)


def setup_with(**changed: Any) -> Setup:
    """Return an answer with both ends."""
    request = model_of(rear=SHOCK).request
    usual: dict[str, Any] = {"front": at(), "rear": at(end="rear"), "cautions": (), "reasons": ()}
    return Setup(request=request, **{**usual, **changed})


def test_numbers_of_earlier_rules_are_explained_until_they_are_computed_anew() -> None:
    assert rules_changed(setup_with(), "front") == ()
    (note,) = rules_changed(setup_with(rules_version="1"), "rear")
    assert (note.code, said(note), note.end) == ("rules_changed", ("rules_changed.shock", {}), "rear")
    kept = setup_with(cautions=earlier_rules("front"))
    assert [note.said.key for note in rules_changed(kept, "front")] == ["rules_changed.fork"]
    assert rules_changed(kept, "rear") == ()
    assert rules_changed(setup_with(cautions=earlier_rules("rear")), "front") == ()


def test_the_order_of_work_is_told_until_the_sag_is_done() -> None:
    (note,) = order_notes(setup_with())
    assert (note.code, note.said.key, note.source, note.end) == ("order_of_work", "order_of_work", c.PRACTICE, None)
    assert order_notes(setup_with(settled=False)) == (note,)
    assert order_notes(setup_with(settled=True)) == order_notes(setup_with(front=None)) == ()
    assert order_notes(setup_with(rear=None)) == ()
