"""A step that comes from newer rules is explained as such, at the end that it concerns and only there."""

from __future__ import annotations

from dataclasses import replace

import pytest

from setup_rules import Setup, read_request, recommend
from setup_rules.advice.reasons import rules_changed


def setup() -> Setup:
    return recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}))


@pytest.mark.parametrize(("version", "codes"), [("1", ["rules_changed"]), (setup().rules_version, [])])
def test_only_numbers_of_other_rules_are_explained_by_them(version: str, codes: list[str]) -> None:
    before = replace(setup(), rules_version=version)
    assert [note.code for note in rules_changed(before, "front")] == codes
