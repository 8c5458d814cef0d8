"""What a change of travel asks of the fork, with the whole answer left out: each key of the changed request.

A fork of 100 mm at 66°, 140 mm without spacers, on a usual bike: 1200 mm of wheelbase, 435 of chainstay, 25 of drop.
"""

from __future__ import annotations

import inspect
from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice import travel_plan as module
from setup_rules.advice.travel_plan import TravelPlan, TravelWish, change_travel, plan_travel
from setup_rules.messages.message import Message
from setup_rules.physics.travel_change import GeometryChange
from setup_rules.types.errors import LimitError, RequestError
from setup_rules.types.request import FrontEnd, SetupRequest
from setup_rules.types.result import SagCheck, Setup, TakenCheck

FORK = FrontEnd(travel_mm=100.0, stanchion_mm=34, head_angle_deg=66.0)
WISH = TravelWish(travel_mm=120.0, longest_travel_mm=140.0, spacers=((20.0, 1),))
CHAMBER: dict[str, Any] = {"bore_mm": 30.0, "positive_volume_cm3": 150.0}
CHART = ((60.0, 60.0), (80.0, 80.0))


def setup_of(front: FrontEnd | None = FORK, checks: tuple[TakenCheck, ...] = ()) -> Setup:
    """Return an answer for a fork whose numbers do not count."""
    request = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=front)
    return Setup(request=request, front=None, rear=None, cautions=(), reasons=(), checks=checks)


def turned(degrees: float) -> GeometryChange:
    """Return a change that turns the head angle so far."""
    names = GeometryChange.__dataclass_fields__
    return GeometryChange(**{name: degrees if name == "head_angle_deg" else 0.0 for name in names})


def asked(
    monkeypatch: pytest.MonkeyPatch,
    front: FrontEnd = FORK,
    wish: TravelWish = WISH,
    geometry: GeometryChange | None = None,
) -> dict[str, Any]:
    """Return what a change of travel asks of the fork."""
    calls: list[Any] = []
    monkeypatch.setattr(module, "what_if", lambda setup, changes: calls.append((setup, changes)))
    change_travel(setup_of(front), wish, geometry)
    ((_, changes),) = calls
    assert list(changes) == ["front"]
    return dict(changes["front"])


def test_travel_and_head_angle_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    # The front is lifted by 20·sin 66° = 18.3 mm over a wheelbase of 1200 mm: by 0.87°.
    found = asked(monkeypatch)
    assert found == {"travel_mm": 120.0, "longest_travel_mm": 140.0, "head_angle_deg": 65.13}


def test_a_change_that_is_already_known_is_not_worked_out_again(monkeypatch: pytest.MonkeyPatch) -> None:
    assert asked(monkeypatch, geometry=turned(-1.2345))["head_angle_deg"] == 64.77


def test_the_head_angle_counts_from_what_is_wished_or_the_forks_own(monkeypatch: pytest.MonkeyPatch) -> None:
    flat = replace(WISH, head_angle_deg=64.0)
    assert asked(monkeypatch, wish=flat, geometry=turned(-1.0))["head_angle_deg"] == 63.0
    assert asked(monkeypatch, replace(FORK, head_angle_deg=67.0), geometry=turned(1.0))["head_angle_deg"] == 68.0


def test_the_head_angle_stays_inside_its_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    assert asked(monkeypatch, geometry=turned(-40.0))["head_angle_deg"] == 58.0
    assert asked(monkeypatch, geometry=turned(40.0))["head_angle_deg"] == 76.0


def test_a_known_chamber_follows_and_half_a_chamber_does_not(monkeypatch: pytest.MonkeyPatch) -> None:
    # π/4 · 30² mm² · 20 mm are 14.137 cm³ more.
    assert asked(monkeypatch, replace(FORK, **CHAMBER))["positive_volume_cm3"] == 164.137
    for half in ({"bore_mm": 30.0}, {"positive_volume_cm3": 150.0}):
        assert "positive_volume_cm3" not in asked(monkeypatch, replace(FORK, **half))  # type: ignore[arg-type]


def test_a_chart_keeps_the_travel_that_it_was_read_for(monkeypatch: pytest.MonkeyPatch) -> None:
    assert asked(monkeypatch, replace(FORK, chart=CHART))["chart_travel_mm"] == 100.0
    assert "chart_travel_mm" not in asked(monkeypatch, replace(FORK, chart=CHART, chart_travel_mm=110.0))
    assert "chart_travel_mm" not in asked(monkeypatch, replace(FORK, chart_travel_mm=110.0))


def test_earlier_checks_learn_the_longest_travel_with_it(monkeypatch: pytest.MonkeyPatch) -> None:
    calls: list[Any] = []
    monkeypatch.setattr(module, "what_if", lambda setup, changes: calls.append((setup, changes)))
    start = setup_of()
    checks = (TakenCheck(check=SagCheck(end="front"), request=start.request),)
    change_travel(replace(start, checks=checks), WISH)
    ((setup, _),) = calls
    (known,) = setup.checks
    assert known.request.front == replace(FORK, longest_travel_mm=140.0)


