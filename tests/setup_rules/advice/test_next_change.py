"""From one feeling to one change, on a setup made by hand: which adjuster, how far, and from where on it is left out.

The fork stands at 22 % of 140 mm, 8 of 16 clicks of rebound out, 6 of 12 of compression, one volume spacer, 80 psi
between 40 and 120, its sag measured once. On trail its sag may go from 17 to 28 % (20 to 25 %, and 3 points beyond).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice.ride_report import next_change, report_problems
from setup_rules.messages.message import Message
from setup_rules.types.request import FrontEnd, SetupRequest
from setup_rules.types.result import (
    Change,
    ClickStart,
    CoilChoice,
    CoilSetup,
    Curve,
    EndSetup,
    RideReport,
    Setup,
    TakenBounce,
    TakenRide,
)

FORK = FrontEnd(travel_mm=140.0, stanchion_mm=34, rebound_clicks=16, compression_clicks=12, volume_spacers=1)
RESULT = EndSetup(
    end="front", travel_mm=140.0, pressure_pa=80.0, pressure_low_pa=70.0, pressure_high_pa=90.0, ride_pressure_pa=80.0,
    max_pressure_pa=120.0, max_pressure_assumed=False, min_pressure_pa=40.0, min_pressure_assumed=False,
    sag_target_mm=30.8, sag_target_percent=22.0, sag_expected_mm=30.8, sag_low_mm=28.0, sag_high_mm=33.0,
    wheel_travel_mm=128.0, wheel_sag_mm=28.0, load_n=400.0, rate_n_per_m=7000.0, full_force_n=2000.0, volume_spacers=1,
    rebound=ClickStart(out=8, total=16, clamped=False, damping_n_s_per_m=900.0),
    compression=ClickStart(out=6, total=12, clamped=False, damping_n_s_per_m=900.0),
    curve=Curve(compression_mm=(), force_n=(), load_n=()), checks_used=1,
)  # fmt: skip
SETUP = Setup(
    request=SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=FORK),
    front=RESULT,
    rear=None,
    cautions=(),
    reasons=(),
)
COMPLETE = CoilSetup(
    rate_n_per_m=8000.0, rate_wanted_n_per_m=8000.0, rate_low_n_per_m=7000.0, rate_high_n_per_m=9000.0,
    origin="stocked", preload_mm=0.0, preload_turns=None, preload_min_mm=0.0, preload_max_mm=5.0,
    preload_max_assumed=True,
)  # fmt: skip


def clicks(out: int, total: int) -> ClickStart:
    """Return an adjuster at so many clicks out of a total."""
    return ClickStart(out=out, total=total, clamped=False, damping_n_s_per_m=900.0)


def asked(*felt: str, setup: Setup = SETUP, end: dict[str, Any] | None = None, **given: Any) -> tuple[str, float]:
    """Return (kind, amount) of the change after a ride that felt so, with the fork's answer changed."""
    of = replace(setup, front=replace(RESULT, **(end or {})) if end else setup.front)
    change = next_change(of, RideReport(end="front", felt=felt, **given))
    return change.kind, change.amount


def with_spacers(count: int) -> Setup:
    """Return the setup with another number of volume spacers."""
    return replace(SETUP, request=replace(SETUP.request, front=replace(FORK, volume_spacers=count)))


FULL = with_spacers(12)
NO_COMPRESSION = {"compression": None}
AT_MOST = {"pressure_pa": 120.0}
AT_LEAST = {"pressure_pa": 40.0}


