"""What people read follows the style sheet: none of the dropped words and phrases is left in it.

Read from the source: the texts of all templates, every text handed to gettext, what the command line and the settings
say, the description of the JSON interface, the sentences of the rules' catalogue, and the README.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Final

import jinja2
import pytest

ROOT: Final = Path(__file__).resolve().parent.parent
TEXT_FUNCTIONS: Final = {"_", "_l", "gettext", "ngettext", "lazy_gettext", "N_"}
#: Modules whose plain strings people read too: they stand outside a request, or describe the JSON interface.
PLAIN_TEXTS: Final = (
    *("webapp/commands/*.py", "webapp/api/pages/*.py", "webapp/api/forms/*.py"),
    *("webapp/ground/config.py", "webapp/ground/data_folder.py", "webapp/ground/database/engine.py"),
    *("webapp/ground/database/migrate.py", "setup_rules/messages/catalogue*.py", "setup_rules/messages/catalogue/*.py"),
)

#: What is dropped, as a pattern for the lower-case text, and what is said instead.
DROPPED: Final = {
    r"\bmend(s|ed|ing)?\b": "fix",
    r"\banew\b": "again, or name the change",
    r"\breckon\w*": "calculate",
    r"\b(is|are) to be\b": "an instruction: Set …, Check …",
    r"\bshall\b": "must, or the present tense",
    r"\bmay stay\b": "can be, or optional",
    r"\bcan be had\b": "options, or must be unique",
    r"\bfrom memory\b": "our estimate",
    r"\btokens?\b": "volume spacer, travel spacer",
    r"\bspring ends?\b": "fork, shock",
    r"\bin force\b": "current",
    r"\bleft empty\b": "Default: …",
    r"\b(some|no)body\b": "someone, no one, or the person's job",
    r"\bwhoever\b": "anyone who, or the person's job",
    r"\ba day to come\b": "a future date",
    r"\bonce more\b": "again",
    r"\ba touch\b": "slightly, or the amount",
    r"\b(is|are) (not )?read\b": "counts as, can be used",
    r"\bverdict\b": "result",
    r"\b(9|nine) (times in|cases of|cases in) (10|ten)\b": "Most forks like this need …",
    r"\bguess on a guess\b": "what cannot be told, and what to measure",
    r"\bused up\b": "No adjustment left",
    r"\bworks? out\b|\bworked out\b|\bworking out\b": "calculate",
    r"\bsteps? of safety\b": "safety step",
    r"\bstands? against\b": "Ready to …",
    r"\bdip(s|ped|ping)?\b": "compression, push",
    r"\b(kick|kicks|kicked) back\b|\bkickback\b": "buck; kickback is about pedals",
    r"\b(the|your|this) units?\b(?! (in|on|of|from|for|counts|can))": "fork or shock",
    r"\bunit[’']s\b": "the manufacturer's manual, the fork, the shock",
    r"\bunit that\b(?! you type)": "fork or shock",
    r"\bmakers?\b": "manufacturer",
    r"\bretired?\b": "archive",
    r"\bpacks down\b": "Gets stiffer over repeated bumps",
    r"\bnoted\b|\bnote (it|that|how|what|so|more)\b": "save, enter, fill in",
    r"\bstance\b": "riding position",
}
#: Where programmers and those who run the tool read: on the JSON interface "revision" and "bench" are names.
OTHER_READERS: Final = ("webapp/api/", "webapp/commands/", "README.md")
#: Right for them, never on a page.
DROPPED_ON_PAGES: Final = {
    r"\brevisions?\b": "version",
    r"\bbench\b": "service record, or where you pump",
    r"\bleverage\b(?! ratio)": "leverage ratio",
}


def texts_of_templates() -> Iterator[tuple[str, str]]:
    """Give (place, text) of every text in a template: what is handed to gettext, and what stands outside of it."""
    environment = jinja2.Environment(extensions=["jinja2.ext.i18n"])  # noqa: S701 nothing is drawn
    for path in sorted((ROOT / "templates").rglob("*.html")):
        source, place = path.read_text(encoding="utf-8"), str(path.relative_to(ROOT))
        for line, _name, message in _translations(environment, source):
            for text in message if isinstance(message, tuple) else (message,):
                if text:
                    yield f"{place}:{line}", text
        data = "".join(piece if kind == "data" else "\0" for _line, kind, piece in environment.lex(source))
        for text in re.sub(r"<[^>]*>", "\n", data).replace("\0", "").split("\n"):
            if re.search("[a-z]{3}", text):
                yield place, text.strip()


def _translations(environment: jinja2.Environment, source: str) -> Iterator[tuple[int, str, str | tuple[str | None]]]:
    found = environment.extract_translations(source, tuple(TEXT_FUNCTIONS))  # type: ignore[attr-defined]
    yield from found


def texts_of_gettext() -> Iterator[tuple[str, str]]:
    """Give (place, text) of every literal that a module hands to one of gettext's names."""
    for path in sorted((ROOT / "webapp").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in TEXT_FUNCTIONS:
                for argument in node.args:
                    yield from _strings(path, argument)


def texts_outside_gettext() -> Iterator[tuple[str, str]]:
    """Give (place, text) of every string with a space in the modules that speak without gettext, docstrings apart."""
    for path in sorted(path for pattern in PLAIN_TEXTS for path in ROOT.glob(pattern)):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.Expr):
                node.value = ast.Constant(None) if isinstance(node.value, ast.Constant) else node.value
        for place, text in _strings(path, tree):
            if " " in text.strip():
                yield place, text


