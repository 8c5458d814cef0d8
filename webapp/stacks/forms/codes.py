"""A list of saved setups by their short codes or links, one card each."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

from webapp.ground.text.i18n import gettext as _
from webapp.stacks.forms.table import MOST_PROBLEMS, RowProblem, TableError
from webapp.stacks.stack import MOST_CARDS, NewCard

_APART: Final = re.compile(r"[,;\n]")
#: Finds a setup of the shop: its code and the bike's label, or what is wrong.
FindCode = Callable[[str], tuple[str, str] | str]


def read_codes(text: str, find: FindCode) -> list[NewCard]:
    """Return a card for each code of a text, a line or a comma between two; a code that comes twice is one card.

    Raises
    ------
    TableError
        With every code that the shop does not have.
    """
    wanted = list(_wanted(text))
    if not wanted:
        raise TableError([RowProblem(1, "", "", _("Enter at least one short code or card link."))])
    if len(wanted) > MOST_CARDS:
        message = _(
            "%(found)d cards. A stack holds 1 to %(most)d. Split the table.", found=len(wanted), most=MOST_CARDS
        )
        raise TableError([RowProblem(wanted[MOST_CARDS][0], "", "", message)])
    cards: dict[str, NewCard] = {}
    problems: list[RowProblem] = []
    for line, code in wanted:
        found = find(code)
        if isinstance(found, str):
            problems.append(RowProblem(line, _("code"), code, found))
        else:
            cards[found[0]] = NewCard(code=found[0], label=found[1])
    if problems:
        raise TableError(problems[:MOST_PROBLEMS])
    return list(cards.values())


def _wanted(text: str) -> list[tuple[int, str]]:
    lines = enumerate(text.replace("\r", "").split("\n"), 1)
    return [(line, part.strip()) for line, row in lines for part in _APART.split(row) if part.strip()]
