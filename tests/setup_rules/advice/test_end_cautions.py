"""Cautions of one end with air, and its second chamber, each for made-up numbers: its key, its numbers, its bounds.

1 psi is 6894.757 Pa. The fork has 140 mm, is aimed at 30 mm (tolerance 2.8 mm), and holds 300 N at 10 N/mm there.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules import read_request, recommend
from setup_rules.advice.cautions import chart_cautions, end_cautions, general_cautions
from setup_rules.advice.second_chamber import answer_second, second_cautions, second_reasons
from setup_rules.inference.posterior import prior
from setup_rules.inference.start_setting import Banded, DrawnEnd
from setup_rules.messages.catalogue import sources
from setup_rules.physics.twin_air_spring import TwinAirSpring
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, FrontEnd, RearEnd
from setup_rules.types.result import Note, SecondChamber
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_end_reasons import FORK, SHOCK, at, model_of, said


def cautions(
    end: FrontEnd | RearEnd = FORK, wanted: float = 80.0, most: float = 150.0, request: Any = None, **changed: Any
) -> dict[str, Note]:
    """Return an end's cautions by their codes."""
    model, band = model_of(end, **(request or {})), Banded(0.0, wanted * PSI_PA, 999.0 * PSI_PA)
    notes = end_cautions(model, at(**{"end": model.name, **changed}), band, most * PSI_PA)
    assert {note.end for note in notes} <= {model.name}
    return {note.code: note for note in notes}


def test_every_setup_has_its_two_cautions_and_coils_their_own() -> None:
    def codes(**ends: Any) -> list[str]:
        notes = general_cautions(model_of(**ends).request)
        assert [note.said.key for note in notes] == [f"caution.{note.code}" for note in notes]
        return [note.code for note in notes]

    assert codes() == ["start_point", "stop_and_ask"]
    assert codes(end=replace(FORK, negative_spring="coil")) == ["start_point", "stop_and_ask", "coil_negative"]
    assert codes(rear=replace(SHOCK, spring="coil")) == ["start_point", "stop_and_ask", "coil_preload"]


def test_a_usual_end_needs_no_caution() -> None:
    assert cautions() == {}


@pytest.mark.parametrize("wanted", [150.0, 150.4])
def test_the_maximum_itself_as_it_is_shown_is_no_caution(wanted: float) -> None:
    assert cautions(wanted=wanted) == {}


def test_above_a_printed_maximum_says_what_is_left() -> None:
    found = cautions(wanted=151.0, sag_expected_mm=36.0)
    assert list(found) == ["pressure_above_maximum", "limited"]
    values = {"wanted": 151, "limit": 150, "sag": 36.0}
    assert said(found["pressure_above_maximum"]) == ("caution.pressure_above_maximum.fork", values)
    # 36 of 140 mm are 25.7 %, which a rider may aim at.
    assert said(found["limited"]) == ("caution.limited.maximum.fork.target", {"percent": 26})
    assert found["limited"].source == c.PRACTICE


def test_below_a_minimum_says_what_is_left() -> None:
    found = cautions(wanted=49.0, sag_expected_mm=20.0)
    assert list(found) == ["pressure_below_minimum", "limited"]
    values = {"wanted": 49, "limit": 50, "sag": 20.0}
    assert said(found["pressure_below_minimum"]) == ("caution.pressure_below_minimum.fork", values)
    assert said(found["limited"]) == ("caution.limited.minimum.fork.target", {"percent": 14})
    assert cautions(wanted=49.8) == {}


@pytest.mark.parametrize(
    ("expected", "key"),
    [
        (32.8, "caution.limited.maximum.near"),
        (56.0, "caution.limited.maximum.fork.target"),
        (56.1, "caution.limited.maximum.fork"),
        (11.2, "caution.limited.maximum.fork.target"),
        (11.1, "caution.limited.maximum.fork"),
    ],
)
def test_another_target_is_the_way_out_where_it_is_usual(expected: float, key: str) -> None:
    # Usual are 8 to 40 % of the travel: 11.2 to 56 mm of 140.
    assert cautions(wanted=160.0, sag_expected_mm=expected)["limited"].said.key == key


