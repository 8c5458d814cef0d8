"""What a translator is given by the project's own extraction; `test_walk.py` holds it against what a walk shows."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Final

from babel.messages.extract import extract_from_dir
from babel.messages.frontend import parse_mapping_cfg

ROOT: Final = Path(__file__).parents[2]
#: As in DEVELOPERS.md, "Add a language".
KEYWORDS: Final = {
    "_": None,
    "_l": None,
    "gettext": None,
    "lazy_gettext": None,
    "ngettext": (1, 2),
    "N_": None,
    "NN_": (1, 2),
}


def extracted() -> set[str]:
    """Return every message that the extraction finds, a plural one by its singular."""
    with (ROOT / ".ci" / "babel.cfg").open(encoding="utf-8") as file:
        methods, options = parse_mapping_cfg(file)
    found = extract_from_dir(ROOT, methods, options, KEYWORDS)
    return {message if isinstance(message, str) else message[0] for _file, _line, message, _notes, _context in found}


def test_every_call_names_its_message_whole() -> None:
    """A message put together before the look-up is in no catalogue: only what holds texts as data may pass a name."""
    passing: dict[str, int] = {}
    for path in sorted((ROOT / "webapp").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in KEYWORDS
                and node.args
            ):
                assert not isinstance(node.args[0], ast.JoinedStr | ast.BinOp), f"{path}:{node.lineno}"
                passing[str(path)] = passing.get(str(path), 0) + (not isinstance(node.args[0], ast.Constant))
    assert passing
