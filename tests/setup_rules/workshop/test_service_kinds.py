"""The steps of a service: safety first, the work in order, spacers before the chamber is closed, a shock's words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from setup_rules.types.request import EndName
from setup_rules.workshop.checklist import DEFAULT_STEPS, Step
from setup_rules.workshop.service_kinds import SERVICE_KINDS, ServiceKind, steps_of_service

SAFE = ["eyes", "release", "release_again"]
LEGS = ["legs_parts", "legs_seals", "legs_left", "legs_right", "legs_torque"]
AIR = ["air_parts", "air_seals", "air_lubricant", "travel", "air_torque"]
DAMPER = ["damper_parts", "damper_seals", "damper_oil", "damper_torque"]
TAIL = ["clearance", "leak", "handover"]


def keys(kind: ServiceKind, end: EndName, checklist: tuple[Step, ...] = DEFAULT_STEPS) -> list[str]:
    """Return the keys of a service's steps in their order."""
    return [step.key for step in steps_of_service(checklist, kind, end)]


@pytest.mark.parametrize(
    ("kind", "end", "work"),
    [
        ("lower_legs", "front", [*LEGS, "travel"]),
        ("air_spring", "front", AIR),
        ("air_spring", "rear", AIR),
        ("damper", "front", [*DAMPER, "travel"]),
        ("damper", "rear", [*DAMPER, "travel"]),
        ("full", "front", [*LEGS, *AIR, *DAMPER]),
        ("full", "rear", [*AIR, *DAMPER]),
    ],
)
def test_safety_comes_first_then_the_work_then_the_clearance_the_leak_check_and_the_handover(
    kind: ServiceKind, end: EndName, work: list[str]
) -> None:
    assert keys(kind, end) == [*SAFE, *work, *TAIL]


def test_spacers_of_travel_are_fitted_before_the_air_chamber_is_closed() -> None:
    order = keys("full", "front")
    assert order.index("air_lubricant") < order.index("travel") < order.index("air_torque")


@pytest.mark.parametrize("end", ["front", "rear"])
def test_the_shops_list_stays_in_its_order(end: EndName) -> None:
    assert keys("list", end) == [step.key for step in DEFAULT_STEPS]


def test_a_shock_has_no_lower_legs() -> None:
    assert "lower_legs" not in SERVICE_KINDS["rear"]
    with pytest.raises(ValueError, match="lower_legs"):
        steps_of_service(DEFAULT_STEPS, "lower_legs", "rear")


@pytest.mark.parametrize("kind", ["list", "damper"])
def test_a_shock_gets_a_shocks_words_and_a_fork_its_own(kind: ServiceKind) -> None:
    titles = {
        end: {step.key: step.title for step in steps_of_service(DEFAULT_STEPS, kind, end)}
        for end in SERVICE_KINDS
    }  # fmt: skip
    assert titles["front"]["travel"] == "Travel spacers fitted"
    assert titles["rear"]["travel"] == "Stroke spacers fitted"
    assert titles["rear"]["clearance"] == "Air out, fully compressed: tyre and shock clear of the frame"
    assert titles["rear"]["eyes"] == titles["front"]["eyes"] == "Eye protection on"


def test_what_a_shop_wrote_itself_stays_as_it_wrote_it() -> None:
    own = tuple(replace(step, title="Spacers in") if step.key == "travel" else step for step in DEFAULT_STEPS)
    (travel,) = [step for step in steps_of_service(own, "damper", "rear") if step.key == "travel"]
    assert travel.title == "Spacers in"


def test_a_shops_own_safety_stays_and_its_other_steps_give_way_to_the_work() -> None:
    gloves = Step(key="gloves", kind="tick", title="Gloves on", safety=True)
    crown = Step(key="crown", kind="tick", title="Tyre clear", safety=True, after_travel_change=True)
    wash = Step(key="wash", kind="tick", title="Bike washed")
    shops = (gloves, wash, crown, *DEFAULT_STEPS)
    assert keys("damper", "front", shops) == ["gloves", *SAFE, *DAMPER, "crown", "travel", *TAIL]


def test_a_leak_check_that_a_shop_calls_safety_still_comes_after_the_work() -> None:
    strict = tuple(replace(step, safety=True) if step.key == "leak" else step for step in DEFAULT_STEPS)
    assert keys("damper", "rear", strict) == [*SAFE, *DAMPER, "travel", *TAIL]


def test_every_part_looked_at_starts_as_good_and_every_other_suggestion_says_what_it_is_of() -> None:
    steps = {step.key: step for step in steps_of_service(DEFAULT_STEPS, "full", "front")}
    assert steps["air_parts"].suggested == {
        "parts": [["air shaft", "good"], ["air piston", "good"], ["seal head", "good"]]
    }
    assert steps["legs_left"].suggested == {"place": "left", "what": "oil"}
    assert all(step.suggested for key, step in steps.items() if key in {*LEGS, *DAMPER})
