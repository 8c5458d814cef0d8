"""The query of a shop's bikes: a page of them, or the one that has a number or a tag."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from setup_rules import Problem, RequestError
from setup_rules.parsing.request_parsing import unknown_key
from webapp.api.bike_query import LAST, MOST, USUAL, BikeQuery
from webapp.ground.text.i18n import gettext as _
from webapp.ground.whole_numbers import read_whole_number

_KEYS: Final = ("after", "limit", "number", "tag")


def read_bike_query(query: Mapping[str, str]) -> BikeQuery:
    """Return what a query asks for.

    Raises
    ------
    RequestError
        With every problem. A key that is not known is one: a look-up that is misspelt must not answer with all bikes.
    """
    problems = [unknown_key(key) for key in query if key not in _KEYS]
    after = read_whole_number(query.get("after", "0"), low=0)
    limit = read_whole_number(query.get("limit", str(USUAL)))
    if after is None:
        problems.append(Problem("after", _("Give the number of a bike, from 0 to %(most)d.", most=LAST)))
    if limit is None or limit > MOST:
        problems.append(Problem("limit", _("Give a whole number from 1 to %(most)d.", most=MOST)))
    if "number" in query and "tag" in query:
        problems.append(Problem("tag", _("Look a bike up by its number or by its tag, not by both.")))
    if after is None or limit is None or problems:
        raise RequestError(tuple(problems))
    return BikeQuery(after, limit, query.get("number"), query.get("tag"))
