"""Clicks that follow a pressure or stay: made-up ends, every share and every stop at its number."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice.carried_clicks import (
    bounces_kept,
    follow_notes,
    moved_far,
    offset_for,
    request_with_clicks_of,
    stop_notes,
    with_offsets,
)
from setup_rules.messages.catalogue import sources
from setup_rules.types.request import FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import ClickStart, CoilSetup, Curve, EndSetup, Setup, TakenBounce

REQUEST = SetupRequest(
    rider_mass_kg=78.0,
    riding_style="trail",
    front=FrontEnd(travel_mm=140.0, rebound_clicks=16, compression_clicks=10),
    rear=RearEnd(stroke_mm=55.0, leverage_start=2.8, rebound_clicks=14),
)


def clicks(out: int, total: int = 16, beyond: int = 0) -> ClickStart:
    """Return an adjuster that stands somewhere."""
    return ClickStart(out=out, total=total, clamped=False, damping_n_s_per_m=900.0, beyond=beyond)


def end_at(pressure_pa: float, rebound: ClickStart | None = None, **changed: Any) -> EndSetup:
    """Return a fork at a pressure."""
    usual: dict[str, Any] = {
        "end": "front",
        "travel_mm": 140.0,
        "pressure_pa": pressure_pa,
        "pressure_low_pa": 450_000.0,
        "pressure_high_pa": 550_000.0,
        "ride_pressure_pa": 500_000.0,
        "max_pressure_pa": 900_000.0,
        "max_pressure_assumed": False,
        "min_pressure_pa": 200_000.0,
        "min_pressure_assumed": False,
        "sag_target_mm": 30.0,
        "sag_target_percent": 21.4,
        "sag_expected_mm": 30.0,
        "sag_low_mm": 25.0,
        "sag_high_mm": 35.0,
        "wheel_travel_mm": 140.0,
        "wheel_sag_mm": 30.0,
        "load_n": 300.0,
        "rate_n_per_m": 10_000.0,
        "full_force_n": 2500.0,
        "volume_spacers": 0,
        "rebound": rebound,
        "compression": None,
        "curve": Curve(compression_mm=(), force_n=(), load_n=()),
    }
    return EndSetup(**{**usual, **changed})


def coil_at(rate_n_per_m: float, rebound: ClickStart | None = None, **changed: Any) -> EndSetup:
    """Return a fork with a coil of some rate."""
    coil = CoilSetup(
        rate_n_per_m=rate_n_per_m,
        rate_wanted_n_per_m=rate_n_per_m,
        rate_low_n_per_m=rate_n_per_m,
        rate_high_n_per_m=rate_n_per_m,
        origin="exact",
        preload_mm=0.0,
        preload_turns=None,
        preload_min_mm=0.0,
        preload_max_mm=5.0,
        preload_max_assumed=False,
    )
    return end_at(0.0, rebound, coil=coil, **changed)


def setup_with(front: EndSetup | None = None, rear: EndSetup | None = None, **changed: Any) -> Setup:
    """Return an answer with these ends."""
    usual: dict[str, Any] = {"request": REQUEST, "cautions": (), "reasons": ()}
    return Setup(front=front, rear=rear, **{**usual, **changed})


@pytest.mark.parametrize(
    ("after", "far"), [(550.0, False), (551.0, True), (450.0, False), (449.0, True), (500.0, False)]
)
def test_more_than_a_tenth_is_far(after: float, far: bool) -> None:
    assert moved_far(end_at(500.0), end_at(after)) is far
    assert moved_far(coil_at(500.0), coil_at(after)) is far


def test_an_end_that_comes_or_goes_or_gets_another_kind_of_spring_moved_far() -> None:
    end = end_at(500.0)
    assert moved_far(None, end)
    assert moved_far(end, None)
    assert moved_far(end, coil_at(500.0))
    assert moved_far(coil_at(500.0), end)


def test_an_offset_counts_from_the_computed_start_without_what_the_stop_took() -> None:
    # 3 clicks of offset led from 5 to 8 out; to stand at 6 it has to be 1.
    assert offset_for(3, clicks(8), 6) == 1
    # 5 clicks of offset from 14 of 16 led to 16 and lost 3: 16 − 3 to be counted, for 10 out an offset of −4.
    assert offset_for(5, clicks(16, beyond=3), 10) == -4


def test_clicks_stay_where_they_stood() -> None:
    before = end_at(500.0, clicks(6), compression=clicks(3, 10))
    after = end_at(520.0, clicks(8), compression=clicks(4, 10))
    kept = request_with_clicks_of(before, after, REQUEST)
    assert kept.front is not None
    assert (kept.front.rebound_offset_clicks, kept.front.compression_offset_clicks) == (-2, -1)
    assert kept.rear is REQUEST.rear


def test_clicks_that_went_in_come_out_again() -> None:
    kept = request_with_clicks_of(end_at(500.0, clicks(8)), end_at(520.0, clicks(6)), REQUEST)
    assert kept.front is not None
    assert kept.front.rebound_offset_clicks == 2


def test_clicks_of_the_rear_stay_too() -> None:
    before, after = end_at(500.0, clicks(6, 14), end="rear"), end_at(520.0, clicks(9, 14), end="rear")
    kept = request_with_clicks_of(before, after, REQUEST)
    assert kept.rear is not None
    assert kept.rear.rebound_offset_clicks == -3
    assert kept.front is REQUEST.front


def test_of_another_adjuster_nothing_can_be_kept() -> None:
    before = end_at(500.0, clicks(6, 16), compression=clicks(3, 10))
    after = end_at(500.0, clicks(8, 20), compression=clicks(4, 12))
    assert request_with_clicks_of(before, after, REQUEST) is REQUEST
    one = request_with_clicks_of(before, replace(after, compression=clicks(4, 10)), REQUEST)
    assert one.front is not None
    assert (one.front.rebound_offset_clicks, one.front.compression_offset_clicks) == (0, -1)


@pytest.mark.parametrize("bare", [0, 1])
def test_without_an_adjuster_nothing_is_kept(bare: int) -> None:
    ends = [end_at(500.0, clicks(6), compression=clicks(3)), end_at(500.0, clicks(8), compression=clicks(4))]
    ends[bare] = replace(ends[bare], rebound=None, compression=None)
    assert request_with_clicks_of(ends[0], ends[1], REQUEST) is REQUEST


def test_clicks_that_stand_already_leave_the_request_as_it_is() -> None:
    end = end_at(500.0, clicks(6), compression=clicks(3))
    assert request_with_clicks_of(end, end, REQUEST) is REQUEST
    one = request_with_clicks_of(end, replace(end, rebound=clicks(7)), REQUEST)
    assert one.front is not None
    assert (one.front.rebound_offset_clicks, one.front.compression_offset_clicks) == (-1, 0)


def test_an_end_that_the_request_has_not_is_left() -> None:
    request = replace(REQUEST, front=None)
    assert request_with_clicks_of(end_at(500.0, clicks(6)), end_at(500.0, clicks(7)), request) is request
    request = replace(REQUEST, rear=None)
    rear = end_at(500.0, clicks(6), end="rear")
    assert request_with_clicks_of(rear, replace(rear, rebound=clicks(7)), request) is request


def test_offsets_go_to_their_own_end() -> None:
    assert REQUEST.front is not None
    assert REQUEST.rear is not None
    front = with_offsets(REQUEST, REQUEST.front, {"rebound_offset_clicks": 2})
    assert front.front is not None
    assert (front.front.rebound_offset_clicks, front.rear) == (2, REQUEST.rear)
    rear = with_offsets(REQUEST, REQUEST.rear, {"rebound_offset_clicks": -2})
    assert rear.rear is not None
    assert (rear.rear.rebound_offset_clicks, rear.front) == (-2, REQUEST.front)


# What is said of it

PSI = 6894.757


@pytest.mark.parametrize(
    ("psi", "out", "key", "way", "values"),
    [
        (120.0, 6, "rebound_follows.more.fork", "in", {"percent": 20, "before": 8, "out": 6, "total": 16}),
        (75.0, 9, "rebound_follows.less.fork", "out", {"percent": 25, "before": 8, "out": 9, "total": 16}),
        (120.0, 8, "rebound_stays.more.fork", "", {"percent": 20}),
        (75.0, 8, "rebound_stays.less.fork", "", {"percent": 25}),
    ],
)
def test_a_pressure_that_moved_far_says_what_it_does_to_the_rebound(
    psi: float, out: int, key: str, way: str, values: dict[str, Any]
) -> None:
    before, after = end_at(100 * PSI, clicks(8)), end_at(psi * PSI, clicks(out))
    (note,) = follow_notes(setup_with(before), setup_with(after))
    assert (note.said.key, dict(note.said.values)) == (key, values)
    assert (note.code, note.way) == (key.split(".")[0], way)
    assert (note.source, note.end) == (sources.DAMPING, "front")


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (None, clicks(6)),
        (clicks(8), None),
        (clicks(8, 16), clicks(6, 20)),
        (clicks(8, 20), clicks(6, 16)),
    ],
)
def test_without_the_same_adjuster_the_rebound_stays(before: Any, after: Any) -> None:
    (note,) = follow_notes(setup_with(end_at(100 * PSI, before)), setup_with(end_at(150 * PSI, after)))
    assert note.code == "rebound_stays"


def test_a_pressure_that_did_not_move_far_or_became_a_coil_says_nothing() -> None:
    before = end_at(100 * PSI, clicks(8))
    assert follow_notes(setup_with(before), setup_with(end_at(109 * PSI, clicks(6)))) == ()
    assert follow_notes(setup_with(before), setup_with(coil_at(10_000.0, clicks(6)))) == ()
    assert follow_notes(setup_with(before), setup_with(None, replace(before, end="rear"))) == ()


def test_both_ends_are_told_front_first_and_a_coil_has_its_own_words() -> None:
    rear = coil_at(80_000.0, clicks(8, 14), end="rear")
    firmer = coil_at(100_000.0, clicks(7, 14), end="rear")
    before, after = end_at(100 * PSI, clicks(8)), end_at(150 * PSI, clicks(6))
    notes = follow_notes(setup_with(before, rear), setup_with(after, firmer))
    assert [(note.said.key, note.end) for note in notes] == [
        ("rebound_follows.more.fork", "front"),
        ("rebound_follows.more.coil", "rear"),
    ]
    assert notes[1].said.values["percent"] == 25


def test_a_share_of_no_pressure_is_told_over_one_psi() -> None:
    # From nothing to 3 psi: 200 % more than 1 psi.
    (note,) = follow_notes(setup_with(end_at(0.0)), setup_with(end_at(3.00001 * PSI)))
    assert note.said.values["percent"] == 200
    # From no rate to 3 N/m: 200 % more than 1 N/m.
    (note,) = follow_notes(setup_with(coil_at(0.0)), setup_with(coil_at(3.0)))
    assert note.said.values["percent"] == 200


@pytest.mark.parametrize(
    ("stood", "stands", "kind"), [(8, 0, "closed"), (8, 16, "open"), (8, 1, None), (8, 15, None), (0, 0, None)]
)
def test_rebound_that_followed_to_a_stop_says_so(stood: int, stands: int, kind: str | None) -> None:
    notes = follow_notes(setup_with(end_at(100 * PSI, clicks(stood))), setup_with(end_at(150 * PSI, clicks(stands))))
    keys = [note.said.key for note in notes[1:]]
    assert keys == ([] if kind is None else [f"last_click.rebound.{kind}.fork"])
    if kind:
        assert notes[1].way == ("in" if kind == "closed" else "out")


def test_of_another_adjuster_no_stop_is_told() -> None:
    for before, after in ((None, clicks(0)), (clicks(4, 10), clicks(0)), (clicks(4, 20), clicks(0)), (clicks(4), None)):
        notes = follow_notes(setup_with(end_at(100 * PSI, before)), setup_with(end_at(150 * PSI, after)))
        assert [note.code for note in notes] == ["rebound_stays"]


@pytest.mark.parametrize(
    ("out", "turned", "kind", "key", "way"),
    [
        (0, -2, "rebound", "last_click.rebound.closed.fork", "in"),
        (16, 2, "rebound", "last_click.rebound.open.fork", "out"),
        (0, -1, "compression", "last_click.compression.closed.fork", "in"),
        (16, 1, "compression", "last_click.compression.open.fork", "out"),
    ],
)
def test_a_turn_to_a_stop_says_which(out: int, turned: int, kind: str, key: str, way: str) -> None:
    other = "compression" if kind == "rebound" else "rebound"
    ends: dict[str, Any] = {kind: clicks(out), other: clicks(5)}
    (note,) = stop_notes(replace(end_at(500.0), **ends), turned, kind)
    assert (note.code, note.said.key, dict(note.said.values)) == ("last_click", key, {})
    assert (note.source, note.end, note.way) == ("", "front", way)


def test_no_turn_no_adjuster_or_no_stop_says_nothing() -> None:
    end = end_at(500.0, clicks(0))
    assert stop_notes(end, 0, "rebound") == ()
    assert stop_notes(end, -1, "compression") == ()
    assert stop_notes(end_at(500.0, clicks(1)), -1, "rebound") == ()
    assert stop_notes(end_at(500.0, clicks(15)), 1, "rebound") == ()


def test_bounce_checks_count_until_their_ends_pressure_moves_far() -> None:
    front = TakenBounce(end="front", clicks_out=8, direction=1)
    rear = TakenBounce(end="rear", clicks_out=7, direction=-1)
    end, back = end_at(500.0), end_at(900.0, end="rear")
    before = setup_with(end, back, bounces=(front, rear))
    assert bounces_kept(before, setup_with(end, back)) == (front, rear)
    assert bounces_kept(before, setup_with(end_at(600.0), back)) == (rear,)
    assert bounces_kept(before, setup_with(end, end_at(700.0, end="rear"))) == (front,)
    assert bounces_kept(before, setup_with(end)) == (front,)