@pytest.mark.parametrize(
    ("felt", "setup", "end", "kind", "amount"),
    [
        ("hits_the_end", SETUP, {}, "volume_spacers", 1.0),
        ("hits_the_end", FULL, {}, "compression", -2.0),
        ("hits_the_end", FULL, NO_COMPRESSION, "sag_target", -2.0),
        ("hits_the_end", FULL, NO_COMPRESSION | AT_MOST, "workshop", 0.0),
        ("kicks_back", SETUP, {}, "rebound", -2.0),
        ("kicks_back", SETUP, {"rebound": None}, "workshop", 0.0),
        ("packs_down", SETUP, {}, "rebound", 2.0),
        ("packs_down", SETUP, {"rebound": clicks(16, 16)}, "sag_target", -2.0),
        ("dives", SETUP, {}, "sag_target", -2.0),
        ("dives", SETUP, AT_MOST, "compression", -2.0),
        ("dives", SETUP, AT_MOST | NO_COMPRESSION, "volume_spacers", 1.0),
        ("wallows", SETUP, {}, "sag_target", -2.0),
        ("wallows", SETUP, AT_MOST, "compression", -2.0),
        ("wallows", SETUP, AT_MOST | NO_COMPRESSION, "workshop", 0.0),
        ("harsh_small_hits", SETUP, {}, "sag_target", 2.0),
        ("harsh_small_hits", SETUP, AT_LEAST, "compression", 2.0),
        ("harsh_small_hits", SETUP, AT_LEAST | NO_COMPRESSION, "rebound", 2.0),
        ("travel_left_over", SETUP, {}, "volume_spacers", -1.0),
        ("travel_left_over", with_spacers(3), {}, "volume_spacers", -1.0),
        ("travel_left_over", FULL, {}, "volume_spacers", -1.0),
        ("travel_left_over", with_spacers(0), {}, "compression", 2.0),
        ("travel_left_over", with_spacers(0), NO_COMPRESSION, "sag_target", 2.0),
        ("feels_right", SETUP, {}, "none", 0.0),
    ],
)
def test_a_feeling_is_answered_by_the_first_adjuster_that_is_left(
    felt: str, setup: Setup, end: dict[str, Any], kind: str, amount: float
) -> None:
    assert asked(felt, setup=setup, end=end) == (kind, amount)


@pytest.mark.parametrize(
    ("felt", "before"), [("hits_the_end", 1.0), ("kicks_back", 8.0), ("dives", 22.0), ("feels_right", None)]
)
def test_a_change_remembers_where_its_adjuster_stood(felt: str, before: float | None) -> None:
    change = next_change(SETUP, RideReport(end="front", felt=(felt,)))
    assert (change.end, change.before) == ("front", before)


@pytest.mark.parametrize(
    ("felt", "end", "kind", "amount"),
    [
        ("kicks_back", {"rebound": clicks(1, 16)}, "rebound", -1.0),
        ("kicks_back", {"rebound": clicks(0, 16)}, "workshop", 0.0),
        ("packs_down", {"rebound": clicks(15, 16)}, "rebound", 1.0),
        ("wallows", {"sag_target_percent": 18.0}, "sag_target", -1.0),
        ("wallows", {"sag_target_percent": 17.5}, "sag_target", -0.5),  # half a point is worth a ride
        ("wallows", {"sag_target_percent": 17.25}, "compression", -2.0),  # a quarter is not
        ("wallows", {"sag_target_percent": 16.0}, "compression", -2.0),  # below the range there is no way down
        ("harsh_small_hits", {"sag_target_percent": 27.5}, "sag_target", 0.5),
        ("harsh_small_hits", {"sag_target_percent": 28.0}, "compression", 2.0),
    ],
)
def test_a_step_ends_where_the_adjuster_or_the_styles_sag_does(
    felt: str, end: dict[str, Any], kind: str, amount: float
) -> None:
    assert asked(felt, end=end) == (kind, amount)


def test_the_sag_of_a_park_bike_never_goes_below_8_per_cent() -> None:
    # Park at the front: 10 to 15 %, 3 points beyond would be 7 %.
    park = replace(SETUP, request=replace(SETUP.request, riding_style="park"))
    low = replace(park, front=replace(RESULT, sag_target_percent=9.0))
    assert asked("wallows", setup=low) == ("sag_target", -1.0)


