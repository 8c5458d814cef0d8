"""The outside checks: what each file under `tests/published/` says of source, independence and tolerance."""

from __future__ import annotations

import ast
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from tests import structure

FOLDER: Final = structure.ROOT / "tests" / "published"
PARTS: Final = ("Source", "Confirmed", "Tolerance")


@dataclass(frozen=True)
class Check:
    """One file of outside checks, with the three parts of its docstring, each empty where it has none."""

    file: str
    source: str
    confirmed: str
    tolerance: str

    @property
    def missing(self) -> list[str]:
        """Which parts it lacks."""
        return [part for part in PARTS if not getattr(self, part.lower())]


def read_check(path: Path) -> Check:
    """Return what the docstring of a file says: each part is a paragraph that begins with its name."""
    text = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or ""
    said = dict.fromkeys(PARTS, "")
    for paragraph in text.split("\n\n"):
        name, _, rest = paragraph.partition(":")
        if name in said:
            said[name] = " ".join(rest.split())
    return Check(path.relative_to(structure.ROOT).as_posix(), *said.values())


def read_checks(folder: Path = FOLDER) -> dict[str, Check]:
    """Return every file of outside checks by its name."""
    return {check.file: check for check in map(read_check, sorted(folder.glob("test_*.py")))}


def first_sentence(text: str) -> str:
    """Return the first sentence of a part: what the table has room for."""
    return re.split(r"(?<=[^.\dA-Z][.])\s+(?=[A-Z\d])", text, maxsplit=1)[0]