@pytest.mark.parametrize(("front", "key"), [(None, "travel.no_fork"), (replace(FORK, spring="coil"), "travel.coil")])
def test_without_an_air_fork_there_is_no_travel_to_change(front: FrontEnd | None, key: str) -> None:
    for ask in (plan_travel, change_travel):
        with pytest.raises(RequestError) as refused:
            ask(setup_of(front), WISH)
        (problem,) = refused.value.problems
        assert (problem.field, problem.said) == ("end", Message.of(key))


def planned(monkeypatch: pytest.MonkeyPatch, front: FrontEnd = FORK, **wish: Any) -> tuple[Any, list[Any]]:
    """Return a plan and the changes that it worked out setups for."""
    calls: list[Any] = []

    def answer(_setup: Setup, changes: Any) -> Any:
        calls.append(changes["front"])
        return "answered"

    monkeypatch.setattr(module, "what_if", answer)
    return plan_travel(setup_of(front), replace(WISH, **wish)), calls


def test_a_plan_has_the_setup_before_with_its_longest_travel_known(monkeypatch: pytest.MonkeyPatch) -> None:
    plan, calls = planned(monkeypatch)
    assert (plan.after, plan.before) == ("answered", "answered")
    assert [call["travel_mm"] for call in calls if "travel_mm" in call] == [120.0]
    assert calls[-1] == {"longest_travel_mm": 140.0}
    assert [stack.pieces for stack in plan.stacks.exact] == [((20.0, 1),)]


def test_a_longest_travel_that_was_known_leaves_the_setup_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    plan, calls = planned(monkeypatch, replace(FORK, longest_travel_mm=140.0))
    assert plan.before is plan.saved
    assert len(calls) == 1
    # Without a spacer in it, the travel installed is the longest.
    plan, _ = planned(monkeypatch, replace(FORK, travel_mm=140.0))
    assert plan.before is plan.saved


def test_without_a_stack_that_fits_there_is_no_setup_after(monkeypatch: pytest.MonkeyPatch) -> None:
    plan, calls = planned(monkeypatch, travel_mm=115.0)
    assert plan.after is None
    assert calls == [{"longest_travel_mm": 140.0}]
    assert [stack.travel_mm for stack in plan.stacks.nearest] == [120.0]


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        ({}, (1200.0, 66.0, 20.0, 435.0, 25.0)),
        ({"wheelbase_mm": 1150.0}, (1150.0, 66.0, 20.0, 435.0, 25.0)),
        ({"head_angle_deg": 64.0}, (1200.0, 64.0, 20.0, 435.0, 25.0)),
        ({"chainstay_mm": 420.0}, (1200.0, 66.0, 20.0, 420.0, 25.0)),
        ({"bottom_bracket_drop_mm": 0.0}, (1200.0, 66.0, 20.0, 435.0, 0.0)),
        ({"travel_mm": 140.0, "spacers": ()}, (1200.0, 66.0, 40.0, 435.0, 25.0)),
    ],
)
def test_the_bikes_own_figures_count_where_they_are_given(
    monkeypatch: pytest.MonkeyPatch, given: dict[str, Any], wanted: tuple[float, ...]
) -> None:
    found: list[Any] = []

    def change(*figures: float) -> GeometryChange:
        found.append(figures)
        return turned(0.0)

    monkeypatch.setattr(module, "geometry_change", change)
    planned(monkeypatch, **given)
    assert found == [wanted]


@pytest.mark.parametrize(
    ("name", "field"),
    [("stacks_for", "spacers"), ("geometry_change", "travel_mm"), ("volume_at_travel_cm3", "travel_mm")],
)
def test_what_cannot_be_is_a_problem_of_its_field(monkeypatch: pytest.MonkeyPatch, name: str, field: str) -> None:
    def fail(*_: Any) -> None:
        raise LimitError("beyond")

    monkeypatch.setattr(module, name, fail)
    with pytest.raises(RequestError) as refused:
        planned(monkeypatch, replace(FORK, **CHAMBER))
    (problem,) = refused.value.problems
    assert (problem.field, str(problem.said)) == (field, "beyond")


@pytest.mark.parametrize("record", [TravelWish, TravelPlan])
def test_lengths_in_a_row_are_given_by_name(record: Any) -> None:
    # Wanted and longest travel, wheelbase and chainstay: figures that would be mixed up unseen.
    assert {one.kind for one in inspect.signature(record).parameters.values()} == {inspect.Parameter.KEYWORD_ONLY}


@pytest.mark.parametrize("limit", ["unit_limit_mm", "frame_limit_mm"])
def test_a_limit_beyond_what_is_wished_is_no_hindrance(monkeypatch: pytest.MonkeyPatch, limit: str) -> None:
    assert planned(monkeypatch, **{limit: 130.0})[0].after == "answered"
