"""Which readings are questioned, and what is learned from, with made-up expectations in the place of the spring.

What is expected is never known better than to 2.5 mm on a fork and 1.5 mm on a shock. A reading is asked about beyond
three and a half standard deviations, from two on where a slip of the pen explains it.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from setup_rules.advice import sag_check as module
from setup_rules.advice.sag_check import _likely_slip, learned_of, likelihoods_of, question, with_check
from setup_rules.inference.end_model import EndModel
from setup_rules.messages.message import Message
from setup_rules.types.errors import Problem, RequestError
from setup_rules.types.request import FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import SagCheck, TakenCheck
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_sag_check_bounds import keys, problems, taken

FORK = FrontEnd(travel_mm=140.0, stanchion_mm=34)
SHOCK = RearEnd(stroke_mm=60.0, leverage_start=2.9)
REQUEST = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=FORK, rear=SHOCK)
CHECK = SagCheck(end="front", pressure_pa=500_000.0, readings_mm=(31.0,))


def expecting(monkeypatch: pytest.MonkeyPatch, mm: float, sigma_mm: float = 0.0) -> None:
    """Have so many millimetres expected, known to so many."""
    expected = SimpleNamespace(reading_m=mm / 1000, sigma_m=sigma_mm / 1000)
    monkeypatch.setattr(module, "learned_of", lambda *_: None)
    monkeypatch.setattr(module, "sag_likelihood", lambda *_: None)
    monkeypatch.setattr(module, "expect", lambda *_: expected)


def asked(*mm: float, request: SetupRequest = REQUEST, **given: Any) -> tuple[str, dict[str, Any]] | None:
    """Return key and values of the question that readings raise, None where they are believable."""
    found = question(request, (), replace(CHECK, readings_mm=mm, **given))
    if found is None:
        return None
    assert found.question
    assert isinstance(found.said, Message)
    return found.said.key, dict(found.said.values)


def test_a_reading_is_taken_up_to_three_and_a_half_standard_deviations(monkeypatch: pytest.MonkeyPatch) -> None:
    # 3.5 · 2.5 mm are 8.75 mm.
    expecting(monkeypatch, 31.0)
    assert asked(39.75) is None
    assert asked(22.25) is None
    assert asked(38.0) is None
    assert asked(39.8) == ("sag_check.far_off", {"read": 39.8, "low": 26, "high": 36})
    assert asked(22.2) == ("sag_check.far_off", {"read": 22.2, "low": 26, "high": 36})


def test_a_likely_slip_is_asked_about_beyond_two_standard_deviations(monkeypatch: pytest.MonkeyPatch) -> None:
    # Half a centimetre of 5.5 mm: 5 mm off are two standard deviations.
    expecting(monkeypatch, 5.5)
    assert asked(0.5) is None
    assert asked(0.6) is None
    found = asked(0.4)
    assert found is not None
    assert (found[0], found[1]["read"], found[1]["meant"]) == ("sag_check.far_off_centimetres", 0.4, 4)


def test_what_is_expected_is_known_to_both_errors_together(monkeypatch: pytest.MonkeyPatch) -> None:
    # √(6² + 2.5²) = 6.5 mm: two of them to either side of 31 mm are 18 to 44 mm.
    expecting(monkeypatch, 31.0, 6.0)
    assert asked(53.75) is None
    assert asked(53.76) == ("sag_check.far_off", {"read": 53.76, "low": 18, "high": 44})


def test_a_shock_is_held_to_less(monkeypatch: pytest.MonkeyPatch) -> None:
    # √(2² + 1.5²) = 2.5 mm.
    expecting(monkeypatch, 16.0, 2.0)
    assert asked(24.75, end="rear") is None
    assert asked(24.8, end="rear") == ("sag_check.far_off", {"read": 24.8, "low": 11, "high": 21})


def test_no_sag_below_zero_is_expected(monkeypatch: pytest.MonkeyPatch) -> None:
    expecting(monkeypatch, 10.0, 6.0)
    assert asked(90.5) == ("sag_check.far_off", {"read": 90.5, "low": 0, "high": 23})


def test_what_was_meant_is_told_to_a_tenth(monkeypatch: pytest.MonkeyPatch) -> None:
    expecting(monkeypatch, 31.0)
    shown = {"read": 3.214, "low": 26, "high": 36, "meant": 32.1}
    assert asked(3.214) == ("sag_check.far_off_centimetres", shown)


def test_one_slip_among_good_readings_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    expecting(monkeypatch, 31.0)
    found = asked(31.0, 13.0, 32.0)
    assert found is not None
    assert (found[0], found[1]["read"], found[1]["meant"]) == ("sag_check.far_off_swapped", 13, 31)


def test_readings_of_both_sides_are_asked_about_at_the_first_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    expecting(monkeypatch, 31.0)
    both = replace(CHECK, readings_mm=(), readings_from_above_mm=(70.0,), readings_from_below_mm=(74.0,))
    found = question(REQUEST, (), both)
    assert found is not None
    assert isinstance(found.said, Message)
    assert (found.field, found.said.values["read"]) == ("readings_from_above_mm", 72)
    below = question(REQUEST, (), replace(CHECK, readings_mm=(), readings_from_below_mm=(74.0,)))
    assert below is not None
    assert below.field == "readings_from_below_mm"


def test_a_coil_is_asked_about_in_its_own_words(monkeypatch: pytest.MonkeyPatch) -> None:
    expecting(monkeypatch, 31.0)
    coil = replace(REQUEST, front=replace(FORK, spring="coil"))
    far, slip = asked(70.5, request=coil), asked(3.1, request=coil)
    assert far is not None
    assert far[0] == "sag_check.far_off_coil"
    assert slip is not None
    assert slip[0] == "sag_check.far_off_coil_centimetres"


def test_a_confirmed_reading_and_a_missing_end_raise_no_question(monkeypatch: pytest.MonkeyPatch) -> None:
    expecting(monkeypatch, 31.0)
    assert asked(100.0) is not None
    assert asked(100.0, confirm=True) is None
    assert asked(100.0, request=replace(REQUEST, front=None)) is None


def refusal(monkeypatch: pytest.MonkeyPatch, check: SagCheck, asked: Problem | None) -> list[tuple[str, bool]]:
    """Return field and kind of what a check of a coil shock with up to 3 mm of preload is refused for."""
    monkeypatch.setattr(module, "question", lambda *_: asked)
    coil = replace(SHOCK, spring="coil", preload_mm_max=3.0)
    try:
        with_check(replace(REQUEST, rear=coil), (), check)
    except RequestError as refused:
        return [(one.field, one.question) for one in refused.problems]
    return []


def test_too_much_preload_is_asked_about_before_the_readings(monkeypatch: pytest.MonkeyPatch) -> None:
    odd = Problem("readings_mm", Message.of("sag_check.no_reading"), question=True)
    check = SagCheck(end="rear", spring_rate_n_per_mm=80.0, preload_mm=4.0, readings_mm=(16.0,))
    assert refusal(monkeypatch, check, odd) == [("preload_mm", True), ("readings_mm", True)]
    assert refusal(monkeypatch, check, None) == [("preload_mm", True)]
    assert refusal(monkeypatch, replace(check, preload_mm=3.0), odd) == [("readings_mm", True)]
    assert refusal(monkeypatch, replace(check, preload_mm=3.0), None) == []
    assert refusal(monkeypatch, replace(check, confirm=True), odd) == []


def test_what_cannot_be_used_is_refused_before_anything_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    check = SagCheck(end="rear", spring_rate_n_per_mm=80.0, preload_mm=4.0, readings_mm=(0.0,))
    assert refusal(monkeypatch, check, None) == [("readings_mm", False)]
    assert refusal(monkeypatch, replace(check, confirm=True), None) == [("readings_mm", False)]


def test_a_check_is_kept_with_the_request_that_it_was_taken_under() -> None:
    before = (TakenCheck(check=replace(CHECK, end="rear"), request=REQUEST),)
    check = replace(CHECK, confirm=True)
    assert with_check(REQUEST, before, check) == (*before, TakenCheck(check=check, request=REQUEST))


def test_checks_of_the_end_that_count_are_made_ready(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "sag_likelihood", lambda taken, model: (taken, model.name, model.request))
    own = TakenCheck(check=CHECK, request=REQUEST)
    other = TakenCheck(check=replace(CHECK, end="rear"), request=REQUEST)
    struck = replace(own, struck=True)
    no_fork = replace(own, request=replace(REQUEST, front=None))
    front: Any = likelihoods_of("front", (other, own, struck, no_fork))
    rear: Any = likelihoods_of("rear", (other, own, struck, no_fork))
    assert front == ((own, "front", REQUEST),)
    assert rear == ((other, "rear", REQUEST),)


@pytest.mark.parametrize(
    ("measured", "chart", "remembered", "start", "learned"),
    [
        ((), (), None, None, None),
        (("check",), (), None, None, (("check",), None)),
        ((), ("row",), None, None, (("row",), None)),
        ((), (), "memory", None, ((), None)),
        ((), (), None, 0.0, ((), 0.0)),
        (("check",), ("row",), "memory", 1.5, (("row", "check"), 1.5)),
    ],
)
def test_whatever_is_known_of_an_end_is_learned_from(
    monkeypatch: pytest.MonkeyPatch, measured: Any, chart: Any, remembered: Any, start: Any, learned: Any
) -> None:
    monkeypatch.setattr(module, "likelihoods_of", lambda *_: measured)
    monkeypatch.setattr(module, "chart_likelihoods", lambda _model: chart)
    monkeypatch.setattr(module, "remembered_of", lambda _end: remembered)
    monkeypatch.setattr(module, "class_log_weight", lambda _model: start)
    monkeypatch.setattr(module, "learn", lambda ready, _model, began: (ready, began))
    monkeypatch.setattr(module, "Learned", SimpleNamespace(before_checks=lambda _model: None))
    found: Any = learned_of(EndModel("front", FORK, REQUEST), ())
    assert found == learned


def test_a_single_figure_has_nothing_to_swap() -> None:
    assert _likely_slip(5.0, 5.0, 1.0) is None


def test_beyond_40_bar_nothing_is_taken_where_nothing_is_known() -> None:
    assert keys(pressure_pa=5e6) == [("pressure_psi", "sag_check.no_pressure")]


@pytest.mark.parametrize(
    ("readings", "key"),
    [
        ((150.0,), "sag_check.beyond_travel"),
        ((0.0, 150.0), "sag_check.beyond_travel"),
        ((0.0, 0.0), None),
    ],
)
def test_a_reading_from_above_lies_inside_the_travel_too(readings: tuple[float, ...], key: str | None) -> None:
    found = keys(readings_mm=(), readings_from_above_mm=readings)
    assert found == ([] if key is None else [("readings_from_above_mm", key)])


def test_a_reading_beyond_the_travel_is_refused() -> None:
    assert keys(readings_mm=(150.0,)) == [("readings_mm", "sag_check.beyond_travel")]


@pytest.mark.parametrize(
    ("psi", "unit"),
    [
        # A third of 3 bar to three times 4 bar are believable: 1 to 12 bar, or 100 to 1200 kPa.
        (1.0, "bar"),
        (12.0, "bar"),
        (0.99, None),
        (12.01, None),
        (1200.0, "kPa"),
        (1200.1, None),
    ],
)
def test_another_unit_is_likely_where_it_makes_the_number_believable(psi: float, unit: str | None) -> None:
    ((_, said),) = problems((300_000.0, 400_000.0), pressure_pa=psi * PSI_PA)
    assert said.values.get("unit") == unit


def test_a_pressure_is_told_as_it_was_typed_to_a_tenth() -> None:
    ((_, said),) = problems((300_000.0, 400_000.0), pressure_pa=5.26 * PSI_PA)
    assert said.values["typed"] == 5.3


def test_a_shocks_checks_are_counted_without_the_forks() -> None:
    forks = tuple(taken(number) for number in range(30))
    after = with_check(REQUEST, forks, replace(CHECK, end="rear", readings_mm=(16.0,), confirm=True))
    assert [one.check.end for one in after] == ["front"] * 30 + ["rear"]
    shocks = (taken(-1), *(taken(number, end="rear") for number in range(30)))
    after = with_check(REQUEST, shocks, replace(CHECK, end="rear", readings_mm=(16.0,), confirm=True))
    assert [one.check.temperature_c for one in after[:-1]] == [-1, *range(1, 30)]


def test_more_than_are_kept_lose_one_with_each_new_check() -> None:
    many = tuple(taken(number) for number in range(31))
    after = with_check(REQUEST, many, replace(CHECK, confirm=True))
    assert [one.check.temperature_c for one in after[:-1]] == list(range(1, 31))
