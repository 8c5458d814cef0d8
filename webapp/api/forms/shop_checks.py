"""What outside tools may not send: what a shop's own checks say, and what the scale's own day keeps."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from setup_rules import Problem
from setup_rules.parsing.request_parsing import unknown_key

_KEY: Final = "shop_checks"
#: Kept with a scale reading by the rules: the masses and the stance of its day, which nobody can say afterwards.
OF_THE_DAY: Final = ("weighed_kg", "weighed_stance")


def refuse_shop_checks(data: Mapping[str, Any]) -> list[Problem]:
    """Return a problem for each end of a request, or of changes to one, that names a shop's checks."""
    ends = ((name, data.get(name)) for name in ("front", "rear"))
    return [unknown_key(_KEY, f"{name}.") for name, end in ends if isinstance(end, Mapping) and _KEY in end]


def refuse_the_day(data: Mapping[str, Any]) -> list[Problem]:
    """Return a problem for each value of a scale's day in a request or in changes that were found to be proven."""
    return [unknown_key(key) for key in OF_THE_DAY if key in data]
