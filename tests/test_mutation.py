"""The mutation run on a made-up package: what it kills, what it reports, and when its list of equivalents is stale."""

from __future__ import annotations

import itertools
from dataclasses import replace
from pathlib import Path

import pytest

from tests.mutation.figures import Equivalent, Figure, Verdict, figures_of, shortfalls, stale_entries
from tests.mutation.mutants import Module, Mutant, find_mutants, operator_names, read_modules
from tests.mutation.project import Project
from tests.mutation.run import Choice, Outcome, drawn_mutants, run, told

LAW = '''"""A law."""

from __future__ import annotations

STEEPNESS = 3


def rise(run: int | None) -> int:
    """Return the rise."""
    return STEEPNESS * (run or 0)


def never_tested(x: int) -> int:
    while x < 7:
        x += 1
    return x
'''
TESTS = """from pack.law import rise

def test_rise():
    assert rise(2) == 6
"""
MORE_TESTS = """
from pack.law import never_tested

def test_none():
    assert rise(None) == 0

def test_never_tested():
    assert [never_tested(6), never_tested(7), never_tested(9)] == [7, 7, 9]
"""
NO_LIST = "# nothing yet\n"
ENTRY = '[[equivalent]]\nmodule = "pack/law.py"\nline = "{line}"\nmutant = "{mutant}"\nreason = "{reason}"\n'


def project_in(folder: Path, tests: str) -> Project:
    for name, text in {"pack/__init__.py": "", "pack/law.py": LAW, "tests/test_law.py": tests}.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, "utf-8")
    (folder / "pyproject.toml").write_text('[tool.pytest.ini_options]\npythonpath = ["."]\n', "utf-8")
    return Project(folder, "pack", (), ("tests",), ("tests", "pyproject.toml"))


def run_in(folder: Path, tests: str, listed: str = NO_LIST, sample: int | None = None) -> tuple[Outcome, list[str]]:
    (folder / "equivalent.toml").write_text(listed, "utf-8")
    said: list[str] = []
    choice = Choice(sample, seed=1, every_operator=True)
    project = project_in(folder, tests)
    return run(project, choice, folder / "equivalent.toml", folder / "cache", said.append), said


def changes(verdicts: list[Verdict]) -> set[tuple[str, str]]:
    return {verdict.mutant.change for verdict in verdicts}


def test_a_killed_mutant_counts_and_a_survivor_is_reported_as_a_diff(tmp_path: Path) -> None:
    outcome, said = run_in(tmp_path, TESTS)
    killed = changes([one for one in outcome.verdicts if one.killed])
    survived = changes([one for one in outcome.verdicts if not one.killed])
    assert {
        ("STEEPNESS = 3", "STEEPNESS = 4"),
        ("return STEEPNESS * (run or 0)", "return STEEPNESS / (run or 0)"),
    } <= killed
    assert {("return STEEPNESS * (run or 0)", "return STEEPNESS * (run or 1)"), ("x += 1", "x += 0")} <= survived
    (shown,) = [line for line in said if "-        x += 1\n+        x += 0" in line]
    assert shown.startswith("SURVIVED  pack/law.py:15")
    assert [fault for fault in outcome.faults if fault.startswith("Too few killed: all")]


@pytest.mark.long
def test_a_quick_run_measures_nothing_and_judges_by_the_files_that_name_a_module(tmp_path: Path) -> None:
    (tmp_path / "equivalent.toml").write_text(NO_LIST, "utf-8")
    said: list[str] = []
    project = project_in(tmp_path, TESTS)
    outcome = run(project, Choice(4, seed=1, near=True), tmp_path / "equivalent.toml", tmp_path / "cache", said.append)
    assert len(outcome.verdicts) == 4
    assert {one.by for one in outcome.verdicts if one.killed} == {"tests/test_law.py::test_rise"}
    # `never_tested` begins at line 13; with `run or 1` the tested rise of 2 is the same.
    noticed = {one.mutant: one.mutant.line < 13 and "run or 1" not in one.mutant.change[1] for one in outcome.verdicts}
    assert {one.mutant: one.killed for one in outcome.verdicts} == noticed
    assert not [line for line in said if "measuring" in line]


@pytest.mark.long
def test_what_survives_is_judged_by_the_tests_that_read_the_text(tmp_path: Path) -> None:
    reader = "from pathlib import Path\n\ndef test_text():\n    assert 'x += 1' in Path('pack/law.py').read_text()\n"
    project = replace(project_in(tmp_path, TESTS), reading=("tests/test_text.py",))
    (tmp_path / "tests/test_text.py").write_text(reader, "utf-8")
    (tmp_path / "equivalent.toml").write_text(NO_LIST, "utf-8")
    choice = Choice(None, seed=1, every_operator=True)
    outcome = run(project, choice, tmp_path / "equivalent.toml", tmp_path / "cache", lambda _: None)
    by_change = {one.mutant.change: one for one in outcome.verdicts}
    assert by_change["x += 1", "x += 0"].by == "tests/test_text.py::test_text"
    assert not by_change["return STEEPNESS * (run or 0)", "return STEEPNESS * (run or 1)"].killed


@pytest.mark.long
def test_the_project_itself_stays_as_it_was(tmp_path: Path) -> None:
    run_in(tmp_path, TESTS, sample=3)
    assert (tmp_path / "pack/law.py").read_text("utf-8") == LAW


@pytest.mark.long
def test_a_mutant_without_an_end_is_killed_by_its_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tests.mutation.reach.Reach.in_order", lambda _, tests: dict.fromkeys(sorted(tests), 1))
    outcome, _ = run_in(tmp_path, TESTS + MORE_TESTS)
    (endless,) = [one for one in outcome.verdicts if one.mutant.change == ("x += 1", "x += 0")]
    assert endless.by == "end of the process (-14)"
    assert not [one.mutant.change for one in outcome.verdicts if not one.killed]
    assert outcome.faults == []


