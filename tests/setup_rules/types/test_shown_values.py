"""How a refused value is written back: short, in signs that need no translation, whatever was sent."""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules.parsing.request_parsing import shown


@pytest.mark.parametrize(
    ("raw", "written"),
    [
        (3.5, "3.5"),
        (1e300, "1e+300"),
        (7, "7"),
        (-7, "-7"),
        (True, "true"),
        (False, "false"),
        (10**15 - 1, "999999999999999"),
        (10**15, "10^15"),
        (-(10**20), "−10^20"),
        ("trail", "'trail'"),
        ("a" * 40, repr("a" * 40)),
        ("a" * 41, repr("a" * 37 + "...")),
        ({"a": 1}, "{…}"),
        ([1, 2], "[…]"),
        ((1, 2), "[…]"),
        (None, "<NoneType>"),
    ],
)
def test_a_value_is_written_short(raw: Any, written: str) -> None:
    assert shown(raw) == written
