"""The population itself, checked: its physics, its gap, its oracle, its dice; and the goals that rules are held to.

Nothing here believes what the rules believe, and nothing depends on the machine's speed. The whole table:
`python -m tests.benchmarks.population`. A goal that fails is to be met by better rules, never by a kinder population.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from .population.asking import Readings
from .population.draw import KINDS, Case, draw_cases, draw_hidden
from .population.figures import SHOP, first_guess
from .population.goals import check_goals, goals_by_seed
from .population.measuring import Rider, Side
from .population.oracle import Oracle, make_oracle
from .population.ranges import Ranges, Shares, shifted
from .population.spring import (
    DATUMS,
    GRAVITY,
    SEA_LEVEL_PA,
    Hidden,
    ambient_pa,
    force,
    gauge_for,
    needed_psi,
    rest_weight,
    rider_weight,
    settle,
    true_gap,
)
from .population.table import FIRST, KEEPING, SHIFTED, SLIPS, TOOL, Rows, blocks

pytestmark = pytest.mark.benchmark

_CASES_A_KIND = 100
_SEED = 20
_TARGET = 0.22
"""A sag as a share of travel that every kind here can be set to."""


@pytest.fixture(scope="module")
def cases() -> list[Case]:
    return draw_cases(_CASES_A_KIND, _SEED)


@pytest.fixture(scope="module")
def oracles(cases: list[Case]) -> list[tuple[Case, Oracle]]:
    return [(case, make_oracle(case, _TARGET * case.told.travel)) for case in cases]


def _hand_spring(**more: float) -> Hidden:
    area = math.pi / 4.0 * 0.032**2
    internals = {
        "travel": 0.140,
        "area": area,
        "end_volume": 164.8708e-6 - area * 0.140,
        "negative_area": area - math.pi / 4.0 * 0.010**2,
        "negative_volume": 41.8096e-6,
        "port": 0.006,
        "leg_air": 0.0,
    }
    return Hidden(**{**internals, **more})


def test_the_spring_gives_the_forces_of_the_hand_computed_vector() -> None:
    # The project's own vector, worked out before either implementation: 7 bar gauge at the port, no lower-leg air.
    spring = _hand_spring()
    gauge = (7e5 + SEA_LEVEL_PA) * spring.volume(0.006) / spring.volume(0.0) - SEA_LEVEL_PA
    forces = [force(spring, x * 1e-3, gauge) for x in (0, 6, 28, 70, 140)]
    assert gauge == pytest.approx(6.7655e5, abs=5.0)
    assert forces == pytest.approx([-24.448, 54.978, 284.518, 652.149, 1777.897], abs=0.01)


def test_legs_sealed_higher_up_help_the_spring_less_by_the_difference_of_the_air() -> None:
    home, high = ambient_pa(0.0), ambient_pa(2000.0)
    legs = {"leg_area": 1.6e-3, "leg_volume": 5e-4}
    low, thin = (_hand_spring(leg_air=air, **legs) for air in (home, high))
    assert force(low, 0.0, 5e5) - force(thin, 0.0, 5e5) == pytest.approx(1.6e-3 * (home - high))


def test_the_standard_atmosphere_is_that_of_iso_2533() -> None:
    # ISO 2533 (geopotential): 89 874.6 Pa at 1000 m, 79 495.2 Pa at 2000 m.
    assert [ambient_pa(h) for h in (0.0, 1000.0, 2000.0)] == pytest.approx([101_325.0, 89_874.6, 79_495.2], rel=1e-5)


@pytest.mark.parametrize("datum", DATUMS)
def test_many_springs_at_once_settle_where_brentq_balances_each(cases: list[Case], datum: str) -> None:
    for case in cases[::40]:
        many = draw_hidden(case.told, 40, np.random.default_rng(1), case.ranges)
        gaps = true_gap(many, many.gauge_pa(90.0), datum)  # type: ignore[arg-type]
        singles = [_gap_by_brentq(many.row(i), 90.0, datum) for i in range(40)]
        assert gaps == pytest.approx(singles, abs=2e-6)


def _gap_by_brentq(h: Hidden, shown_psi: float, datum: str) -> float:
    """Balance forces anew, from the equations alone: compression under the rider less where the gap is read."""
    gauge = (shown_psi * h.gauge_scale + h.gauge_offset) * 6894.757293168
    empty = h.rest_mass if datum == "bike_at_rest" else -h.unsprung

    def balance(x: float, mass: float) -> float:
        return float(force(h, x, gauge) - mass * GRAVITY * h.along * h.leverage(x))

    def find(mass: float) -> float:
        if balance(0.0, mass) >= 0.0:
            return 0.0
        return float(brentq(balance, 0.0, h.travel, args=(mass,))) if balance(h.travel, mass) > 0.0 else h.travel

    return find(h.share * h.mass + h.rest_mass) - find(empty)


def test_the_needed_pressure_gives_the_gap_that_was_asked_for(cases: list[Case]) -> None:
    for case in cases[::7]:
        target = _TARGET * case.told.travel
        assert case.shown_gap_mm(case.needed_psi(target)) == pytest.approx(target, abs=1e-3)


def test_many_needed_pressures_at_once_are_those_of_each_spring_alone(cases: list[Case]) -> None:
    for case in cases[::40]:
        many = draw_hidden(case.told, 200, np.random.default_rng(2), case.ranges)
        gap = 1e-3 * _TARGET * case.told.travel
        singles = np.array([needed_psi(many.row(i), gap, case.datum) for i in range(200)])
        off = abs(needed_psi(many, gap, case.datum) / singles - 1.0)
        # A coil can let go of the standing bike just where the gap is read: a few such springs close in slowly.
        assert np.quantile(off, 0.95) < 1e-3
        assert np.quantile(off, 0.99) < 0.03


def test_a_pressure_found_for_a_load_carries_it() -> None:
    spring = _hand_spring(gas=20.0, leg_area=1.6e-3, leg_volume=5e-4, leg_air=SEA_LEVEL_PA)
    gauge = gauge_for(spring, 0.030, 400.0)
    assert force(spring, 0.030, gauge) == pytest.approx(400.0)
    assert settle(spring, gauge, 400.0) == pytest.approx(0.030, abs=1e-8)


def test_the_gap_is_smaller_where_the_bike_stands_than_where_its_wheel_hangs(cases: list[Case]) -> None:
    at_rest, lifted = DATUMS
    gaps = [[true_gap(c.hidden, c.hidden.gauge_pa(80.0), datum) for datum in (at_rest, lifted)] for c in cases]
    assert all(rest <= hanging + 1e-9 for rest, hanging in gaps)
    assert sum(hanging - rest > 1e-3 for rest, hanging in gaps) > len(cases) / 4


def test_a_hanging_wheel_never_pulls_the_spring_beyond_full_extension(cases: list[Case]) -> None:
    out = [settle(c.hidden, c.hidden.gauge_pa(300.0), rest_weight(c.hidden, "wheel_off_ground")) for c in cases]
    assert min(out) >= 0.0


def test_a_friction_free_reading_is_the_true_gap_but_for_the_ring(cases: list[Case]) -> None:
    still = replace(Ranges(), half_mm_share=0.0, breakaway_share=0.0)
    for case in cases[::30]:
        calm = replace(case, hidden=replace(case.hidden, friction=0.0, drag=0.0), ranges=still)
        rider = Rider(calm, 1)
        pumped = rider.pump(case.needed_psi(_TARGET * case.told.travel))
        # Reading error, posture and unsettled gas are left: a millimetre or two, averaged over many readings.
        readings = np.mean([rider.measure(pumped, ("any",))[0] for _ in range(60)])
        assert readings == pytest.approx(calm.true_gap_mm(pumped.gauge, pumped.fill), abs=0.025 * case.told.travel)


@pytest.mark.parametrize(("side", "sign"), [("above", -1), ("below", 1)])
def test_friction_shows_less_sag_from_above_and_more_from_below(cases: list[Case], side: Side, sign: int) -> None:
    case = replace(cases[0], hidden=replace(cases[0].hidden, friction=35.0, drag=0.0))
    rider = Rider(case, 1)
    pumped = rider.pump(case.needed_psi(_TARGET * case.told.travel))
    away = np.mean([rider.measure(pumped, (side,))[0] for _ in range(40)]) - case.true_gap_mm(pumped.gauge)
    assert sign * away > 0.0


def test_the_same_seed_draws_the_same_cases_and_readings() -> None:
    first, again, other = (draw_cases(3, seed) for seed in (7, 7, 8))
    assert [(c.told, c.hidden) for c in first] == [(c.told, c.hidden) for c in again]
    assert [c.hidden for c in first] != [c.hidden for c in other]
    read = [[r.measure(r.pump(80.0), ("any",) * 3) for c in part for r in [Rider(c, 4)]] for part in (first, again)]
    assert read[0] == read[1]


def test_slips_strike_as_often_as_they_are_set_to(cases: list[Case]) -> None:
    counted = {}
    for share in (0.0, 0.3):
        ranges = Ranges(shares=replace(Shares(), slip=share))
        riders = [Rider(replace(case, ranges=ranges), 1) for case in cases]
        counted[share] = sum(rider.write_down([31.0]) != [31.0] for rider in riders) / len(riders)
    assert counted[0.0] == 0.0
    assert counted[0.3] == pytest.approx(0.3, abs=0.08)


def test_every_kind_rider_and_datum_is_drawn(cases: list[Case]) -> None:
    assert {(case.told.kind, case.datum) for case in cases} == {(kind, datum) for kind in KINDS for datum in DATUMS}
    told = [case.told for case in cases]
    assert 0.2 <= np.mean([t.kit is None for t in told]) <= 0.4
    assert 0.7 <= np.mean([t.limit_psi is not None for t in told]) <= 0.9
    assert any(t.leverage[1] > t.leverage[0] for t in told)


def test_the_shifted_population_is_another_one() -> None:
    usual, other = (draw_cases(60, 5, ranges) for ranges in (Ranges(), shifted()))
    friction = [np.mean([case.hidden.friction for case in part]) for part in (usual, other)]
    assert friction[1] > 1.2 * friction[0]


def test_the_oracle_holds_the_needed_pressure_in_its_band(oracles: list[tuple[Case, Oracle]]) -> None:
    held = []
    for case, oracle in oracles:
        low, high = oracle.pressure_band()
        held.append(low <= case.needed_psi(_TARGET * case.told.travel) <= high)
    assert 0.85 <= np.mean(held) <= 0.95


@pytest.mark.parametrize("sides", [("any",), ("above", "below")])
def test_the_oracle_holds_the_true_gap_in_its_band_after_a_check(cases: list[Case], sides: tuple[Side, ...]) -> None:
    held, misses = [], []
    for case in cases:
        oracle = make_oracle(case, _TARGET * case.told.travel)
        rider = Rider(case, 9)
        pumped = rider.pump(oracle.pressure())
        read = tuple(rider.measure(pumped, sides))
        both = len(read) > 1
        oracle.learn(
            Readings(
                shown_psi=pumped.shown_psi,
                either=() if both else read,
                above=read[:1] if both else (),
                below=read[1:],
                datum=case.datum,
            )
        )
        low, high = oracle.gap_band_mm(oracle.pressure())
        gap = case.shown_gap_mm(oracle.pressure())
        held.append(low <= gap <= high)
        misses.append(case.percent(gap) - 100.0 * _TARGET)
    assert 0.85 <= np.mean(held) <= 0.95
    assert np.median(np.abs(misses)) < 2.0


def test_the_oracle_misses_by_no_more_than_the_rules(cases: list[Case]) -> None:
    guesses = [first_guess(case)[1] for case in cases]
    rules, oracle = (np.array([abs(getattr(g, name)) for g in guesses]) for name in ("miss", "oracle_miss"))
    # The median of a few hundred has a chance of its own: a tenth.
    assert np.mean(oracle) <= 1.1 * np.mean(rules)


def test_the_oracle_knows_nothing_of_the_case_but_what_was_told(cases: list[Case]) -> None:
    case = cases[0]
    other = replace(case, hidden=draw_hidden(case.told, 1, np.random.default_rng(3), case.ranges).row(0))
    assert other.hidden != case.hidden
    assert make_oracle(case, 30.0).pressure() == make_oracle(other, 30.0).pressure()


def test_rider_weight_and_rest_weight_act_along_the_leg() -> None:
    h = _hand_spring(mass=80.0, share=0.4, rest_mass=3.0, unsprung=3.2, along=0.9)
    assert rider_weight(h, h.share) == pytest.approx(35.0 * GRAVITY * 0.9)
    assert [rest_weight(h, datum) for datum in DATUMS] == pytest.approx([3.0 * GRAVITY * 0.9, -3.2 * GRAVITY * 0.9])


@pytest.fixture(scope="module")
def table() -> dict[str, Rows]:
    return dict(blocks(3, _SEED, goals_only=True))


def test_the_table_has_every_figure_that_the_goals_are_about(table: dict[str, Rows]) -> None:
    check_goals(_perfect(table))


_SPOILT = [
    (FIRST, SHOP, "p90 ratio", 1.2),
    (FIRST, SHOP, "needed in band", 99.0),
    (TOOL + "one reading", SHOP, "gap in band", 80.0),
    (TOOL + "three readings", SHOP, "re-pumps", 1.0),
    (TOOL + "three readings", SHOP, "done <=1", 80.0),
    (TOOL + "three readings", SHOP, "true done <=1", 80.0),
    (TOOL + "one above, one below", SHOP, "done <=1", 90.0),
    (TOOL + "one above, one below", SHOP, "true done <=1", 90.0),
    (KEEPING + "habit only", SHOP, "after 30", 50.0),
    (SLIPS + "three readings", SHOP, "re-pumps", 1.2),
    (SLIPS + "three readings", SHOP, "final > 6 %", 0.1),
    (SHIFTED + "one reading", SHOP, "gap in band", 70.0),
]


@pytest.mark.parametrize(("block", "group", "figure", "value"), _SPOILT)
def test_a_goal_that_is_missed_fails_the_check(
    table: dict[str, Rows], block: str, group: str, figure: str, value: float
) -> None:
    figures = _perfect(table)
    figures[block][group][figure] = value
    with pytest.raises(AssertionError, match=f"{value:.1f}"):
        check_goals(figures)


def test_goals_by_seed_tell_on_how_many_seeds_each_is_met_and_what_all_say_together(table: dict[str, Rows]) -> None:
    good, bad = _perfect(table), _perfect(table)
    bad[FIRST][SHOP]["p90 ratio"] = 1.2
    lines = goals_by_seed({20: good, 21: bad}).splitlines()
    (spoilt,) = [line for line in lines if "p90" in line]
    # The mean of 1.0 and 1.2 with Student's 12.71 standard errors of two, any table: 0.1 each.
    assert spoilt.split("1.20   ")[1] == "1 of 2      1.10 ± 1.27 not told apart"
    assert all("2 of 2" in line and line.endswith("met") for line in lines[1:] if line != spoilt)
    worst = goals_by_seed(dict.fromkeys((20, 21, 22), bad)).splitlines()
    assert [line for line in worst if line.endswith("missed")] == [line for line in worst if "p90" in line]
    assert goals_by_seed({20: good}).splitlines()[1].endswith("1 of 1")


def _perfect(table: dict[str, Rows]) -> dict[str, Rows]:
    """Return a table of the same shape in which every goal is met."""
    met = {"median ratio": 1.0, "p90 ratio": 1.0, "re-pumps": 0.8, "final > 6 %": 0.0}
    wished = {**met, "done <=1": 96.0, "true done <=1": 96.0}
    return {
        block: {group: {name: wished.get(name, 90.0) for name in row} for group, row in rows.items()}
        for block, rows in table.items()
    }
