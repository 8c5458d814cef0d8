"""Later answers worked by hand: travel spacers, a pressure limit here and on the ride, a bounce read by ruler.

Source: volume of a cylinder, plane geometry and the sheets of `worked_travel_spacers` (statics and gas law);
Gay-Lussac's law and ISO 2533 for the limit; overshoot of a damped oscillator for the bounce.

Confirmed: worked in the comments and recomputed in plain arithmetic here.

Tolerance: as in `test_worked_whole_answers`; 0.01 psi for a limit, no click.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from setup_rules import (
    BounceCheck,
    SagCheck,
    TakenCheck,
    TravelWish,
    apply_bounce_check,
    plan_travel,
    read_request,
    recommend,
)
from setup_rules.advice.bounce_check import find_turn
from tests.published.on_paper import AIR_AT, PSI, force
from tests.published.worked_sheet import Sheet, prove_sheet
from tests.published.worked_shocks import LEVERAGE_FALLING as SHOCK_SHEET
from tests.published.worked_travel_spacers import AFTER_20_MM_OF_TRAVEL_SPACERS, BEFORE_THE_CHANGE_OF_TRAVEL

PSI_PA = 6894.757293168
BEFORE, AFTER = BEFORE_THE_CHANGE_OF_TRAVEL, AFTER_20_MM_OF_TRAVEL_SPACERS
WISH = TravelWish(travel_mm=140, longest_travel_mm=160, spacers=((10, 2), (20, 1)), wheelbase_mm=1215)


@pytest.mark.parametrize("sheet", [BEFORE, AFTER], ids=["before", "after"])
def test_both_sheets_of_the_travel_change_add_up_on_paper(sheet: Sheet) -> None:
    prove_sheet(sheet)
    # What is left at full compression stays: 196 − 0.77437·160 = 72.10 cm³ = 180.513 − 0.77437·140.
    left = sheet.chambers.volume - sheet.chambers.area * sheet.chambers.travel
    assert left == pytest.approx(72_100.8, abs=1.0)
    # So does the room of the lower legs: fully extended at 140 mm they stand where they stood at 20 of 160 mm.
    room = sheet.chambers.leg_volume - sheet.chambers.leg_area * sheet.chambers.travel
    assert room == pytest.approx(1626.18 * (2.3 * 160 - 160), abs=5.0)
    # The frame turns by atan(20·sin 64.8° / (1215 − 20·cos 64.8°)) = 0.8593°: 64.8° become 65.66°.
    turn = math.atan2(20 * math.sin(math.radians(64.8)), 1215 - 20 * math.cos(math.radians(64.8)))
    assert round(64.8 + math.degrees(turn), 2) == AFTER.angle == 65.66


@pytest.mark.usefixtures("central_values")
def test_a_fork_shortened_by_20_mm_of_spacers_gets_the_answers_of_both_sheets() -> None:
    plan = plan_travel(recommend(read_request(BEFORE.body)), WISH)
    assert [stack.pieces for stack in plan.stacks.exact] == [((20, 1),), ((10, 2),)]
    assert plan.after is not None
    for setup, sheet in ((plan.before, BEFORE), (plan.after, AFTER)):
        end = setup.front
        assert end is not None
        assert end.rebound is not None
        assert end.pressure_pa / PSI_PA == pytest.approx(sheet.answer.psi, abs=0.02)
        assert end.rest_mm == pytest.approx(sheet.answer.rest, abs=0.005)
        assert end.sag_target_mm == pytest.approx(sheet.answer.sag, abs=1e-3)
        assert end.rebound.out == sheet.clicks


def test_the_whole_products_plan_reads_as_the_sheets() -> None:
    plan = plan_travel(recommend(read_request(BEFORE.body)), WISH)
    for setup, sheet in ((plan.before, BEFORE), (plan.after, AFTER)):
        assert setup is not None
        assert setup.front is not None
        assert setup.front.pressure_pa / PSI_PA == pytest.approx(sheet.answer.psi, abs=0.7)
        assert setup.front.rebound is not None
        assert setup.front.rebound.out == sheet.clicks


@pytest.mark.usefixtures("central_values")
def test_taking_the_spacers_out_again_leads_back_to_the_sheet_before() -> None:
    # Turned back on a wheelbase that is 8.4 mm shorter: atan(20·sin 65.66° / (1206.6 + 20·cos 65.66°)) = 0.859°.
    back = TravelWish(travel_mm=160, longest_travel_mm=160, spacers=((20, 1),), wheelbase_mm=1206.6)
    plan = plan_travel(recommend(read_request(AFTER.body)), back)
    assert [stack.pieces for stack in plan.stacks.exact] == [()]
    assert plan.after is not None
    assert plan.after.front is not None
    assert plan.after.request.front is not None
    assert plan.after.request.front.head_angle_deg == pytest.approx(64.80, abs=0.011)
    assert plan.after.front.pressure_pa / PSI_PA == pytest.approx(BEFORE.answer.psi, abs=0.03)
    assert plan.after.front.rest_mm == pytest.approx(BEFORE.answer.rest, abs=0.01)


#: A heavy rider on bikes of whom nobody entered the maximum; shortest way above any assumed one.
HEAVY: dict[str, Any] = {"rider_mass_kg": 150, "kit_mass_kg": 20, "bike_mass_kg": 25, "riding_style": "park"}
THICK, THIN = {"travel_mm": 140, "stanchion_mm": 34}, {"travel_mm": 100, "stanchion_mm": 32}
SHOCK = {"stroke_mm": 50, "leverage_start": 3.1, "leverage_end": 2.9}


@pytest.mark.parametrize(
    ("end", "body", "psi"),
    # Our cautious estimates: 120 psi on stanchions of 34 mm and more, 140 psi on thinner ones, 250 psi on a shock.
    [("front", THICK, 120.0), ("front", THIN, 140.0), ("rear", SHOCK, 250.0)],
    ids=["thick fork", "thin fork", "shock"],
)
def test_nobody_is_sent_above_the_assumed_maximum(end: str, body: dict[str, Any], psi: float) -> None:
    (found,) = recommend(read_request({**HEAVY, end: body})).ends()
    assert found.pressure_pa / PSI_PA == pytest.approx(psi, abs=1e-6)
    assert found.limited
    assert found.max_pressure_assumed


@pytest.mark.parametrize(
    ("end", "body", "psi"),
    # Our cautious estimates: 25 psi on a fork, 50 psi on a shock; what somebody entered stands.
    [
        ("front", {"travel_mm": 200, "stanchion_mm": 40}, 25.0),
        ("rear", {"stroke_mm": 65, "leverage_start": 2.2, "leverage_end": 1.8}, 50.0),
        ("front", {"travel_mm": 140, "stanchion_mm": 34, "min_pressure_psi": 60, "max_pressure_psi": 150}, 60.0),
        # 5.00 bar printed are 72.5 psi, as far as a gauge shows it 72; nine tenths of it are still above 25.
        ("front", {"travel_mm": 140, "stanchion_mm": 34, "max_pressure_psi": 72.5}, 25.0),
        # Entered as the minimum, 28 psi stand close below a maximum of 30, too.
        ("front", {"travel_mm": 140, "min_pressure_psi": 28, "max_pressure_psi": 30}, 28.0),
    ],
    ids=["fork", "shock", "entered", "low maximum", "entered close"],
)
def test_a_child_is_not_sent_below_the_minimum(end: str, body: dict[str, Any], psi: float) -> None:
    child = {"rider_mass_kg": 20, "kit_mass_kg": 0, "bike_mass_kg": 8, "riding_style": "downhill"}
    (found,) = recommend(read_request({**child, end: body})).ends()
    assert found.min_pressure_pa / PSI_PA == pytest.approx(psi, abs=1e-6)
    if psi != 28.0:
        assert found.pressure_pa / PSI_PA == pytest.approx(psi, abs=1e-6)
        assert found.limited


def test_the_maximum_holds_on_a_warm_and_high_ride_too() -> None:
    # 120 psi = 0.82737 MPa, and 0.07950 MPa of air at 2000 m: 0.90687 MPa at 308.15 K, so 0.83329 MPa at the bench's
    # 283.15 K, less its air of 0.10133 MPa: 0.73197 MPa = 106.16 psi.
    allowed = ((120 * PSI + AIR_AT[2000]) * 283.15 / 308.15 - AIR_AT[0]) / PSI
    assert allowed == pytest.approx(106.16, abs=0.005)
    places = {"bench": {"temperature_c": 10, "altitude_m": 0}, "ride": {"temperature_c": 35, "altitude_m": 2000}}
    (found,) = recommend(read_request({**HEAVY, **places, "front": THICK})).ends()
    assert found.pressure_pa / PSI_PA == pytest.approx(106.16, abs=0.01)
    assert found.ride_pressure_pa / PSI_PA == pytest.approx(120.0, abs=1e-6)


@pytest.mark.usefixtures("central_values")
def test_at_a_limit_the_sag_is_the_one_that_the_limit_gives() -> None:
    # The longer fork of the travel change with 70 psi printed on it: its sheet's sums again, at 70 psi.
    sag, rest = 38.558, 4.569
    assert force(BEFORE.chambers, BEFORE.places, 70.0, rest + sag) == pytest.approx(BEFORE.along(36.0875), abs=0.3)
    assert force(BEFORE.chambers, BEFORE.places, 70.0, rest) == pytest.approx(BEFORE.along(3.6875), abs=0.3)
    body = {**BEFORE.body, "front": {**BEFORE.body["front"], "max_pressure_psi": 70}}
    (found,) = recommend(read_request(body)).ends()
    assert found.pressure_pa / PSI_PA == pytest.approx(70.0, abs=1e-6)
    assert found.sag_target_mm == pytest.approx(36.0, abs=1e-9)
    assert (found.sag_expected_mm, found.rest_mm) == pytest.approx((sag, rest), abs=0.005)


@pytest.mark.parametrize(
    ("dip", "beyond", "out"),
    [
        # ln(60/20) = 1.0986, ζ = 1.0986/√(π² + 1.0986²) = 0.330, below 0.42·0.8: 12·ln(0.42/0.330)/ln(1100/250) = 1.95
        # clicks in, 2 turned: 10 become 8.
        (60.0, 20.0, 8),
        # ln(60/4) = 2.7081, ζ = 0.653, above 0.42·1.2: 12·ln(0.653/0.42)/ln 4.4 = 3.57 clicks out, 4: 14.
        (60.0, 4.0, 14),
        # ln(60/14) = 1.4553, ζ = 0.420: right as it is.
        (60.0, 14.0, 10),
        # ln(60/45) = 0.2877, ζ = 0.0912: 12·ln(0.42/0.0912)/ln 4.4 = 12.4 clicks, but no turn beyond a quarter of 20.
        (60.0, 45.0, 5),
    ],
)
def test_a_bounce_by_ruler_turns_the_worked_clicks_between_two_known_points(
    dip: float, beyond: float, out: int
) -> None:
    logarithm = math.log(dip / beyond)
    ratio = logarithm / math.hypot(math.pi, logarithm)
    clicks = (16 - 4) * math.log(ratio / 0.42) / math.log(1100 / 250)
    turned = 0 if abs(ratio - 0.42) <= 0.2 * 0.42 else max(-5, min(5, round(clicks)))
    assert 10 + turned == out
    fork = {"travel_mm": 150, "rebound_clicks": 20, "rebound_points": [[4, 1100], [16, 250]]}
    setup = recommend(read_request({"rider_mass_kg": 80, "riding_style": "trail", "front": fork}))
    after = apply_bounce_check(setup, BounceCheck(end="front", clicks_out=10, dip_mm=dip, beyond_mm=beyond))
    assert after.front is not None
    assert after.front.rebound is not None
    assert after.front.rebound.out == out


@pytest.mark.parametrize(("read_mm", "psi"), [(20.0, 275.70), (13.0, 183.18)])
def test_a_shock_that_sags_otherwise_carries_another_load_and_goes_most_of_its_way(read_mm: float, psi: float) -> None:
    # `LEVERAGE_FALLING`, front share not known. At 229.48 psi and 1.203 + 20 mm it pushes 1644.6 N, over LR 2.7072
    # 607.5 N at the wheel instead of 515.3; these are held at 16.5 mm of sag, LR 2.7391, by 275.70 psi. At 13 mm it is
    # 1172.3 N, 423.1 N and 183.18 psi. Friction and how the rider stood keep a part: at least half of the way is gone.
    s, places, x = SHOCK_SHEET.chambers, SHOCK_SHEET.places, SHOCK_SHEET.answer.rest
    carried = force(s, places, SHOCK_SHEET.answer.psi, x + read_mm) / SHOCK_SHEET.leverage(x + read_mm)
    assert force(s, places, psi, x + 16.5) == pytest.approx(carried * SHOCK_SHEET.leverage(x + 16.5), abs=0.5)
    request = read_request({**SHOCK_SHEET.body, "rider_front_share_percent": None})
    check = SagCheck(end="rear", pressure_pa=SHOCK_SHEET.answer.psi * PSI_PA, readings_mm=(read_mm,) * 3)
    found = recommend(request, (TakenCheck(check=check, request=request),)).rear
    assert found is not None
    gone = (found.pressure_pa / PSI_PA - SHOCK_SHEET.answer.psi) / (psi - SHOCK_SHEET.answer.psi)
    assert 0.5 < gone < 1.0


@pytest.mark.parametrize(
    ("dip", "beyond", "out", "way", "clicks", "at_end", "ratio"),
    [
        # As worked above, between points of 4.4 over 12 clicks, so 4.4^(20/12) = 11.8 over all 20.
        (60.0, 20.0, 10, -1, 2, False, 0.3301),
        (60.0, 4.0, 10, 1, 4, False, 0.6529),
        (60.0, 14.0, 10, 0, 0, False, 0.4203),
        # Asked to go in where it is fully closed, or out where it is open: the adjuster ends there.
        (60.0, 20.0, 0, -1, 0, True, 0.3301),
        (60.0, 4.0, 20, 1, 0, True, 0.6529),
        # Only one click is left.
        (60.0, 4.0, 19, 1, 1, False, 0.6529),
    ],
)
def test_a_bounce_asks_for_the_worked_turn(
    dip: float, beyond: float, out: int, way: int, clicks: int, at_end: bool, ratio: float
) -> None:
    check = BounceCheck(end="front", clicks_out=out, dip_mm=dip, beyond_mm=beyond)
    turn = find_turn(check, "trail", 20, (), (1100 / 250) ** (20 / 12))
    assert (turn.direction, turn.clicks, turn.at_end) == (way, clicks, at_end)
    assert turn.ratio == pytest.approx(ratio, abs=5e-5)