def test_near_the_target_the_sag_is_told() -> None:
    note = cautions(wanted=160.0, sag_expected_mm=32.0)["limited"]
    assert (said(note), note.source) == (("caution.limited.maximum.near", {"sag": 32.0}), c.PRACTICE)


def test_an_assumed_maximum_is_told_and_is_to_be_read() -> None:
    note = cautions(max_pressure_assumed=True)["maximum_assumed"]
    assert said(note) == ("caution.maximum_assumed.fork", {"limit": 150})
    found = cautions(wanted=160.0, psi=149.0, max_pressure_assumed=True, sag_expected_mm=36.0)
    assert list(found) == ["pressure_above_maximum", "limited"]
    above = found["pressure_above_maximum"]
    assert said(above) == ("caution.pressure_above_assumed.fork", {"wanted": 160, "limit": 150, "psi": 149})
    assert above.source == c.ESTIMATE
    assert (said(found["limited"]), found["limited"].source) == (("caution.limited.assumed.fork", {}), c.ESTIMATE)
    below = cautions(wanted=40.0, max_pressure_assumed=True, sag_expected_mm=20.0)
    assert below["limited"].said.key == "caution.limited.minimum.fork.target"


def test_a_maximum_that_only_a_warm_ride_reaches_says_so() -> None:
    found = cautions(wanted=148.0, most=140.0, psi=140.0, sag_expected_mm=36.0)
    values = {"wanted": 148, "psi": 140, "limit": 150}
    note = found["pressure_above_maximum"]
    assert (said(note), note.source) == (("caution.pressure_above_on_ride.fork", values), "")


def test_a_bench_that_may_have_more_than_the_maximum_is_no_warm_ride() -> None:
    found = cautions(wanted=160.0, most=152.0, sag_expected_mm=36.0)
    assert found["pressure_above_maximum"].said.key == "caution.pressure_above_maximum.fork"


@pytest.mark.parametrize(("celsius", "there"), [(0.0, False), (-0.5, True), (0.5, False)])
def test_cold_oil_is_told_below_freezing(celsius: float, there: bool) -> None:
    found = cautions(request={"ride": Conditions(temperature_c=celsius)})
    assert ("cold_oil" in found) is there
    if there:
        assert said(found["cold_oil"]) == ("caution.cold_oil.fork", {"celsius": -0.5})
        assert found["cold_oil"].source == c.PRACTICE


@pytest.mark.parametrize(
    ("bench", "ride", "there"), [(0, 800, False), (0, 801, True), (1500, 600, True), (900, 100, False)]
)
def test_air_shut_into_the_lower_legs_is_told_from_800_metres_on(bench: int, ride: int, there: bool) -> None:
    places = {"bench": Conditions(altitude_m=float(bench)), "ride": Conditions(altitude_m=float(ride))}
    found = cautions(request=places)
    assert ("lower_legs" in found) is there
    if there:
        assert said(found["lower_legs"]) == ("caution.lower_legs", {"bench": bench, "ride": ride})
        assert found["lower_legs"].source == c.ESTIMATE
    assert "lower_legs" not in cautions(SHOCK, request=places)
    assert "lower_legs" not in cautions(replace(FORK, spring="coil"), request=places)


@pytest.mark.parametrize(("percent", "there"), [(8.0, False), (7.9, True), (40.0, False), (40.5, True)])
def test_an_unusual_target_is_told(percent: float, there: bool) -> None:
    found = cautions(sag_target_percent=percent)
    assert ("sag_unusual" in found) is there
    if there:
        assert said(found["sag_unusual"]) == ("caution.sag_unusual", {"percent": percent, "low": 8.0, "high": 40.0})
        assert found["sag_unusual"].source == c.PRACTICE