@pytest.mark.parametrize(
    ("felt", "end", "kind"),
    [
        # Within a hundredth of a limit no pressure is left: from 99 of at most 100, and from 101 of at least 100 on.
        ("wallows", {"max_pressure_pa": 100.0, "pressure_pa": 98.9}, "sag_target"),
        ("wallows", {"max_pressure_pa": 100.0, "pressure_pa": 99.0, "ride_pressure_pa": 50.0}, "compression"),
        ("wallows", {"max_pressure_pa": 100.0, "pressure_pa": 50.0, "ride_pressure_pa": 99.0}, "compression"),
        ("harsh_small_hits", {"min_pressure_pa": 100.0, "pressure_pa": 101.1}, "sag_target"),
        ("harsh_small_hits", {"min_pressure_pa": 100.0, "pressure_pa": 101.0}, "compression"),
    ],
)
def test_at_a_limit_of_the_unit_no_pressure_is_changed(felt: str, end: dict[str, Any], kind: str) -> None:
    assert asked(felt, end=end)[0] == kind


def ridden(before: float | None, amount: float, kind: Any = "rebound", end: Any = "front") -> TakenRide:
    """Return a ride after which an adjuster was changed by an amount from where it stood."""
    change = Change(end=end, kind=kind, amount=amount, before=before)
    return TakenRide(report=RideReport(end=end, felt=("kicks_back",)), change=change)


@pytest.mark.parametrize(
    ("taken", "amount"),
    [
        ([ridden(10.0, -2.0)], 1.0),  # back from 8 to below 10: only to 9
        ([ridden(9.0, -1.0)], 0.0),  # not even that
        ([ridden(11.0, -2.0)], 2.0),
        ([ridden(10.0, -2.0), ridden(9.0, -1.0)], 0.0),  # the nearest counts
        ([ridden(10.0, 2.0)], 2.0),  # it was left for the same direction
        ([ridden(8.0, -2.0)], 2.0),  # where it stands is no way back
        ([ridden(7.0, -2.0)], 2.0),  # nor what lies behind
        ([ridden(None, -2.0)], 2.0),
        ([ridden(10.0, -2.0, kind="compression")], 2.0),
        ([ridden(10.0, -2.0, end="rear")], 2.0),
    ],
)
def test_nobody_is_sent_back_to_where_a_ride_has_led_away(taken: list[TakenRide], amount: float) -> None:
    wanted = ("rebound", amount) if amount else ("sag_target", -2.0)
    assert asked("packs_down", setup=replace(SETUP, rides=tuple(taken))) == wanted


@pytest.mark.parametrize(
    ("bounce", "amount"),
    [
        (TakenBounce(end="front", clicks_out=10, direction=-1), 1.0),
        (TakenBounce(end="front", clicks_out=9, direction=0), 2.0),  # it was right there
        (TakenBounce(end="front", clicks_out=10, direction=1), 2.0),
        (TakenBounce(end="rear", clicks_out=10, direction=-1), 2.0),
    ],
)
def test_nor_to_where_a_bounce_check_has(bounce: TakenBounce, amount: float) -> None:
    assert asked("packs_down", setup=replace(SETUP, bounces=(bounce,))) == ("rebound", amount)


def test_a_bounce_check_says_nothing_of_compression() -> None:
    bounces = (TakenBounce(end="front", clicks_out=7, direction=-1),)
    assert asked("travel_left_over", setup=replace(with_spacers(0), bounces=bounces)) == ("compression", 2.0)


def test_the_way_back_inwards_is_closed_in_the_same_way() -> None:
    assert asked("kicks_back", setup=replace(SETUP, rides=(ridden(6.0, 2.0),))) == ("rebound", -1.0)
    assert asked("kicks_back", setup=replace(SETUP, rides=(ridden(7.0, 1.0),))) == ("workshop", 0.0)


def test_a_pressure_is_only_changed_where_the_sag_was_measured_or_asked_for_once() -> None:
    unknown = {"checks_used": 0}
    assert asked("dives", end=unknown) == ("sag_check", 0.0)
    assert asked("hits_the_end", end=unknown) == ("sag_check", 0.0)
    assert asked("kicks_back", end=unknown) == ("rebound", -2.0)
    was = replace(SETUP, front=replace(RESULT, checks_used=0), rides=(ridden(None, 0.0, kind="sag_check"),))
    assert asked("dives", setup=was) == ("sag_target", -2.0)
    other = replace(was, rides=(ridden(8.0, -2.0),))
    assert asked("dives", setup=other) == ("sag_check", 0.0)


