"""The query of a setup's history: after which revision, and how many."""

from __future__ import annotations

from collections.abc import Mapping

from setup_rules import Problem, RequestError
from webapp.api.history_page import LAST, MOST, USUAL, HistoryPage
from webapp.ground.text.i18n import gettext as _
from webapp.ground.whole_numbers import read_whole_number


def read_page(query: Mapping[str, str]) -> HistoryPage:
    """Return the page of history that a query asks for (raises `RequestError`)."""
    after = read_whole_number(query.get("after", "0"), low=0)
    limit = read_whole_number(query.get("limit", str(USUAL)))
    problems = []
    if after is None:
        message = _("Give the number of a revision, from 0 to %(most)d.", most=LAST)
        problems.append(Problem("after", message))
    if limit is None or limit > MOST:
        problems.append(Problem("limit", _("Give a whole number from 1 to %(most)d.", most=MOST)))
    if after is None or limit is None or problems:
        raise RequestError(tuple(problems))
    return HistoryPage(after, limit)