@pytest.mark.parametrize(("rate", "there"), [(70.0, True), (73.0, False)])
@pytest.mark.parametrize("rest", [0.0, 10.0])
def test_a_load_that_grows_with_the_stroke_is_not_steady(rest: float, rate: float, there: bool) -> None:
    # Leverage from 2 to 4 over 50 mm grows by 0.04/mm. At 25 mm it is 3: a load of 3810 N at the spring is 1270 N at
    # the wheel, which grows by 50.8 N/mm: 70 % of 72.57 N/mm. A bike that rests 10 mm in has 15 mm of sag there.
    rising = RearEnd(stroke_mm=50.0, leverage_start=2.0, leverage_end=4.0)
    more = {"sag_target_mm": 25.0 - rest, "rest_mm": rest, "load_n": 3810.0, "rate_n_per_m": 1000 * rate}
    found = cautions(rising, travel_mm=50.0, **more)
    assert list(found) == ["sag_unsteady"] * there
    if there:
        assert said(found["sag_unsteady"]) == ("caution.sag_unsteady", {})


@pytest.mark.parametrize(
    ("travel", "longest", "codes"),
    [
        (140.0, 140.0, []),
        (140.0, 130.0, []),
        (140.0, 150.0, ["travel_spacers"]),
        (95.0, None, []),
        (94.0, None, ["travel_unusual"]),
        (175.0, None, []),
        (176.0, None, ["travel_unusual"]),
        (140.0, 180.0, ["travel_spacers", "travel_unusual"]),
    ],
)
def test_a_travel_set_by_spacers_or_unusual_for_its_stanchions_is_told(
    travel: float, longest: float | None, codes: list[str]
) -> None:
    # A fork of 34 mm usually has 120 to 150 mm; 25 mm more or less are let pass.
    found = cautions(FrontEnd(travel_mm=travel, longest_travel_mm=longest, stanchion_mm=34.0))
    assert list(found) == codes
    if "travel_unusual" in found:
        values = {"travel": longest or travel, "stanchion": 34, "low": 120.0, "high": 150.0}
        assert said(found["travel_unusual"]) == ("caution.travel_unusual", values)
        assert found["travel_unusual"].source == c.ESTIMATE
    assert list(cautions(FrontEnd(travel_mm=94.0))) == []


@pytest.mark.parametrize(
    ("psi", "way", "percent"), [(70.0, None, 0), (100.0, None, 0), (69.0, "lower", 14), (104.0, "higher", 30)]
)
def test_a_chart_outside_of_what_is_usual_is_told(psi: float, way: str | None, percent: int) -> None:
    notes = chart_cautions("front", psi * PSI_PA, Banded(70 * PSI_PA, 80 * PSI_PA, 100 * PSI_PA))
    assert [said(note) for note in notes] == [
        (f"caution.chart_{way}.fork", {"psi": psi, "percent": percent, "low": 70, "high": 100})
    ] * (way is not None)
    assert {note.code for note in notes} <= {"chart_differs"}


# Second chamber

DOUBLE = replace(FORK, second_volume_cm3=40.0, second_pressure_ratio=1.8)


def second_of(**changed: Any) -> SecondChamber:
    """Return a second chamber at 144 psi."""
    usual: dict[str, Any] = {
        "pressure_pa": 144 * PSI_PA,
        "ride_pressure_pa": 144 * PSI_PA,
        "max_pressure_pa": 150 * PSI_PA,
        "max_pressure_assumed": False,
        "volume_cm3": 40.0,
        "joins_at_mm": 61.6,
        "limited": False,
    }
    return SecondChamber(**{**usual, **changed})


