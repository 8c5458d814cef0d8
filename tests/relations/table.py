"""Puts what was tried into rows: relation × check × source × tolerance, and says which relations have a gap."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from tests.relations.checks import Check, first_sentence
from tests.relations.decided import DECISIONS, IDLE_PARTS, Decision
from tests.relations.rules import Rule
from tests.relations.trial import Trial, Tries


@dataclass
class Verdict:
    """One relation: how often its spoilings made a difference, which check noticed how many, and what nobody did."""

    rule: Rule
    ways: int = 0
    by_file: Counter[str] = field(default_factory=Counter)
    by_test: dict[str, Counter[str]] = field(default_factory=dict)
    missed: list[str] = field(default_factory=list)

    @property
    def decision(self) -> Decision | None:
        """Why no source can give it, where that is so."""
        return DECISIONS.get(self.rule.short)

    @property
    def has_gap(self) -> bool:
        """Whether it could be wrong without any outside check noticing."""
        return bool(self.missed) or not self.ways

    def add(self, trial: Trial) -> None:
        """Take in one trial; what made no difference anywhere is no way to be wrong."""
        part = str(trial.spoiling).partition(" ")[0]
        if (not trial.changed and not trial.noticed) or (self.rule.short, part) in IDLE_PARTS:
            return
        self.ways += 1
        if not trial.noticed:
            self.missed.append(str(trial.spoiling))
        for file in {test.partition("::")[0] for test in trial.noticed}:
            self.by_file[file] += 1
        for test in {test.partition("[")[0] for test in trial.noticed}:
            file, _, name = test.partition("::")
            self.by_test.setdefault(file, Counter())[name] += 1


def judge(tries: Tries) -> list[Verdict]:
    """Return the verdict on every rule that was tried."""
    verdicts = {rule.name: Verdict(rule) for rule in tries.rules}
    for trial in tries.trials:
        verdicts[trial.rule].add(trial)
    return list(verdicts.values())


def gaps(verdicts: list[Verdict]) -> list[Verdict]:
    """Return the relations with a gap that is not declared as a decision of ours."""
    return [one for one in verdicts if one.has_gap and one.decision is None]


def idle_decisions(verdicts: list[Verdict]) -> list[str]:
    """Return declared decisions that need no declaring: an outside check catches them whole."""
    return [one.rule.short for one in verdicts if one.decision is not None and not one.has_gap]


def rows(verdict: Verdict, checks: dict[str, Check]) -> Iterator[tuple[str, ...]]:
    """Yield a relation's rows: relation, check and its strongest test, ways caught, source, independence, tolerance."""
    for file, caught in verdict.by_file.most_common():
        check, (name, _) = checks[file], verdict.by_test[file].most_common(1)[0]
        said = tuple(first_sentence(one) for one in (check.source, check.confirmed, check.tolerance))
        yield verdict.rule.short, f"{file.removeprefix('tests/published/')}::{name}", f"{caught}/{verdict.ways}", *said
    if verdict.decision is not None:
        why, where = verdict.decision.why, verdict.decision.pinned_in
        yield verdict.rule.short, f"decision, pinned in {where}", "-", why, "written twice on purpose", "exact"


def print_table(verdicts: list[Verdict], checks: dict[str, Check]) -> None:
    """Print every row, then the counts, then the gaps."""
    print(" | ".join(("relation", "check", "ways caught", "source", "independent because", "tolerance")))
    for verdict in verdicts:
        for row in rows(verdict, checks):
            print(" | ".join(row))
    _print_counts(verdicts, checks)
    for verdict in gaps(verdicts):
        said = "; ".join(verdict.missed) or "no check reaches it, or none that could differ"
        print(f"GAP: {verdict.rule.short}: not noticed: {said}")
    for name in idle_decisions(verdicts):
        print(f"IDLE: {name} is declared a decision, and an outside check catches it whole")


def _print_counts(verdicts: list[Verdict], checks: dict[str, Check]) -> None:
    public = sum(one.rule.public for one in verdicts)
    used = {file for one in verdicts for file in one.by_file}
    decided = sum(one.decision is not None for one in verdicts)
    ways, missed = sum(one.ways for one in verdicts), sum(len(one.missed) for one in verdicts)
    print(f"\nrelations: {len(verdicts)}, {public} public and {len(verdicts) - public} rules beside them")
    print(f"outside checks: {len(used)} of {len(checks)} files catch one; the others are of cards and codes")
    print(f"ways of being wrong: {ways}, caught {ways - missed}; declared as decisions of ours: {decided} relations")