@pytest.mark.parametrize(
    ("felt", "given", "kind"),
    [
        ((), {"hard_hits": 2}, "volume_spacers"),
        ((), {"hard_hits": 3}, "volume_spacers"),
        ((), {"hard_hits": 1}, "none"),
        ((), {"travel_used_mm": 130.0}, "none"),
        (("kicks_back",), {"hard_hits": 2}, "volume_spacers"),  # the end of the travel comes first
        (("kicks_back",), {"hard_hits": 1}, "rebound"),
        ((), {"travel_used_mm": 111.9}, "volume_spacers"),  # 0.8 · 140 mm = 112 mm
        ((), {"travel_used_mm": 112.0}, "none"),
        ((), {"travel_used_mm": 100.0, "hard_hits": 1}, "none"),
        (("feels_right",), {"travel_used_mm": 100.0}, "none"),
    ],
)
def test_what_was_counted_and_measured_speaks_where_nothing_was_felt(
    felt: tuple[str, ...], given: dict[str, Any], kind: str
) -> None:
    assert asked(*felt, **given)[0] == kind


def test_the_first_feeling_that_has_an_answer_is_answered() -> None:
    closed = {"rebound": clicks(0, 16)}
    assert asked("kicks_back", "dives", end=closed) == ("sag_target", -2.0)
    assert asked("dives", "packs_down") == ("rebound", 2.0)


def test_a_change_of_spring_remembers_the_rate_in_newtons_a_millimetre() -> None:
    on_coil = replace(SETUP, front=replace(RESULT, **coil((9.0, 28.0))))
    assert next_change(on_coil, RideReport(end="front", felt=("hits_the_end",))).before == 8.0


def test_half_a_point_of_sag_is_held_against_the_limit_of_its_own_direction() -> None:
    # At the maximum there is still a way to more sag, however small the step is.
    assert asked("harsh_small_hits", end=AT_MOST | {"sag_target_percent": 27.5}) == ("sag_target", 0.5)


def coil(*rates: tuple[float, float], limited: bool = False) -> dict[str, Any]:
    """Return a coil of 8 N/mm with springs (rate [N/mm], sag at the least preload [mm]) to be had."""
    choices = tuple(
        CoilChoice(rate_n_per_m=1000 * rate, least_preload_sag_mm=sag, preload_mm=0.0, sag_mm=sag, reaches=True)
        for rate, sag in rates
    )
    return {"coil": replace(COMPLETE, choices=choices), "limited": limited}


@pytest.mark.parametrize(
    ("felt", "end", "kind", "amount"),
    [
        ("hits_the_end", coil((9.0, 28.0), (10.0, 25.0)), "spring_rate", 1.0),
        ("travel_left_over", coil((7.5, 33.0), (9.0, 28.0)), "spring_rate", -0.5),
        # 17 and 28 % of 140 mm are 23.8 and 39.2 mm: a spring beyond suits no trail.
        ("hits_the_end", coil((9.0, 23.8)), "spring_rate", 1.0),
        ("hits_the_end", coil((9.0, 23.7)), "compression", -2.0),
        ("travel_left_over", coil((7.5, 39.2)), "spring_rate", -0.5),
        ("travel_left_over", coil((7.5, 28.0)) | {"travel_mm": 100.0}, "spring_rate", -0.5),
        ("travel_left_over", coil((7.5, 39.3)), "compression", 2.0),
        ("hits_the_end", coil(), "compression", -2.0),
        ("dives", coil((9.0, 28.0)), "sag_target", -2.0),
        ("dives", coil((9.0, 28.0), limited=True), "compression", -2.0),
        ("kicks_back", coil(), "rebound", -2.0),
    ],
)
def test_a_coil_takes_the_next_spring_instead_of_a_volume_spacer(
    felt: str, end: dict[str, Any], kind: str, amount: float
) -> None:
    assert asked(felt, end=end) == (kind, amount)