def texts_of_the_readme() -> Iterator[tuple[str, str]]:
    """Give (place, text) of every paragraph of the README."""
    for paragraph in (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n"):
        yield "README.md", " ".join(paragraph.split())


def _strings(path: Path, tree: ast.AST) -> Iterator[tuple[str, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield f"{path.relative_to(ROOT)}:{node.lineno}", node.value


def faults(texts: Iterable[tuple[str, str]]) -> list[str]:
    """Return one line a dropped phrase: where it stands, what it is, what to say, and the whole text."""
    return [
        f"{place}: “{found.group()}” (say: {better}) in: {text.strip()}"
        for place, text in texts
        for pattern, better in (DROPPED if place.startswith(OTHER_READERS) else DROPPED | DROPPED_ON_PAGES).items()
        if (found := re.search(pattern, _without_names(text), re.IGNORECASE))
    ]


def _without_names(text: str) -> str:
    """Return a text without its placeholders, addresses, keys and code, which are names and not words."""
    return re.sub(r"%\(\w+\)\S|\{[^}]*\}|`[^`]*`|\w+://\S+|/\w[\w/.-]*|\b\w*_\w+|<[^>]*>", " ", text)


@pytest.mark.parametrize("texts", [texts_of_templates, texts_of_gettext, texts_outside_gettext, texts_of_the_readme])
def test_no_text_that_people_read_uses_a_dropped_word(texts: Callable[[], Iterator[tuple[str, str]]]) -> None:
    found = faults(texts())
    assert not found, "\n".join([f"{len(found)} texts use dropped words:", *found])


def test_the_extraction_finds_texts_of_every_kind() -> None:
    templates, gettext, plain = (
        {text for _place, text in texts()} for texts in (texts_of_templates, texts_of_gettext, texts_outside_gettext)
    )
    assert {"Calculate and save", "Warm-up"} <= templates  # handed to gettext; written outside of it
    assert {"Fork travel", "%(n)d hours"} <= gettext  # a lazy label; a plural
    assert "The settings contain an error." in plain


@pytest.mark.parametrize("pattern", [*DROPPED, *DROPPED_ON_PAGES])
def test_each_pattern_finds_a_sentence_made_to_be_found(pattern: str) -> None:
    spoken = (
        "Please mend this anew, it reckons: it is to be pumped and shall and may stay; it can be had from memory. "
        "Fit a token at the spring end in force, left empty by somebody or whoever, on a day to come, once more, a "
        "touch; it is read, a verdict, right 9 times in 10, a guess on a guess, used up, worked out, a step of safety, "
        "stands against, dip, kicks back, the unit, the unit's maker, a unit that stays down, retired, packs down, "
        "noted, stance, revision 3, bench, leverage."
    )
    assert re.search(pattern, spoken, re.IGNORECASE)
    assert not re.search(pattern, "Measure sag. Fix the reading, then set 84 psi again at a leverage ratio of 2.8.")
