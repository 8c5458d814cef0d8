"""How lessons are put into a bike's memory, replaced and taken out again, across what happens to its spring."""

from __future__ import annotations

import pytest

from setup_rules import SpringMemory
from webapp.demo_day.actions.teach_bike import happened, replace_lesson
from webapp.demo_day.queries.bikes import HeldMemory
from webapp.library.memory_data import memory_data, read_memory

ONE = SpringMemory(riders=1, shift=(10.0, 0.0, 0.0), precision=(100.0, 0.0, 50.0, 0.0, 0.0, 1.0))
TWO = SpringMemory(riders=1, shift=(-4.0, 1.0, 0.0), precision=(80.0, 0.0, 40.0, 0.0, 0.0, 1.0))
EMPTY = HeldMemory(memory=SpringMemory.nothing())


def level(held: HeldMemory) -> float:
    return held.memory.precision[0]


def test_a_first_lesson_is_added_and_noted() -> None:
    held, noted = replace_lesson(EMPTY, None, ONE)
    assert held.memory.riders == 1
    assert level(held) == 100.0
    assert noted is not None
    assert noted.memory == ONE


def test_each_further_rider_makes_the_memory_forget_a_little() -> None:
    held, _ = replace_lesson(EMPTY, None, ONE)
    held, noted = replace_lesson(held, None, TWO)
    assert level(held) == pytest.approx(0.98 * 100 + 80)
    assert noted is not None
    assert (held.memory.riders, held.kept, noted.kept) == (2, pytest.approx(0.98**2), held.kept)


def test_a_changed_lesson_takes_the_place_of_what_is_left_of_the_earlier_one() -> None:
    held, noted = replace_lesson(EMPTY, None, ONE)
    held, _ = replace_lesson(held, None, TWO)
    again, noted_again = replace_lesson(held, noted, TWO)
    assert level(again) == pytest.approx(0.98 * 80 + 80)
    assert again.memory.riders == 2
    assert noted_again is not None
    gone, nothing = replace_lesson(again, noted_again, None)
    assert nothing is None
    assert level(gone) == pytest.approx(80.0)
    assert gone.memory.riders == 1


def test_a_spring_that_ended_begins_another_era_and_one_that_was_widened_does_not() -> None:
    held, _ = replace_lesson(EMPTY, None, ONE)
    wider, ended = happened(held, "travel"), happened(held, "leak")
    assert (wider.era, wider.kept, level(wider)) == (1, pytest.approx(0.49), 50.0)
    assert ended == HeldMemory(memory=SpringMemory.nothing(), era=2)


def test_a_thousand_riders_later_nothing_has_run_out() -> None:
    held = EMPTY
    for _ in range(1500):
        held, _noted = replace_lesson(held, None, ONE)
    assert level(held) == pytest.approx(100 / 0.02, rel=0.02)
    assert held.kept >= 1e-6
    assert held.era > 1


def test_a_memory_is_stored_and_read_as_it_was() -> None:
    assert read_memory(memory_data(TWO)) == TWO
    with pytest.raises(ValueError, match="three numbers"):
        read_memory({"riders": 1, "shift": [1.0], "precision": [1.0] * 6})
    with pytest.raises(ValueError, match="finite"):
        read_memory({"riders": 1, "shift": [float("nan")] * 3, "precision": [1.0] * 6})