@pytest.mark.long
def test_a_test_that_fails_without_a_change_judges_nothing(tmp_path: Path) -> None:
    outcome, said = run_in(tmp_path, TESTS + "\ndef test_wrong():\n    assert rise(1) == 4\n", sample=30)
    assert any("failing anyway: ['tests/test_law.py::test_wrong']" in line for line in said)
    assert {one.by for one in outcome.verdicts if one.killed} == {"tests/test_law.py::test_rise"}


@pytest.mark.long
def test_a_listed_equivalent_is_left_out_and_a_stale_entry_is_a_fault(tmp_path: Path) -> None:
    good = ENTRY.format(line="x += 1", mutant="x += 0", reason="only for this test")
    stale = ENTRY.format(line="y += 1", mutant="y -= 1", reason="the line is gone")
    outcome, _ = run_in(tmp_path, TESTS, good + stale)
    assert ("x += 1", "x += 0") not in changes(outcome.verdicts)
    (fault,) = [one for one in outcome.faults if one.startswith("Stale")]
    assert "y += 1" in fault


def test_an_entry_without_a_reason_is_stale() -> None:
    entry = Equivalent("pack/law.py", "x += 1", "x += 0", " ")
    assert list(stale_entries([entry], [Module("pack/law.py", LAW)])) == [entry]


def test_annotations_and_docstrings_are_no_mutants_and_the_seed_moves_the_sample(tmp_path: Path) -> None:
    (module,) = read_modules(project_in(tmp_path, TESTS).root, "pack")
    found = list(drawn_mutants([module], [], seed=1))
    assert len(found) < len(list(find_mutants(module)))
    assert not [one for one in found if "None" in one.change[0]]
    assert [one.change for one in found] != [one.change for one in drawn_mutants([module], [], seed=2)]


def test_who_notices_the_sufficient_replacements_of_a_comparison_notices_every_one() -> None:
    answers = {"Lt": "100", "LtE": "110", "Gt": "001", "GtE": "011", "Eq": "010", "NotEq": "101"}
    names = [name.removeprefix("ReplaceComparisonOperator_").split("_") for name in operator_names() if "Comp" in name]
    chosen = {one: [other for first, other in names if first == one] for one in answers}
    for one, others in chosen.items():
        told_apart = [{place for place in range(3) if answers[one][place] != answers[two][place]} for two in others]
        for tried in itertools.chain.from_iterable(itertools.combinations(range(3), n) for n in range(4)):
            if all(places & set(tried) for places in told_apart):
                for two in answers.keys() - {one}:
                    assert any(answers[one][place] != answers[two][place] for place in tried), (one, two, tried)


def test_a_run_tries_fewer_changes_than_every_one_and_all_of_them_are_among_those() -> None:
    module = Module("pack/law.py", LAW)
    keys = [{(one.operator, one.occurrence) for one in find_mutants(module, every)} for every in (True, False)]
    assert keys[1] < keys[0]


def test_no_text_is_asked_whether_it_comes_before_another() -> None:
    module = Module("pack/end.py", 'def is_front(name, n):\n    return name == "front" and n == 3\n')
    made = {mutant.change[1] for mutant in find_mutants(module)}
    assert 'return name != "front" and n == 3' in made
    assert 'return name == "front" and n <= 3' in made
    assert 'return name <= "front" and n == 3' not in made


def test_the_rules_are_not_held_to_changes_of_the_catalogue_or_of_rooms(tmp_path: Path) -> None:
    from tests.mutation.__main__ import RULES

    paths = [module.path for module in read_modules(RULES.root, RULES.package, RULES.left_out)]
    assert "setup_rules/physics/gas.py" in paths
    assert not [path for path in paths if "catalogue" in path or path.endswith("__init__.py")]


def test_every_entry_of_the_list_is_a_mutant_of_today_and_gives_a_reason() -> None:
    from tests.mutation.__main__ import EQUIVALENTS, RULES
    from tests.mutation.figures import read_equivalents

    modules = read_modules(RULES.root, RULES.package, RULES.left_out)
    assert list(stale_entries(read_equivalents(EQUIVALENTS), modules)) == []


def test_the_interval_is_wilsons() -> None:
    # Wilson (1927): centre (k + z²/2)/(n + z²), here k = 9 of 10 and z = 1.96: 0.7890 ± 0.1932 by hand.
    low, high = Figure("all", 10, 9).interval()
    assert (low, high) == pytest.approx((0.5958, 0.9821), abs=1e-4)


@pytest.mark.parametrize(
    ("killed", "of", "whole", "faults"),
    [(95, 100, True, 0), (94, 100, True, 1), (89, 100, True, 2), (92, 100, False, 0), (80, 100, False, 1)],
)
def test_a_whole_run_is_held_to_its_figure_and_a_sample_to_its_intervals_upper_end(
    killed: int, of: int, whole: bool, faults: int
) -> None:
    mutant = Mutant(Module("pack/law.py", LAW), "AddNot", 0, 1)
    verdicts = [Verdict(mutant, "a test" if number < killed else "", 1, 0.1) for number in range(of)]
    assert len(shortfalls(figures_of(verdicts), whole)) == faults


def test_a_killed_mutant_is_told_in_a_line() -> None:
    verdict = Verdict(
        Mutant(Module("pack/law.py", LAW), "NumberReplacer", 0, 5), "tests/test_law.py::test_rise", 1, 0.25
    )
    assert told(verdict) == "killed    pack/law.py:5 NumberReplacer 0.2 s by tests/test_law.py::test_rise"
