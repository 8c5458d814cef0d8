"""What outside tools may not send: what a shop's own checks say is put into a setup by the shop alone."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from setup_rules import Problem
from setup_rules.parsing.request_parsing import unknown_key

_KEY: Final = "shop_checks"


def refuse_shop_checks(data: Mapping[str, Any]) -> list[Problem]:
    """Return a problem for each end of a request, or of changes to one, that names a shop's checks."""
    ends = ((name, data.get(name)) for name in ("front", "rear"))
    return [unknown_key(_KEY, f"{name}.") for name, end in ends if isinstance(end, Mapping) and _KEY in end]
