"""Kills of earlier runs, so that a whole run may be made in pieces."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from tests.mutation.figures import Verdict
from tests.mutation.mutants import Mutant


class KnownKills:
    """What was killed before and by which test; forgotten once the module or that test's file has changed.

    A change of another module can let a mutant live that was killed before: for a figure to rely on, begin with an
    empty cache folder.
    """

    def __init__(self, root: Path, file: Path | None) -> None:
        self.root = root
        self.file = file
        self.kills: dict[str, dict[str, str]] = json.loads(file.read_text("utf-8")) if file and file.exists() else {}

    def verdict_of(self, mutant: Mutant) -> Verdict | None:
        """Return how a mutant was killed before, None if it was not or if that counts no more."""
        kill = self.kills.get(_key_of(mutant))
        if kill is None or kill["test"] != self._text_of(kill["by"]):
            return None
        return Verdict(mutant, kill["by"], 0, 0.0)

    def keep(self, verdict: Verdict) -> None:
        """Write a kill down; what no test's name stands for (a mutant without an end) is tried again."""
        test = self._text_of(verdict.by)
        if self.file and verdict.seconds and test:
            self.kills[_key_of(verdict.mutant)] = {"by": verdict.by, "test": test}
            self.file.write_text(json.dumps(self.kills, indent=0, sort_keys=True), "utf-8")

    def _text_of(self, test: str) -> str:
        path = self.root / test.partition("::")[0]
        return hashlib.sha256(path.read_bytes()).hexdigest()[:16] if test and path.is_file() else ""


def _key_of(mutant: Mutant) -> str:
    source = hashlib.sha256(mutant.module.source.encode()).hexdigest()[:16]
    return f"{mutant.module.path} {source} {mutant.operator} {mutant.occurrence}"
