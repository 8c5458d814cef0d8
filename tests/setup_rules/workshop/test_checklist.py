"""What keeps a service record open, and what does not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from setup_rules.workshop.checklist import (
    DEFAULT_STEPS,
    Step,
    blocking_steps,
    steps_for_spring,
    torque_verdict,
    travel_change_mm,
    unsafe_parts,
)

TRAVEL = {"before_mm": 100.0, "after_mm": 120.0, "longest_mm": 140.0, "spacers": [[20.0, 1]]}
TORQUE = {"torque": 7.0, "unit": "nm", "low": 6.0, "high": 8.0, "range_unit": "nm"}


def with_done(*keys: str, **values: dict[str, object]) -> list[Step]:
    """Return the default steps with some of them done."""
    return [
        step.with_state("done", values.get(step.key, {})) if step.key in (*keys, *values) else step
        for step in DEFAULT_STEPS
    ]


def blocking(steps: list[Step]) -> list[str]:
    """Return the keys of the steps that block."""
    return [step.key for step in blocking_steps(steps)]


def test_air_and_eyes_come_first() -> None:
    assert blocking(list(DEFAULT_STEPS)) == ["eyes", "release", "release_again"]
    assert blocking(with_done("eyes", "release")) == ["release_again"]
    assert blocking(with_done("eyes", "release", "release_again")) == []


def test_a_change_of_travel_asks_for_the_clearance() -> None:
    safe = ("eyes", "release", "release_again")
    assert blocking(with_done(*safe, travel=TRAVEL)) == ["clearance"]
    assert blocking(with_done(*safe, "clearance", travel=TRAVEL)) == []
    assert blocking(with_done(*safe, travel={**TRAVEL, "after_mm": 100.0})) == []


def test_a_travel_that_was_noted_but_is_not_done_is_no_change() -> None:
    steps = [replace(step, values=TRAVEL) if step.key == "travel" else step for step in DEFAULT_STEPS]
    assert travel_change_mm(steps) == 0
    assert travel_change_mm(with_done(travel=TRAVEL)) == 20


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [({}, "in"), ({"torque": 5.0}, "low"), ({"torque": 9.0}, "high"), ({"torque": 62.0}, "unit")],
)
def test_a_torque_outside_its_range_blocks(changes: dict[str, float], verdict: str) -> None:
    steps = with_done("eyes", "release", "release_again", torque=TORQUE | changes)
    step = next(step for step in steps if step.key == "torque")
    assert torque_verdict(step) == verdict
    assert blocking(steps) == ([] if verdict == "in" else ["torque"])


def test_a_step_that_no_torque_was_entered_for_has_no_verdict() -> None:
    assert torque_verdict(DEFAULT_STEPS[0]) is None


def test_parts_that_are_not_safe_are_named() -> None:
    steps = with_done(parts={"parts": [["bushings", "worn"], ["crown", "unsafe"]]})
    assert unsafe_parts(steps) == ("crown",)


def test_the_default_checklist_invents_no_amounts() -> None:
    assert all(not step.values and step.state == "open" for step in DEFAULT_STEPS)
    assert not any(character.isdigit() for step in DEFAULT_STEPS for character in step.title)
    assert len({step.key for step in DEFAULT_STEPS}) == len(DEFAULT_STEPS)


def test_a_coil_asks_for_its_preload_and_for_no_air() -> None:
    steps = steps_for_spring(DEFAULT_STEPS, coil=True)
    assert {step.key for step in blocking_steps(steps)} == {"eyes", "preload"}
    assert not {"release", "release_again", "clearance", "leak", "travel"} & {step.key for step in steps}
    assert steps_for_spring(steps, coil=True) == steps


def test_what_was_done_stays_when_the_spring_turns_out_to_be_another() -> None:
    done = tuple(step.with_state("done") if step.key == "release" else step for step in DEFAULT_STEPS)
    coil = steps_for_spring(done, coil=True)
    assert [step.key for step in coil if step.state == "done"] == ["release"]
    again = steps_for_spring(coil, coil=False)
    assert {step.key for step in again if step.fixed} == {step.key for step in DEFAULT_STEPS if step.fixed}
    assert steps_for_spring(DEFAULT_STEPS, coil=False) == DEFAULT_STEPS
