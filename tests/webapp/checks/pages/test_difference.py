"""Two setups side by side."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules import Setup, read_request, recommend, what_if
from setup_rules.types.units import PSI_PA
from webapp.checks.pages.difference import DifferenceGroup, DifferenceRow, differences


@pytest.fixture
def setup(whole_request: dict[str, Any]) -> Setup:
    """A setup for both ends, the front's pressure set by hand so that what is shown can be told in advance."""
    made = recommend(read_request(whole_request))
    assert made.front is not None
    return replace(made, front=replace(made.front, pressure_pa=84 * PSI_PA))


def row(group: DifferenceGroup, label: str) -> DifferenceRow:
    """Return the row of a group called `label`."""
    (found,) = [one for one in group.rows if one.label == label]
    return found


def front_with(setup: Setup, **changes: Any) -> Setup:
    """Return the setup with another front."""
    assert setup.front is not None
    return replace(setup, front=replace(setup.front, **changes))


def test_a_setup_differs_in_nothing_from_itself(setup: Setup) -> None:
    groups = differences(setup, setup)
    assert [group.name for group in groups] == ["front", "rear", "both"]
    assert not any(group.differs for group in groups)


@pytest.mark.parametrize(
    ("psi", "words"), [(90, "6 psi more"), (78, "6 psi less"), (84.6, "1 psi more"), (84.3, ""), (84.001, "")]
)
def test_a_pressure_differs_by_what_is_shown_of_it(setup: Setup, psi: float, words: str) -> None:
    pressure = row(differences(setup, front_with(setup, pressure_pa=psi * PSI_PA))[0], "Start pressure")
    assert pressure.before == "84 psi (5.8 bar)"
    assert pressure.words == words


def test_clicks_say_in_words_which_way(setup: Setup) -> None:
    assert setup.front is not None
    assert setup.front.rebound is not None
    start = setup.front.rebound
    quicker = front_with(setup, rebound=replace(start, out=start.out + 2))
    assert row(differences(setup, quicker)[0], "Rebound, clicks out").words == "2 clicks, faster"
    slower = front_with(setup, rebound=replace(start, out=start.out - 1))
    assert row(differences(setup, slower)[0], "Rebound, clicks out").words == "1 click, slower"


def test_a_narrower_range_is_said_to_be_better_known(setup: Setup) -> None:
    before = front_with(setup, sag_low_mm=20, sag_high_mm=40)
    after = front_with(setup, sag_low_mm=26, sag_high_mm=31)
    assert row(differences(before, after)[0], "Expected sag range").words == "narrower: more certain"
    assert row(differences(after, before)[0], "Expected sag range").words == "wider: less certain"


def test_the_riders_weight_is_said_to_differ_and_never_written(setup: Setup) -> None:
    heavier = what_if(setup, {"rider_mass_kg": 97.5})
    groups = differences(setup, heavier)
    weight = row(groups[-1], "Rider weight")
    assert (weight.before, weight.after, weight.words) == ("not shown", "not shown", "changed")
    assert not [text for one in groups for each in one.rows for text in (each.before, each.after) if "97.5" in text]


def test_kit_air_and_style_are_rows_of_their_own(setup: Setup) -> None:
    after = what_if(setup, {"kit_mass_kg": 12, "ride": {"temperature_c": -5}, "riding_style": "enduro"})
    rows = {one.label: one.words for one in differences(setup, after)[-1].rows if one.words}
    assert rows == {"Riding style": "changed", "Kit weight": "changed", "Ridden at": "changed"}
