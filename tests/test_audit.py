"""What CI says of the pinned packages: it fails on a finding, and on nothing else."""

from __future__ import annotations

from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path
from typing import Any

import pytest

_PLACE = str(Path(__file__).parent.parent / ".ci" / "audit")
_LOADER = SourceFileLoader("ci_audit", _PLACE)
_SPEC = spec_from_loader("ci_audit", _LOADER)
assert _SPEC is not None
audit = module_from_spec(_SPEC)
_LOADER.exec_module(audit)

WELL = {"name": "a", "version": "1", "vulns": []}
ILL = {"name": "b", "version": "2", "vulns": [{"id": "X-1"}]}
UNKNOWN = {"name": "c", "skip_reason": "not found"}


@pytest.mark.parametrize(
    ("report", "word", "code"),
    [
        ({"dependencies": [WELL, UNKNOWN]}, "1 packages without", 0),
        ({"dependencies": [WELL, ILL, UNKNOWN]}, "b 2: X-1", 1),
        ({"dependencies": [UNKNOWN]}, "Skipped", 0),
        (None, "Skipped", 0),
    ],
)
def test_only_a_finding_fails(report: dict[str, Any] | None, word: str, code: int) -> None:
    said, got = audit.judge(report)
    assert word in said
    assert got == code


def test_nobody_waits_longer_than_a_minute(monkeypatch: pytest.MonkeyPatch) -> None:
    def hang(command: list[str], **how: Any) -> None:
        assert how["timeout"] <= 60
        raise audit.subprocess.TimeoutExpired(command, how["timeout"])

    monkeypatch.setattr(audit.subprocess, "run", hang)
    assert audit.ask("x") is None


def test_every_runtime_dependency_has_an_upper_bound() -> None:
    import tomllib

    project = tomllib.loads((Path(__file__).parent.parent / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert [one for one in project["dependencies"] if ",<" not in one] == []