@pytest.mark.parametrize(
    ("joins", "key", "values"),
    [
        (None, "second.never_joins", {"travel": 140}),
        (61.6, "second.joins.after_sag", {"joins": 62, "travel": 140}),
        (36.0, "second.joins.after_sag", {"joins": 36, "travel": 140}),
        (35.9, "second.joins.in_sag", {"joins": 36, "travel": 140}),
    ],
)
def test_where_the_second_chamber_joins_is_told(joins: float | None, key: str, values: dict[str, Any]) -> None:
    # It rests at 6 mm and has 30 mm of sag: the rider stands at 36 mm.
    pressure, where = second_reasons(model_of(DOUBLE), at(rest_mm=6.0, second=second_of(joins_at_mm=joins)))
    assert said(pressure) == ("second.ratio", {"volume": 40, "psi": 144, "ratio": 1.8})
    assert (pressure.code, pressure.source, pressure.end) == ("front_second", sources.ENTERED, "front")
    assert said(where) == (key, values)
    assert (where.code, where.source, where.end) == ("front_second_joins", sources.FORCE_BALANCE, "front")


def test_a_second_chamber_at_its_maximum_says_so_and_asks_for_the_printed_one() -> None:
    pressure, _ = second_reasons(model_of(DOUBLE), at(second=second_of(limited=True)))
    assert said(pressure) == ("second.limited", {"volume": 40, "psi": 144})
    two, limited = second_cautions(model_of(DOUBLE), at(100.0, second=second_of(limited=True)))
    assert (two.code, two.said.key, two.end) == ("second_chamber", "caution.second_chamber", "front")
    assert said(limited) == ("caution.second_limited", {"wanted": 180, "psi": 144})
    assert (limited.code, limited.source, limited.end) == ("second_limited", "", "front")
    assumed = second_of(limited=True, max_pressure_assumed=True)
    limited = second_cautions(model_of(DOUBLE), at(100.0, second=assumed))[1]
    assert (limited.said.key, limited.source) == ("caution.second_limited.assumed", c.ESTIMATE)


@pytest.mark.parametrize(("joins_m", "shown"), [(0.1, 100.0), (0.14, None), (0.2, None)])
def test_a_second_chamber_that_joins_beyond_the_travel_never_does(
    monkeypatch: pytest.MonkeyPatch, joins_m: float, shown: float | None
) -> None:
    monkeypatch.setattr(TwinAirSpring, "joins_at_m", lambda _self: joins_m)
    end = replace(DOUBLE, bore_mm=31.0, positive_volume_cm3=220.0, second_max_pressure_psi=200.0)
    answer = answer_second(DrawnEnd.of(model_of(end), prior()).pumped(80 * PSI_PA), 80 * PSI_PA)
    assert answer is not None
    assert answer.joins_at_mm == shown
    assert (answer.volume_cm3, answer.limited, answer.max_pressure_assumed) == (40.0, False, False)
    assert answer.pressure_pa == pytest.approx(144 * PSI_PA)


def test_without_a_second_chamber_nothing_is_said_of_one() -> None:
    assert second_reasons(model_of(), at()) == second_cautions(model_of(), at()) == ()
    assert len(second_cautions(model_of(DOUBLE), at(second=second_of()))) == 1


@pytest.mark.parametrize(
    ("table", "there"),
    [
        (((0.0, 2.4), (17.5, 2.4), (30.0, 3.6), (60.0, 3.7)), True),
        (((0.0, 2.2), (10.0, 2.2), (17.0, 2.9), (60.0, 2.95)), False),
    ],
)
def test_steady_is_asked_where_the_rider_stands_not_at_the_targets_own_number(
    table: tuple[tuple[float, float], ...], there: bool
) -> None:
    # 30 kg at the saddle let the bike rest 5 to 6 mm in: the rider stands at 22 mm, where the first table's leverage
    # rises by 0.096/mm and the second's by 0.001/mm; at 16.5 mm it would be none and 0.1/mm.
    rear = {"stroke_mm": 60, "spring": "coil", "leverage_table": [list(row) for row in table]}
    asked = {"rider_mass_kg": 75, "riding_style": "trail", "luggage_rear_kg": 30, "rear": rear}
    found = recommend(read_request(asked))
    assert found.rear is not None
    assert 4.0 < found.rear.rest_mm < 7.0
    assert ("sag_unsteady" in [note.code for note in found.cautions]) is there