def problems(*felt: str, **given: Any) -> list[tuple[str, Message | str]]:
    """Return (field, message) of what is wrong with a report."""
    return [(one.field, one.said) for one in report_problems(SETUP, RideReport(end="front", felt=felt, **given))]


@pytest.mark.parametrize(
    ("felt", "given", "found"),
    [
        (("dives",), {}, []),
        (("floats",), {}, [("felt", "problem.unknown_choice")]),
        ((), {}, [("felt", "ride.nothing")]),
        ((), {"travel_used_mm": 141.0}, []),  # a millimetre more than 140 mm is reading error
        ((), {"travel_used_mm": 141.1}, [("travel_used_mm", "ride.travel_used")]),
        ((), {"travel_used_mm": 0.5}, []),
        ((), {"travel_used_mm": 0.0}, [("travel_used_mm", "ride.travel_used")]),
        ((), {"travel_used_mm": -1.0}, [("travel_used_mm", "ride.travel_used")]),
        ((), {"hard_hits": 0}, []),
        ((), {"hard_hits": -1}, [("hard_hits", "ride.hard_hits")]),
        ((), {"hard_hits": 1000}, []),
        ((), {"hard_hits": 1001}, [("hard_hits", "ride.hard_hits")]),
        (("dives", "travel_left_over"), {}, [("felt", "ride.opposite.dives.travel_left_over")]),
        (("feels_right", "dives"), {}, [("felt", "ride.right_and_wrong")]),
        (("feels_right", "feels_right"), {}, []),
        (("hits_the_end",), {"hard_hits": 0}, [("hard_hits", "ride.end_without_hits")]),
        (("hits_the_end",), {"hard_hits": 1}, []),
        (("travel_left_over",), {"hard_hits": 1}, []),
        (("travel_left_over",), {"hard_hits": 2}, [("hard_hits", "ride.hits.travel_left_over")]),
        (("feels_right",), {"hard_hits": 2}, [("hard_hits", "ride.hits.feels_right")]),
        (("feels_right",), {"hard_hits": 3}, [("hard_hits", "ride.hits.feels_right")]),
        ((), {"travel_used_mm": 139.0, "hard_hits": 1}, []),
        (("travel_left_over",), {"travel_used_mm": 120.0}, []),
        # Nine tenths of 140 mm are 126 mm: the end is not hit with that much left.
        ((), {"travel_used_mm": 126.0, "hard_hits": 1}, []),
        ((), {"travel_used_mm": 125.9, "hard_hits": 1}, [("travel_used_mm", "ride.hits_with_travel_left")]),
        ((), {"travel_used_mm": 125.9, "hard_hits": 0}, []),
        (("hits_the_end",), {"travel_used_mm": 125.9}, [("travel_used_mm", "ride.hits_with_travel_left")]),
        (("hits_the_end",), {"travel_used_mm": 126.0}, []),
        # 95 % of 140 mm are 133 mm: beyond, nothing is left over.
        (("travel_left_over",), {"travel_used_mm": 133.0}, []),
        (("travel_left_over",), {"travel_used_mm": 133.1}, [("travel_used_mm", "ride.left_over_with_travel_used")]),
    ],
)
def test_what_does_not_go_together_is_refused_from_its_bound_on(
    felt: tuple[str, ...], given: dict[str, Any], found: list[tuple[str, str]]
) -> None:
    assert [(field, said.key) for field, said in problems(*felt, **given) if isinstance(said, Message)] == found


def test_an_unknown_feeling_is_shown_in_40_signs() -> None:
    ((_, said),) = problems("x" * 50)
    assert isinstance(said, Message)
    assert said.values["found"] == repr("x" * 40)


def test_a_spring_that_does_not_fit_is_not_ridden() -> None:
    short = replace(SETUP, front=replace(RESULT, coil=replace(COMPLETE, stroke_needed_mm=70.0)))
    assert [one.field for one in report_problems(short, RideReport(end="front", felt=("dives",)))] == ["end"]
    fits = replace(SETUP, front=replace(RESULT, coil=COMPLETE))
    assert report_problems(fits, RideReport(end="front", felt=("dives",))) == ()
