"""Corrections piece by piece, with made-up answers: what is said, what of a request counts, and what is kept."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice import corrections as module
from setup_rules.advice.bounce_check import Turn
from setup_rules.advice.corrections import (
    _bounce_note,
    _change_note,
    _changed_request,
    _end_and_result,
    _feel_of,
    _merged,
    _sag_first,
    _still_note,
    _turns_alike,
    _way_of,
    _weighed_today,
    apply_bounce_check,
    apply_ride,
    spring_of,
    what_if,
)
from setup_rules.inference.volume_spacer import SpacerEffect
from setup_rules.messages.catalogue import TEMPLATES, sources
from setup_rules.messages.message import Message
from setup_rules.types import constants as c
from setup_rules.types.errors import RequestError
from setup_rules.types.request import Conditions, FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import BounceCheck, Change, ClickStart, EndSetup, Note, RideReport, Setup, TakenRide
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_recommend_parts import COIL
from tests.setup_rules.advice.test_stop_rule import end_with

FORK = FrontEnd(travel_mm=140.0, stanchion_mm=34, rebound_clicks=16, compression_clicks=12)
SHOCK = RearEnd(stroke_mm=55.0, leverage_start=2.8, leverage_end=2.4, rebound_clicks=14)
BOTH = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=FORK, rear=SHOCK)


def clicks(out: int, total: int) -> ClickStart:
    """Return an adjuster at so many clicks out of a total."""
    return ClickStart(out=out, total=total, clamped=False, damping_n_s_per_m=900.0)


FRONT = end_with(rebound=clicks(8, 16), compression=clicks(6, 12), checks_used=1)
REAR = end_with(end="rear", travel_mm=55.0, rebound=clicks(7, 14))


def note(code: str, end: Any = None, said: str = "old") -> Note:
    """Return a word of one end."""
    return Note(code, Message(said), end=end)


def setup_of(**given: Any) -> Setup:
    """Return an answer for fork and shock."""
    usual: dict[str, Any] = {"request": BOTH, "front": FRONT, "rear": REAR, "cautions": (), "reasons": ()}
    return Setup(**{**usual, **given})


def said(one: Note) -> tuple[str, dict[str, Any]]:
    """Return key and values of what is said, its key being one that there is."""
    assert one.said.key in TEMPLATES
    return one.said.key, dict(one.said.values)


@pytest.mark.parametrize(
    ("kind", "amount", "way"),
    [
        ("rebound", 2.0, "out"),
        ("rebound", -2.0, "in"),
        ("compression", 1.0, "out"),
        ("compression", -1.0, "in"),
        ("sag_target", 0.5, "more"),
        ("sag_target", -0.5, "less"),
        ("volume_spacers", 1.0, "more"),
        ("spring_rate", -1.0, "less"),
    ],
)
def test_a_change_goes_one_way(kind: Any, amount: float, way: str) -> None:
    assert _way_of(Change(end="front", kind=kind, amount=amount)) == way


@pytest.mark.parametrize(
    ("kind", "result", "key"),
    [
        ("none", FRONT, "ride_none"),
        ("sag_check", FRONT, "ride_sag_check.fork"),
        ("sag_check", REAR, "ride_sag_check.shock"),
        ("sag_check", replace(FRONT, coil=COIL), "ride_sag_check.coil"),
        ("workshop", FRONT, "ride_workshop.fork"),
        ("workshop", REAR, "ride_workshop.shock"),
        ("workshop", replace(FRONT, coil=COIL), "ride_workshop.fork"),
    ],
)
def test_nothing_turned_is_said_for_the_end_and_its_spring(kind: Any, result: EndSetup, key: str) -> None:
    found = _still_note(Change(end=result.end, kind=kind), result)
    assert said(found) == (key, {})
    assert (found.code, found.source, found.end, found.way) == (f"ride_{kind}", c.PRACTICE, result.end, "")


AFTER = replace(FRONT, pressure_pa=83.6 * PSI_PA, sag_target_mm=27.6, volume_spacers=2)
BEFORE = replace(FRONT, pressure_pa=75.2 * PSI_PA)
#: 12.4 % less work.
EFFECT = SpacerEffect(pressure_before_pa=0.0, pressure_after_pa=0.0, work_factor=0.876, full_force_factor=1.0)


@pytest.mark.parametrize(
    ("kind", "amount", "key", "values", "source"),
    [
        ("rebound", -2.0, "ride_rebound.in.fork", {"count": 2, "out": 8, "total": 16}, c.PRACTICE),
        ("compression", 1.0, "ride_compression.out.fork", {"count": 1, "out": 6, "total": 12}, c.PRACTICE),
        (
            "sag_target",
            -1.5,
            "ride_sag_target.less.fork",
            {"before": 75, "psi": 84, "points": 1.5, "sag": 27.5},
            c.PRACTICE,
        ),
        (
            "volume_spacers",
            1.0,
            "ride_volume_spacers.more.fork",
            {"total": 2, "psi": 84, "sag": 27.5, "work": 12},
            sources.SPACER_WORK,
        ),
    ],
)
def test_a_change_is_told_with_its_numbers(
    kind: Any, amount: float, key: str, values: dict[str, Any], source: str
) -> None:
    effect = EFFECT if kind == "volume_spacers" else None
    found = _change_note(Change(end="front", kind=kind, amount=amount), BEFORE, AFTER, effect)
    assert said(found) == (key, values)
    way = key.split(".")[1]
    assert (found.code, found.source, found.end, found.way) == (f"ride_{kind}", source, "front", way)


def test_more_work_is_told_as_less_is() -> None:
    more = replace(EFFECT, work_factor=1.124)
    found = _change_note(Change(end="rear", kind="volume_spacers", amount=-1.0), BEFORE, AFTER, more)
    assert said(found) == ("ride_volume_spacers.less.shock", {"total": 2, "psi": 84, "sag": 27.5, "work": 12})


def test_a_coil_is_told_its_spring_and_a_damper_of_it_its_clicks() -> None:
    coil = replace(AFTER, coil=COIL)
    found = _change_note(Change(end="front", kind="sag_target", amount=2.0), BEFORE, coil, None)
    assert said(found)[0] == "ride_sag_target.more.coil"
    assert (found.code, found.source, found.end, found.way) == ("ride_sag_target", c.PRACTICE, "front", "more")
    spring = _change_note(Change(end="front", kind="spring_rate", amount=-1.0), BEFORE, coil, None)
    assert said(spring)[0] == "ride_spring_rate.less"
    damper = _change_note(Change(end="front", kind="rebound", amount=2.0), BEFORE, coil, None)
    assert said(damper)[0] == "ride_rebound.out.fork"


def bounced(turn: Turn) -> Note:
    """Return what is said of a bounce check at 8 of 16 clicks out, of a style that aims at 0.425."""
    return _bounce_note(BounceCheck(end="front", clicks_out=8, seen="less"), turn, 16, 0.425)


@pytest.mark.parametrize(
    ("turn", "code", "key", "values", "way"),
    [
        (Turn(1, 4), "rebound_turn", "rebound_turn.out", {"out": 12, "total": 16, "count": 4}, "out"),
        (Turn(-1, 3), "rebound_turn", "rebound_turn.in", {"out": 5, "total": 16, "count": 3}, "in"),
        (
            Turn(1, 4, ratio=0.5556),
            "rebound_turn",
            "rebound_turn.out.measured",
            {"out": 12, "total": 16, "count": 4, "ratio": 0.56, "aim": 0.42},
            "out",
        ),
        (Turn(0), "rebound_right", "rebound_right", {"out": 8, "total": 16}, ""),
        (
            Turn(0, ratio=0.4),
            "rebound_right",
            "rebound_right.measured",
            {"out": 8, "total": 16, "ratio": 0.4, "aim": 0.42},
            "",
        ),
        (Turn(1), "rebound_right", "rebound_right.nothing_between.out", {"out": 8, "total": 16}, ""),
        (Turn(-1, ratio=0.6), "rebound_right", "rebound_right.nothing_between.in", {"out": 8, "total": 16}, ""),
        (Turn(1, at_end=True), "rebound_at_end", "rebound_at_end.open", {"out": 8, "total": 16}, ""),
        (
            Turn(-1, at_end=True, ratio=0.6),
            "rebound_at_end",
            "rebound_at_end.closed.measured",
            {"out": 8, "total": 16, "ratio": 0.6, "aim": 0.42},
            "",
        ),
    ],
)
def test_a_bounce_check_is_answered_in_words(turn: Turn, code: str, key: str, values: dict[str, Any], way: str) -> None:
    found = bounced(turn)
    assert said(found) == (key, values)
    assert (found.code, found.source, found.end, found.way) == (code, sources.BOUNCE, "front", way)


@pytest.mark.parametrize(
    ("result", "variant"),
    [
        (replace(FRONT, checks_used=0), "fork"),
        (REAR, "shock"),
        (replace(REAR, coil=COIL), "coil"),
        (FRONT, None),
        (replace(FRONT, checks_used=2), None),
    ],
)
def test_sag_comes_before_rebound_where_nobody_measured_it(result: EndSetup, variant: str | None) -> None:
    found = _sag_first(result)
    assert [said(one) for one in found] == ([] if variant is None else [(f"sag_before_rebound.{variant}", {})])
    assert {(one.code, one.source, one.end) for one in found} <= {("sag_before_rebound", c.PRACTICE, result.end)}


def test_an_end_without_an_adjuster_is_not_bounced() -> None:
    for end, variant in (("front", "fork"), ("rear", "shock")):
        bare = setup_of(front=replace(FRONT, rebound=None), rear=replace(REAR, rebound=None))
        with pytest.raises(RequestError) as refused:
            apply_bounce_check(bare, BounceCheck(end=end, clicks_out=8, seen="less"))  # type: ignore[arg-type]
        (problem,) = refused.value.problems
        assert (problem.field, problem.said) == ("end", Message.of(f"bounce.no_adjuster.{variant}"))


@pytest.mark.parametrize(("missing", "key"), [("front", "problem.no_fork"), ("rear", "problem.no_shock")])
def test_an_end_that_is_not_there_cannot_be_corrected(missing: Any, key: str) -> None:
    without: Any = {missing: None}
    for lacking in (setup_of(**without), setup_of(request=replace(BOTH, **without))):
        with pytest.raises(RequestError) as refused:
            _end_and_result(lacking, missing)
        assert [one.said for one in refused.value.problems] == [Message.of(key)]
    assert _end_and_result(setup_of(), "front") == (FORK, FRONT)
    assert _end_and_result(setup_of(), "rear") == (SHOCK, REAR)


def test_a_ride_asks_for_another_target_or_other_spacers() -> None:
    def changed(kind: Any, amount: float, percent: float = 22.5) -> FrontEnd:
        result = replace(FRONT, sag_target_percent=percent)
        asked = _changed_request(
            BOTH, replace(FORK, volume_spacers=2), result, Change(end="front", kind=kind, amount=amount)
        )
        assert asked.front is not None
        assert asked.rear == SHOCK
        return asked.front

    assert changed("sag_target", -1.5) == replace(FORK, sag_target_percent=21.0)
    assert changed("sag_target", 2.0) == replace(FORK, sag_target_percent=24.5)
    assert changed("volume_spacers", 1.0) == replace(FORK, volume_spacers=3)
    assert changed("volume_spacers", -1.0) == replace(FORK, volume_spacers=1)


@pytest.mark.parametrize(
    ("kind", "result", "key"),
    [
        ("none", FRONT, "ride_none"),
        ("sag_check", FRONT, "ride_sag_check.fork"),
        ("workshop", FRONT, "ride_workshop.fork"),
    ],
)
def test_a_ride_that_turns_nothing_is_kept_and_changes_no_number(
    monkeypatch: pytest.MonkeyPatch, kind: Any, result: EndSetup, key: str
) -> None:
    change = Change(end="front", kind=kind)
    monkeypatch.setattr(module, "next_change", lambda *_: change)
    report, before = RideReport(end="front", felt=("dives",)), setup_of(settled=True)
    after = apply_ride(before, report)
    assert [one.said.key for one in after.advice] == [key]
    assert after == replace(before, rides=(TakenRide(report=report, change=change),), advice=after.advice, settled=None)


CLICKS: dict[str, Any] = {
    "rebound_clicks": 20,
    "rebound_points": ((4.0, 800.0), (12.0, 200.0)),
    "rebound_offset_clicks": 1,
    "compression_clicks": 8,
    "compression_offset_clicks": -1,
}


@pytest.mark.parametrize("key", CLICKS)
def test_another_adjuster_does_not_turn_alike(key: str) -> None:
    turned: Any = {key: CLICKS[key]}
    front, rear = replace(BOTH, front=replace(FORK, **turned)), replace(BOTH, rear=replace(SHOCK, **turned))
    assert not _turns_alike(BOTH, front, "front")
    assert _turns_alike(BOTH, front, "rear")
    assert not _turns_alike(BOTH, rear, "rear")
    assert _turns_alike(BOTH, rear, "front")


def test_a_spring_of_the_same_style_and_adjusters_turns_alike() -> None:
    firmer = replace(BOTH, rider_mass_kg=90.0, front=replace(FORK, volume_spacers=2))
    assert _turns_alike(BOTH, firmer, "front")
    assert not _turns_alike(BOTH, replace(BOTH, riding_style="enduro"), "front")
    assert not _turns_alike(BOTH, replace(BOTH, riding_style="cross_country"), "front")
    assert not _turns_alike(replace(BOTH, riding_style="cross_country"), BOTH, "front")
    assert not _turns_alike(BOTH, replace(BOTH, front=None), "front")
    assert not _turns_alike(replace(BOTH, rear=None), BOTH, "rear")


def test_a_spring_is_its_end_without_clicks_and_the_other_end() -> None:
    front, rear = replace(FORK, **CLICKS), replace(SHOCK, **CLICKS)
    plain: dict[str, Any] = {
        "rebound_clicks": None,
        "rebound_points": None,
        "rebound_offset_clicks": 0,
        "compression_clicks": None,
        "compression_offset_clicks": 0,
    }
    asked = replace(BOTH, front=front, rear=rear)
    assert spring_of(asked, "front") == replace(BOTH, front=replace(FORK, **plain), rear=None)
    assert spring_of(asked, "rear") == replace(BOTH, front=None, rear=replace(SHOCK, **plain))
    assert spring_of(replace(BOTH, front=None), "front") is None
    assert spring_of(replace(BOTH, rear=None), "rear") is None


@pytest.mark.parametrize("name", ["front", "rear"])
def test_an_end_feels_the_same_in_other_weather_with_what_a_ride_may_change(name: Any) -> None:
    end: Any = getattr(BOTH, name)
    ridden = replace(
        end,
        sag_target_percent=25.0,
        volume_spacers=2,
        stocked_rates_n_per_mm=(8.0,),
        fitted_rate_n_per_mm=8.0,
        rebound_clicks=20,
    )
    cold = Conditions(temperature_c=-5.0, altitude_m=1500.0)
    other: Any = replace(BOTH, bench=cold, ride=cold, **{name: ridden})
    assert _feel_of(other, name) == _feel_of(BOTH, name) is not None
    assert _feel_of(replace(BOTH, rider_mass_kg=79.0), name) != _feel_of(BOTH, name)
    heavier: Any = replace(BOTH, **{name: replace(end, negative_spring="coil")})
    assert _feel_of(heavier, name) != _feel_of(BOTH, name)
    gone: Any = {name: None}
    nothing = replace(BOTH, **gone)
    assert _feel_of(nothing, name) is None


def test_changes_go_inside_what_was_asked_but_a_spring_test_is_another_one() -> None:
    data = {"kit": 4, "front": {"travel_mm": 140, "spring_test": {"at": "wheel", "psi": 80}}, "rear": None}
    assert _merged(data, {"front": {"spacers": 1}}) == {**data, "front": {**data["front"], "spacers": 1}}  # type: ignore[dict-item]
    assert _merged(data, {"kit": 5, "front": None}) == {"kit": 5, "front": None, "rear": None}
    assert _merged(data, {"rear": {"stroke_mm": 55}})["rear"] == {"stroke_mm": 55}
    assert _merged(data, {"front": {"spring_test": {"psi": 90}}})["front"]["spring_test"] == {"psi": 90}
    assert _merged(data, {})["front"] == data["front"]


@pytest.mark.parametrize("key", ["front_axle_kg", "rear_axle_kg"])
def test_a_new_scale_reading_is_of_today(key: str) -> None:
    assert _weighed_today({key: 40.0}) == {key: 40.0, "weighed_kg": None, "weighed_stance": None}
    assert _weighed_today({"kit_mass_kg": 5.0}) == {"kit_mass_kg": 5.0}


@pytest.mark.parametrize("key", ["weighed_kg", "weighed_stance"])
def test_nobody_says_what_a_scales_day_was(key: str) -> None:
    with pytest.raises(RequestError) as refused:
        what_if(setup_of(), {key: 90.0})
    assert [one.field for one in refused.value.problems] == [key]
