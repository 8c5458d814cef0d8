"""A bounce check, a ride and a what-if from end to end, with a made-up answer in the place of the whole rules.

The answer is 500,000 Pa and 8 of 16 clicks out for 4 kg of kit; each kilogram more is 2 % of pressure and a click in.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice import corrections as module
from setup_rules.advice.bounce_check import find_turn
from setup_rules.advice.corrections import apply_bounce_check, apply_ride, what_if
from setup_rules.inference.volume_spacer import SpacerEffect
from setup_rules.messages.message import Message
from setup_rules.types.errors import RequestError
from setup_rules.types.request import EndName, SetupRequest
from setup_rules.types.result import BounceCheck, Change, EndSetup, Note, RideReport, Setup, TakenBounce, TakenRide
from tests.setup_rules.advice.test_corrections_parts import BOTH, FORK, FRONT, REAR, clicks, setup_of


def numbers(request: SetupRequest, name: Any) -> EndSetup:
    """Return the made-up numbers of one end."""
    end: Any = getattr(request, name)
    more = request.kit_mass_kg - 4.0
    total, offset = end.rebound_clicks or 16, end.rebound_offset_clicks
    return replace(
        FRONT if name == "front" else REAR,
        pressure_pa=500_000.0 * (1.0 + 0.02 * more),
        rebound=clicks(min(max(total // 2 - round(more) + offset, 0), total), total),
        volume_spacers=end.volume_spacers,
        compression=None,
    )


def answer(request: SetupRequest, checks: Any = ()) -> Setup:
    """Return the made-up answer to a request; what is said of each end tells the kit that it is for."""
    words = tuple(
        Note(f"{end}_{what}", Message(f"kit {request.kit_mass_kg:g}"), end=end)  # type: ignore[arg-type]
        for end, there in (("front", request.front), ("rear", request.rear))
        for what in ("load", "rebound")
        if there is not None
    )
    ends = {name: numbers(request, name) for name, _ in request.ends()}
    given: dict[str, Any] = {"front": ends.get("front"), "rear": ends.get("rear"), "reasons": words, "checks": checks}
    return setup_of(request=request, **given)


@pytest.fixture(autouse=True)
def _made_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "recommend", answer)


START = answer(BOTH)
ENDS: tuple[EndName, ...] = ("front", "rear")


def rebound_of(setup: Setup, name: str = "front") -> int:
    """Return where the rebound of an end stands."""
    end: EndSetup | None = getattr(setup, name)
    assert end is not None
    assert end.rebound is not None
    return end.rebound.out


def bounced(out: int, seen: str | None = None, setup: Setup = START, end: Any = "front", **given: Any) -> Setup:
    """Return the setup after a bounce check."""
    return apply_bounce_check(setup, BounceCheck(end=end, clicks_out=out, seen=seen, **given))


@pytest.mark.parametrize(
    ("out", "seen", "stands", "told"),
    [
        (8, "less", 12, ["rebound_turn"]),
        (8, "more", 4, ["rebound_turn"]),
        (6, "about_right", 6, ["rebound_right"]),
        (14, "less", 16, ["rebound_turn", "last_click"]),
        (2, "more", 0, ["rebound_turn", "last_click"]),
        (16, "less", 16, ["rebound_at_end"]),
    ],
)
def test_a_bounce_check_turns_the_rebound_and_says_where_it_ends(
    out: int, seen: str, stands: int, told: list[str]
) -> None:
    after = bounced(out, seen)
    assert rebound_of(after) == stands
    assert [one.code for one in after.advice] == told
    way = 0 if seen == "about_right" else 1 if seen == "less" else -1
    remembered = (TakenBounce(end="front", clicks_out=out, direction=way),)
    assert after.bounces == remembered
    assert after.rear is START.rear


def test_a_bounce_check_does_not_go_back_to_what_was_left() -> None:
    left = replace(START, bounces=(TakenBounce(end="front", clicks_out=10, direction=-1),))
    assert rebound_of(bounced(8, "less", left)) == 9
    # What was left for quicker, or at the other end, closes nothing.
    for bounce in (
        TakenBounce(end="front", clicks_out=10, direction=1),
        TakenBounce(end="rear", clicks_out=10, direction=-1),
    ):
        assert rebound_of(bounced(8, "less", replace(START, bounces=(bounce,)))) == 12


def test_a_shock_whose_sag_nobody_measured_is_told_so_last() -> None:
    after = bounced(7, "less", end="rear")
    assert [one.code for one in after.advice] == ["rebound_turn", "sag_before_rebound"]
    # A quarter of 14 clicks is 3.5, which is told as 4.
    assert rebound_of(after, "rear") == 11


def test_a_bounce_check_that_cannot_be_is_refused() -> None:
    with pytest.raises(RequestError) as refused:
        bounced(17, "less")
    assert [one.field for one in refused.value.problems] == ["clicks_out"]


@pytest.mark.parametrize(
    ("points", "spread"),
    [
        (None, 6.0),
        # 800 to 200 N·s/m over 8 clicks are a factor of 16 over all 16.
        (((4.0, 800.0), (12.0, 200.0)), 16.0),
    ],
)
def test_the_reach_of_an_adjuster_is_its_own_where_it_is_known(
    monkeypatch: pytest.MonkeyPatch, points: Any, spread: float
) -> None:
    spreads: list[float] = []

    def turn(check: BounceCheck, style: str, total: int, closed: tuple[int, ...], reach: float) -> Any:
        spreads.append(reach)
        return find_turn(check, style, total, closed, reach)

    monkeypatch.setattr(module, "find_turn", turn)
    known = replace(BOTH, front=replace(FORK, rebound_points=points))
    bounced(8, "less", answer(known))
    assert spreads[-1] == pytest.approx(spread)


def ridden(monkeypatch: pytest.MonkeyPatch, setup: Setup = START, end: Any = "front", **change: Any) -> Setup:
    """Return the setup after a ride that asks for a change."""
    asked = Change(end=end, **change)
    monkeypatch.setattr(module, "next_change", lambda *_: asked)
    after = apply_ride(setup, RideReport(end=end, felt=("dives",)))
    assert after.rides == (*setup.rides, TakenRide(report=RideReport(end=end, felt=("dives",)), change=asked))
    return after


@pytest.mark.parametrize(
    ("before", "amount", "stands", "told"),
    [
        (8.0, -2.0, 6, ["ride_rebound"]),
        (8.0, 2.0, 10, ["ride_rebound"]),
        (0.0, 2.0, 2, ["ride_rebound"]),
        (2.0, -2.0, 0, ["ride_rebound", "last_click"]),
        (15.0, 1.0, 16, ["ride_rebound", "last_click"]),
    ],
)
def test_a_ride_turns_from_where_the_adjuster_stood(
    monkeypatch: pytest.MonkeyPatch, before: float, amount: float, stands: int, told: list[str]
) -> None:
    after = ridden(monkeypatch, kind="rebound", amount=amount, before=before)
    assert rebound_of(after) == stands
    assert [one.code for one in after.advice] == told
    assert after.advice[0].said.values == {"count": abs(amount), "out": stands, "total": 16}


@pytest.mark.parametrize(("amount", "count"), [(1.0, 3), (-1.0, 1)])
def test_a_ride_puts_a_spacer_in_or_out_and_says_what_it_does(
    monkeypatch: pytest.MonkeyPatch, amount: float, count: int
) -> None:
    asked: list[Any] = []

    def effect(model: Any, known: Any, spacers: int, target_m: float) -> SpacerEffect:
        asked.append((model.name, known, spacers, target_m))
        return SpacerEffect(0.0, 0.0, 1.0 + 0.1 * amount, 1.0)

    monkeypatch.setattr(module, "spacer_effect", effect)
    monkeypatch.setattr(module, "posterior_of", lambda *_: "known")
    start = answer(replace(BOTH, front=replace(FORK, volume_spacers=2)))
    marked = replace(start, rear=replace(REAR, pressure_pa=1.0))
    after = ridden(monkeypatch, marked, kind="volume_spacers", amount=amount, before=2.0)
    # The target of the fork is 30 mm.
    assert asked == [("front", "known", count, pytest.approx(0.03, rel=1e-12))]
    assert after.front is not None
    assert after.request.front is not None
    assert (after.front.volume_spacers, after.request.front.volume_spacers) == (count, count)
    assert after.rear is marked.rear
    assert [(one.code, one.said.values["work"]) for one in after.advice] == [("ride_volume_spacers", 10)]


@pytest.mark.parametrize(("name", "other"), [("front", "rear"), ("rear", "front")])
def test_a_ride_asks_for_another_target_of_its_own_end(monkeypatch: pytest.MonkeyPatch, name: Any, other: str) -> None:
    monkeypatch.setattr(module, "spacer_effect", None)  # only a spacer is worked out
    marked: Any = replace(START, **{other: replace(getattr(START, other), pressure_pa=1.0)})
    after = ridden(monkeypatch, marked, name, kind="sag_target", amount=-2.0, before=21.4)
    assert getattr(after.request, name).sag_target_percent == pytest.approx(19.4)
    assert getattr(after, other) is getattr(marked, other)
    assert [one.code for one in after.advice] == ["ride_sag_target"]
    assert after.advice[0].end == name


def test_after_a_ride_clicks_stay_unless_the_pressure_moved_far(monkeypatch: pytest.MonkeyPatch) -> None:
    # Set for 4 kg of kit, ridden with 6 or 10 kg entered meanwhile: 4 % more pressure, or 12 %.
    for kit, stands, offset in ((6.0, 8, 2), (10.0, 2, 0)):
        stood = replace(START, request=replace(BOTH, kit_mass_kg=kit))
        after = ridden(monkeypatch, stood, kind="sag_target", amount=-2.0, before=21.4)
        assert rebound_of(after) == stands
        assert after.request.front is not None
        assert after.request.front.rebound_offset_clicks == offset
        assert [one.code for one in after.advice][1:] == ([] if offset else ["rebound_follows"])


def said(setup: Setup) -> list[str]:
    """Return for which kit the load and rebound of both ends are told."""
    return [one.said.key for one in setup.reasons]


def test_an_end_that_a_what_if_does_not_touch_keeps_its_numbers() -> None:
    marked = replace(START, front=replace(START.front, pressure_pa=1.0))  # type: ignore[type-var]
    after = what_if(marked, {"rear": {"volume_spacers": 1}})
    assert after.front == marked.front
    assert after.rear is not None
    assert (after.rear.volume_spacers, after.rear.pressure_pa) == (1, 500_000.0)
    turned = what_if(marked, {"front": {"rebound_clicks": 20}})
    assert turned.front is not None
    assert (turned.front.pressure_pa, turned.front.rebound) == (1.0, clicks(10, 20))


def test_a_little_more_load_leaves_the_clicks_standing() -> None:
    after = what_if(START, {"kit_mass_kg": 6})
    # 4 % more air; the two clicks that go with it are not worth a turn.
    assert after.front is not None
    assert after.front.pressure_pa == pytest.approx(520_000.0)
    assert (rebound_of(after), rebound_of(after, "rear")) == (8, 7)
    assert after.request.front is not None
    assert after.request.rear is not None
    assert (after.request.front.rebound_offset_clicks, after.request.rear.rebound_offset_clicks) == (2, 2)
    assert after.advice == ()


def test_a_lot_more_load_takes_the_clicks_with_it() -> None:
    after = what_if(START, {"kit_mass_kg": 10})
    assert (rebound_of(after), rebound_of(after, "rear")) == (2, 1)
    assert {one.code for one in after.advice} == {"rebound_follows"}


def test_another_style_has_clicks_of_its_own() -> None:
    for style in ("enduro", "cross_country"):
        after = what_if(START, {"riding_style": style, "kit_mass_kg": 6})
        assert rebound_of(after) == 6


def kept(changes: dict[str, Any]) -> tuple[list[str], list[str]]:
    """Return of which ends rides and bounce checks are kept after a what-if, one of each end taken before."""
    rides = tuple(
        TakenRide(report=RideReport(end=end, felt=("dives",)), change=Change(end=end, kind="none")) for end in ENDS
    )
    bounces = tuple(TakenBounce(end=end, clicks_out=8, direction=1) for end in ENDS)
    after = what_if(replace(START, rides=rides, bounces=bounces), changes)
    return [one.change.end for one in after.rides], [one.end for one in after.bounces]


@pytest.mark.parametrize(
    ("changes", "ends"),
    [
        ({}, ["front", "rear"]),
        ({"ride": {"temperature_c": 0}}, ["front", "rear"]),
        ({"front": {"rebound_offset_clicks": 1}}, ["front", "rear"]),
        ({"front": {"volume_spacers": 1}}, ["front", "rear"]),
        ({"kit_mass_kg": 5}, []),
        ({"riding_style": "enduro"}, []),
        ({"front": {"negative_spring": "coil"}}, ["rear"]),
        ({"rear": {"stroke_mm": 60}}, ["front"]),
    ],
)
def test_what_was_felt_is_kept_where_it_still_feels_the_same(changes: dict[str, Any], ends: list[str]) -> None:
    assert kept(changes) == (ends, ends)


def test_an_end_that_was_not_there_before_is_answered_anew() -> None:
    alone = answer(replace(BOTH, rear=None))
    after = what_if(alone, {"rear": {"stroke_mm": 55, "leverage_start": 2.8, "leverage_end": 2.4}})
    assert after.front == alone.front
    assert after.rear is not None
    assert said(after) == ["kit 4"] * 4
