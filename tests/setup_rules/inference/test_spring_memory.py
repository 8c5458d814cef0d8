"""What a bike keeps of its riders' checks: what it changes, what takes it away, and what does not get into it."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from setup_rules import (
    EndSetup,
    RequestError,
    SagCheck,
    Setup,
    SetupRequest,
    SpringMemory,
    add_lesson,
    apply_sag_check,
    keep_after,
    lesson_of,
    read_request,
    recommend,
    strike_check,
    what_if,
    with_memories,
)
from setup_rules.inference.spring_memory import keep_share

FORK = {"travel_mm": 140, "stanchion_mm": 34, "max_pressure_psi": 200}
SHOCK = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "max_pressure_psi": 350}
ENDS: dict[Any, dict[str, Any]] = {"front": FORK, "rear": SHOCK}


def request_of(name: Any = "front", kg: float = 78, memory: SpringMemory | None = None, **more: Any) -> SetupRequest:
    asked = {"rider_mass_kg": kg, "riding_style": "trail", name: {**ENDS[name], **more}}
    return with_memories(read_request(asked), {name: memory})


def end_of(setup: Setup) -> EndSetup:
    return setup.ends()[0]


def checked(setup: Setup, share: float = 1.25) -> Setup:
    """Return a setup after one check that read so much of its target, at the pressure that it asked for."""
    end = end_of(setup)
    read = (round(share * end.sag_target_mm),)
    return apply_sag_check(setup, SagCheck(end=end.end, pressure_pa=end.pressure_pa, readings_mm=read, confirm=True))


def taught(name: Any = "front", share: float = 1.25, riders: tuple[float, ...] = (60.0, 78.0, 95.0)) -> SpringMemory:
    """Return what riders teach who all read more than the target."""
    memory = SpringMemory.nothing()
    for kg in riders:
        lesson = lesson_of(checked(recommend(request_of(name, kg, memory)), share), name)
        assert lesson is not None
        memory = add_lesson(memory, lesson)
    return memory


@pytest.mark.parametrize("name", ENDS)
def test_a_memory_moves_the_first_pressure_and_narrows_its_range(name: Any) -> None:
    plain, soft, hard = (
        end_of(recommend(request_of(name, memory=memory))) for memory in (None, taught(name), taught(name, 0.8))
    )
    assert hard.pressure_pa < plain.pressure_pa < soft.pressure_pa

    def width(end: EndSetup) -> float:
        return end.pressure_high_pa / end.pressure_low_pa

    assert max(width(soft), width(hard)) < 0.85 * width(plain)


def test_without_a_memory_nothing_moves_at_all() -> None:
    plain = read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": FORK})
    assert request_of(memory=SpringMemory.nothing()) == request_of() == plain


def test_the_order_of_the_riders_hardly_matters() -> None:
    there, back = (end_of(recommend(request_of(memory=taught(riders=kg)))) for kg in ((60.0, 95.0), (95.0, 60.0)))
    assert there.pressure_pa == pytest.approx(back.pressure_pa, rel=0.03)


def test_six_checks_of_one_rider_teach_less_than_one_check_of_six() -> None:
    """Share, stance and habit stay with the rider, so what is common to all six says little of the spring."""
    setup = checked(recommend(request_of()))
    for _ in range(5):
        setup = checked(setup, 1.0)
    alone = lesson_of(setup, "front")
    assert alone is not None
    assert alone.riders == 1
    assert alone.precision[0] < 0.6 * taught(riders=(60.0, 67.0, 74.0, 81.0, 88.0, 95.0)).precision[0]


def test_a_lesson_taken_out_leaves_what_was_there_before() -> None:
    memory, one = taught(), taught(riders=(70.0,))
    after = add_lesson(add_lesson(memory, one), one, -1.0)
    assert after.riders == memory.riders
    assert after.shift == pytest.approx(memory.shift, rel=0.02, abs=0.3)
    assert after.precision == pytest.approx(memory.precision, rel=0.02, abs=1.0)


def test_a_struck_check_teaches_nothing() -> None:
    setup = strike_check(checked(recommend(request_of())), 0)
    assert lesson_of(setup, "front") is None
    assert lesson_of(setup, "rear") is None


def test_own_checks_count_on_top_of_the_memory() -> None:
    memory = taught()
    first = recommend(request_of(memory=memory))
    after = end_of(checked(first, 0.8))
    assert after.checks_used == 1
    assert after.pressure_pa < end_of(first).pressure_pa


def test_the_memory_stays_with_the_setup_through_a_change_of_rider_travel_and_spacers() -> None:
    memory = taught()
    setup = recommend(request_of(memory=memory))
    for change in ({"rider_mass_kg": 60}, {"front": {"travel_mm": 150, "longest_travel_mm": 150}}):
        changed = what_if(setup, change)
        fresh = what_if(recommend(request_of()), change)
        assert changed.request.front is not None
        assert changed.request.front.memory == memory
        factors = [end_of(one).pressure_pa / end_of(other).pressure_pa for one, other in ((changed, fresh),)]
        usual = end_of(setup).pressure_pa / end_of(recommend(request_of())).pressure_pa
        assert factors[0] == pytest.approx(usual, rel=0.03)


@pytest.mark.parametrize(
    ("event", "kept"),
    [("another_rider", 0.98), ("spacers", 0.8), ("travel", 0.5), ("service", 0.5), ("leak", 0.0)],
)
def test_what_happens_to_the_spring_widens_or_ends_the_memory(event: Any, kept: float) -> None:
    memory = taught()
    after = keep_after(memory, event)
    assert after.precision == pytest.approx([kept * one for one in memory.precision], rel=0.006)
    assert after.riders == (memory.riders if kept else 0)
    assert keep_after(memory, "another_spring") == SpringMemory.nothing()


def test_however_much_is_remembered_a_rider_can_still_contradict_it() -> None:
    sure = keep_share(taught(), 40.0)
    first = recommend(request_of(memory=sure))
    after = checked(checked(first, 0.75), 0.8)
    assert end_of(after).pressure_pa < 0.93 * end_of(first).pressure_pa
    assert not end_of(checked(first, 1.0)).answers_disagree


def test_one_lesson_lies_on_a_coarse_grid() -> None:
    """Three eighths of a number hide in each step: riders of a few kilograms more, who read a little more, as well."""
    lesson = taught(riders=(78.0,))
    steps = np.log(np.abs(lesson.shift)) / np.log(1.5)
    assert steps == pytest.approx(np.round(steps), abs=0.01)
    memory = taught()
    for value in (*memory.shift, *memory.precision):
        assert float(f"{value:.3e}") == value


def test_what_is_kept_is_a_count_and_sums_and_nothing_else() -> None:
    assert [field.name for field in fields(SpringMemory)] == ["riders", "shift", "precision"]
    memory = taught()
    assert (len(memory.shift), len(memory.precision)) == (3, 6)
    assert np.isfinite((*memory.shift, *memory.precision)).all()


def test_the_reason_counts_the_riders_and_says_how_far_from_typical() -> None:
    reasons = {note.code: note for note in recommend(request_of(memory=taught())).reasons}
    assert "3 earlier riders" in reasons["front_bike"].message
    assert "more pressure" in reasons["front_bike"].message
    one = recommend(request_of(memory=replace(taught(), riders=1)))
    assert any("one earlier rider" in note.message for note in one.reasons)


def test_nobody_can_send_a_memory() -> None:
    body = {"rider_mass_kg": 78, "riding_style": "trail", "front": {**FORK, "memory": {"riders": 3}}}
    with pytest.raises(RequestError, match=r"front\.memory"):
        read_request(body)
