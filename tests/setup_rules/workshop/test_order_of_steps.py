"""A checklist's order and what belongs to it for good: eyes first, then what makes the spring safe to open."""

from __future__ import annotations

import inspect
from dataclasses import replace

import pytest

from setup_rules.workshop.checklist import (
    AIR_OUT,
    DEFAULT_STEPS,
    PRELOAD_STEP,
    Step,
    blocking_steps,
    opened_with_air,
    steps_for_spring,
    travel_change_mm,
    unsafe_parts,
)
from setup_rules.workshop.leak_check import LeakReadings, LeakResult

COIL = steps_for_spring(DEFAULT_STEPS, coil=True)
SAFE = ("eyes", "release", "release_again")


def keys(steps: tuple[Step, ...]) -> list[str]:
    return [step.key for step in steps]


def done(steps: tuple[Step, ...], *which: str) -> tuple[Step, ...]:
    return tuple(step.with_state("done") if step.key in which else step for step in steps)


def leak(state: str, verdict: str) -> Step:
    return Step(key="leak", kind="leak", title="Air holds", state=state, values={"verdict": verdict})  # type: ignore[arg-type]


def test_what_keeps_a_mechanic_safe_is_in_every_checklist_and_stays_there() -> None:
    assert [step.key for step in DEFAULT_STEPS if step.fixed] == [*SAFE, "clearance"]
    assert [step.key for step in DEFAULT_STEPS if step.safety] == [*SAFE, "clearance"]
    assert [step.key for step in DEFAULT_STEPS if step.after_travel_change] == ["clearance"]
    assert (PRELOAD_STEP.fixed, PRELOAD_STEP.safety) == (True, True)
    assert SAFE[1:] == AIR_OUT
    plain = Step(key="one", kind="tick", title="One")
    assert (plain.safety, plain.fixed, plain.after_travel_change, plain.state) == (False, False, False, "open")


def test_a_coils_preload_is_turned_back_right_after_the_eyes_are_protected() -> None:
    assert keys(COIL) == ["eyes", "preload", "parts", "seals", "lubricant", "torque", "handover"]


def test_back_on_air_its_steps_come_right_after_the_eyes_and_the_preload_goes() -> None:
    back = ["eyes", "release", "release_again", "clearance", "parts", "seals", "lubricant", "torque", "handover"]
    assert keys(steps_for_spring(COIL, coil=False)) == back


def test_a_preload_that_was_turned_back_stays_in_the_record() -> None:
    back = steps_for_spring(done(COIL, "preload"), coil=False)
    assert [step.state for step in back if step.key == "preload"] == ["done"]


def test_a_second_change_to_a_coil_adds_nothing() -> None:
    assert steps_for_spring(COIL, coil=True) == COIL


def test_of_air_what_was_done_stays_when_a_coil_comes() -> None:
    coil = steps_for_spring(done(DEFAULT_STEPS, "release", "leak"), coil=True)
    assert keys(coil) == ["eyes", "preload", "release", "parts", "seals", "lubricant", "torque", "leak", "handover"]


def test_the_last_change_of_travel_counts() -> None:
    one = Step(key="one", kind="travel", title="Spacers", state="done", values={"before_mm": 140.0, "after_mm": 120.0})
    other = replace(one, key="other", values={"before_mm": 120.0, "after_mm": 130.0})
    assert travel_change_mm([one, other]) == 10.0
    assert travel_change_mm([one, replace(other, state="open")]) == -20.0
    assert travel_change_mm([replace(one, kind="tick")]) == 0.0
    assert travel_change_mm([replace(one, values={"before_mm": 140.0})]) == 0.0


@pytest.mark.parametrize(
    ("state", "verdict", "keeps"), [("done", "leaks", 1), ("open", "leaks", 0), ("left_out", "leaks", 0)]
)
def test_a_leak_that_was_found_keeps_a_record_open(state: str, verdict: str, keeps: int) -> None:
    assert len(blocking_steps([leak(state, verdict)])) == keeps


@pytest.mark.parametrize("verdict", ["tight", "slow", "cannot_tell"])
def test_no_other_verdict_does(verdict: str) -> None:
    assert blocking_steps([leak("done", verdict)]) == ()


def test_a_safety_step_that_was_left_out_is_not_done() -> None:
    left_out = tuple(replace(step, state="left_out") for step in DEFAULT_STEPS if step.key == "eyes")
    assert keys(blocking_steps(left_out)) == ["eyes"]


def test_what_was_done_inside_while_the_air_was_in_is_told() -> None:
    everything = ("parts", "seals", "lubricant", "travel", "torque", "handover")
    assert keys(opened_with_air(done(DEFAULT_STEPS, *everything))) == ["parts", "seals", "lubricant", "travel"]
    assert keys(opened_with_air(done(DEFAULT_STEPS, "release", "seals"))) == ["seals"]
    assert opened_with_air(done(DEFAULT_STEPS, *SAFE, *everything)) == ()
    assert opened_with_air(done(DEFAULT_STEPS, *AIR_OUT, "seals")) == ()
    assert opened_with_air(DEFAULT_STEPS) == ()


def test_only_parts_that_are_not_safe_are_told() -> None:
    rows = [["crown", "good"], ["seal head", "unsafe"]]
    parts = Step(key="parts", kind="parts", title="Parts", values={"parts": rows})
    assert unsafe_parts([parts, replace(parts, kind="seals")]) == ("seal head",)


def test_a_leaks_hose_is_entered_unless_said_otherwise() -> None:
    found = LeakResult(
        expected_pa=5e5,
        loss_pa=2e4,
        loss_a_day_pa=1e4,
        uncertainty_a_day_pa=1e3,
        allowed_a_day_pa=5e3,
        hours_needed=2.0,
        verdict="leaks",
    )
    assert (found.hose_pa, found.hose_assumed, found.loss_a_week_pa) == (0.0, False, 7e4)


def test_what_is_read_and_found_of_a_leak_is_given_by_name() -> None:
    for record in (LeakReadings, LeakResult, Step):
        kinds = {one.kind for one in inspect.signature(record).parameters.values()}
        assert kinds == {inspect.Parameter.KEYWORD_ONLY}


def test_whether_a_spring_is_a_coil_is_said_by_name() -> None:
    assert inspect.signature(steps_for_spring).parameters["coil"].kind is inspect.Parameter.KEYWORD_ONLY
