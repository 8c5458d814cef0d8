"""What holds of the outside checks without minutes of trying, and a small sample of the trying itself.

The whole table is printed by `python -m tests.relations`.
"""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest

from tests import structure
from tests.relations.checks import FOLDER, PARTS, Check, first_sentence, read_check, read_checks
from tests.relations.decided import DECISIONS
from tests.relations.rules import rules
from tests.relations.spoiling import Spoiling, Spoilt, parts_of, put_back
from tests.relations.table import Verdict
from tests.relations.trial import Trial
from tests.test_running_code import checked_names, product, running_names

CHECKS, RULES = read_checks(), {rule.short: rule for rule in rules()}


@pytest.mark.parametrize("check", CHECKS.values(), ids=CHECKS)
def test_an_outside_check_says_its_source_how_it_is_independent_and_its_tolerance(check: Check) -> None:
    assert not check.missing, f"{check.file} needs a paragraph for each of {', '.join(PARTS)}"


def test_every_relation_is_reached_by_an_outside_check_or_declared_a_decision() -> None:
    asked = set().union(*(checked_names(path) for path in FOLDER.glob("test_*.py")))
    # The rules alone: pages and commands mention everything.
    reached = running_names([tree for name, tree in product().items() if name.startswith("setup_rules")], asked)
    missed = {name for name, rule in RULES.items() if rule.name.rpartition(".")[2] not in reached}
    assert not missed - DECISIONS.keys()
    assert "made_up_relation" not in reached


@pytest.mark.parametrize("name", DECISIONS)
def test_a_decision_is_a_relation_and_pinned_where_it_says(name: str) -> None:
    decision = DECISIONS[name]
    assert name in RULES
    assert decision.word in (structure.ROOT / decision.pinned_in).read_text(encoding="utf-8")


def test_every_rule_is_found_and_no_name_stands_for_two() -> None:
    functions = {rule.function for rule in RULES.values()}
    assert len(functions) == len(RULES) == len(rules())
    assert sum(rule.public for rule in RULES.values()) > 45


def test_a_small_sample_is_caught_by_the_named_checks_and_what_no_check_reaches_is_a_gap() -> None:
    sample = ("travel_change.volume_at_travel_cm3", "damping.clicks_between", "gas.hose_factor")
    files = ("test_worked_spacers_and_chambers.py", "test_worked_click_spacing.py")
    command = [sys.executable, "-m", "tests.relations", "--quiet"]
    command += [part for rule in sample for part in ("--rule", rule)]
    command += [part for file in files for part in ("--check", f"tests/published/{file}")]
    done = subprocess.run(command, check=False, cwd=structure.ROOT, capture_output=True, text=True, timeout=120)
    assert done.returncode == 1, done.stderr
    lines = done.stdout.splitlines()
    for rule, file, ways in zip(sample, files, ("7/7", "5/5"), strict=False):
        assert any(line.startswith(f"physics.{rule} | {file}::") and f" | {ways} | " in line for line in lines), rule
    assert [line for line in lines if line.startswith("GAP")] == [
        "GAP: physics.gas.hose_factor: not noticed: no check reaches it, or none that could differ"
    ]


def test_a_file_without_a_part_is_told_apart(tmp_path: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(structure, "ROOT", tmp_path)
    (tmp_path / "test_x.py").write_text('"""A check.\n\nSource: a book. Second edition.\n\nTolerance: none.\n"""\n')
    check = read_check(tmp_path / "test_x.py")
    assert (check.source, check.tolerance, check.missing) == ("a book. Second edition.", "none.", ["Confirmed"])
    assert first_sentence(check.source) == "a book."


@dataclass(frozen=True)
class Answer:
    """A made-up answer of a rule."""

    size: float
    count: int
    sure: bool
    word: str


def test_each_part_of_an_answer_is_spoilt_by_itself() -> None:
    answer = (2.0, Answer(8.0, 3, True, "in"))
    assert parts_of(answer).keys() == {"[0]", "[1].size", "[1].count", "[1].sure", "[1].word"}
    wanted = {
        Spoiling("[0]", "× 1.05"): (2.1, answer[1]),
        Spoiling("[1].size", "sign turned"): (2.0, Answer(-8.0, 3, True, "in")),
        Spoiling("[1].size", "exponent"): (2.0, Answer(8.0 * 2.0**0.1, 3, True, "in")),
        Spoiling("[1].count", "− 1"): (2.0, Answer(8.0, 2, True, "in")),
        Spoiling("[1].sure", "turned"): (2.0, Answer(8.0, 3, False, "in")),
        Spoiling("[1].word", "another word"): (2.0, Answer(8.0, 3, True, "out")),
    }
    for spoiling, expected in wanted.items():
        spoilt = Spoilt(spoiling, ["in", "out"] if spoiling.way == "another word" else 4.0)
        assert spoilt(lambda: answer, (), {}) == expected
        assert spoilt.changed
    assert put_back(1.0, "", 3.0) == 3.0


def test_arguments_are_swapped_by_name_and_what_makes_no_difference_is_none() -> None:
    swap = Spoilt(Spoiling(swapped=("low", "high")), None)
    assert swap(lambda low, high=5.0: low - high, (2.0,), {}) == 3.0
    assert swap.changed
    same = Spoilt(Spoiling(swapped=("one", "other")), None)
    assert np.isclose(same(lambda one, other: one * other, (2.0, 3.0), {}), 6.0)
    assert not same.changed


def test_a_spoiling_that_nobody_notices_is_a_gap_unless_it_changes_nothing() -> None:
    rule = RULES["physics.gas.kelvin"]
    noticed, missed = (["tests/published/test_x.py::test_a[1]"], []), ([], ["sign turned"])
    for found, changed, ways, left in ((noticed[0], True, 1, []), ([], True, 1, missed[1]), ([], False, 0, [])):
        verdict = Verdict(rule)
        verdict.add(Trial(rule.name, Spoiling("", "sign turned"), found, changed))
        assert (verdict.ways, verdict.missed) == (ways, left)
        assert verdict.has_gap == (not found)
