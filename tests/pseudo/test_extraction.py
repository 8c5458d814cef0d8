"""What a translator is given: every message that was shown on the walk is found by the project's own extraction."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Final

from babel.messages.extract import extract_from_dir
from babel.messages.frontend import parse_mapping_cfg

from tests.pseudo.catalogue import PseudoTexts
from tests.pseudo.walk import Walked

ROOT: Final = Path(__file__).parents[2]
#: As in DEVELOPERS.md, "Add a language".
KEYWORDS: Final = {"_": None, "_l": None, "gettext": None, "lazy_gettext": None, "ngettext": (1, 2)}
#: Texts made by the rules as finished sentences. Until their messages are data, no catalogue can hold them: take this
#: out then, and give the extraction the rules' own keyword.
RULES: Final = "setup_rules"


def extracted() -> set[str]:
    """Return every message that the extraction finds, a plural one by its singular."""
    with (ROOT / ".ci" / "babel.cfg").open(encoding="utf-8") as file:
        methods, options = parse_mapping_cfg(file)
    found = extract_from_dir(ROOT, methods, options, KEYWORDS)
    return {message if isinstance(message, str) else message[0] for _file, _line, message, _notes, _context in found}


def literals(folder: Path) -> list[str]:
    """Return every piece of text that stands in the code of a folder."""
    trees = (ast.parse(path.read_text(encoding="utf-8")) for path in folder.rglob("*.py"))
    nodes = (node for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Constant))
    return [node.value for node in nodes if isinstance(node.value, str) and len(node.value) > 1]


def test_the_extraction_finds_what_was_shown(walked: Walked, texts: PseudoTexts) -> None:
    assert len(texts.asked) > 500
    own = set(literals(ROOT / RULES))
    unfound = {text for text in texts.asked - extracted() if "«" not in text}
    # A sentence of the rules is one of their literals, or was put together from several.
    rest = {
        text for text in unfound if text not in own and not any(len(one) > 12 and one.strip() in text for one in own)
    }
    assert not rest


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
