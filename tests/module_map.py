"""The map of DEVELOPERS.md, one line a module: `python -m tests.module_map` writes it anew from the docstrings."""

from __future__ import annotations

import ast
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
DOCUMENT = ROOT / "DEVELOPERS.md"
PACKAGES = ("setup_rules", "webapp")
_SECTION = re.compile(r"(^## Map\n\n<!-- [^\n]* -->\n\n)(.*?)(?=^## )", re.MULTILINE | re.DOTALL)


def sources() -> list[Path]:
    """Return every module of the project's own packages."""
    return [path for package in PACKAGES for path in sorted((ROOT / package).rglob("*.py"))]


def first_line(path: Path) -> str:
    """Return what a module says it is, in the first line of its docstring."""
    return (ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) or "").split("\n")[0]


def drawn_map() -> str:
    """Return the map as it should stand: a heading a folder, a line a module."""
    folders: dict[str, list[str]] = {}
    for path in sources():
        name = path.relative_to(ROOT)
        folders.setdefault(str(name.parent), []).append(f"- `{name}`: {first_line(path)}\n")
    return "".join(f"**`{folder}/`**\n\n{''.join(lines)}\n" for folder, lines in folders.items())


def written_map() -> str:
    """Return the map as DEVELOPERS.md has it."""
    section = _SECTION.search(DOCUMENT.read_text(encoding="utf-8"))
    if section is None:
        raise LookupError("DEVELOPERS.md has no section called Map with its comment.")
    return section.group(2)


def write_map() -> None:
    """Put the map as it should stand into DEVELOPERS.md."""
    written_map()
    text = _SECTION.sub(lambda found: found.group(1) + drawn_map(), DOCUMENT.read_text(encoding="utf-8"))
    DOCUMENT.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write_map()
