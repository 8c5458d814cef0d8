"""The strings of a saved setup's page."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from setup_rules import SagCheck, apply_sag_check, read_request, recommend
from setup_rules.types.units import PSI_PA
from webapp.ground.text import numbers
from webapp.ground.text.phrases import pump_range_pa
from webapp.setups.pages.setup_page import SetupPage, present_setup
from webapp.setups.revision import CardTexts, Revision


def saved(data: dict[str, Any], **changes: Any) -> Revision:
    """Return a saved setup for a request, first revision unless changed."""
    setup = recommend(read_request(data))
    given: dict[str, Any] = {
        "code": "01110123456789ABCDEFGHJKMN",
        "created_at": datetime(2026, 3, 7, 9, 0, tzinfo=UTC),
        "setup": setup,
        "reason": "First setup",
    }
    return Revision(**{**given, **changes})


@pytest.fixture
def page(whole_request: dict[str, Any]) -> SetupPage:
    """The page of a setup for both ends, bench and ride apart."""
    return present_setup(saved(whole_request))


def test_front_comes_first_and_each_end_is_named_by_word_and_place(page: SetupPage) -> None:
    assert [(end.heading, end.place) for end in page.ends] == [("Fork", "front"), ("Shock", "rear")]
    assert [end.installed for end in page.ends] == ["140 mm travel", "55 mm stroke"]


def test_the_large_numbers_are_those_of_the_rules(whole_request: dict[str, Any]) -> None:
    kept = saved(whole_request)
    for shown, end in zip(present_setup(kept).ends, kept.setup.ends(), strict=True):
        assert shown.pressure is not None
        assert float(shown.pressure.value) == pytest.approx(end.pressure_pa / PSI_PA, abs=0.5)
        bar = float(shown.pressure.second.removesuffix(" bar"))
        assert bar == pytest.approx(float(shown.pressure.value) * PSI_PA / 1e5, abs=0.05)
        assert float(shown.sag.value) == pytest.approx(end.sag_target_mm, abs=0.25)
        assert end.rebound is not None
        assert (shown.rebound_out, shown.rebound_total) == (str(end.rebound.out), str(end.rebound.total))
        low, high = pump_range_pa(end)
        cut = end.pressure_high_pa > end.max_pressure_pa
        words = f"need {numbers.psi(low)} psi or more" if cut else numbers.psi_range(low, high)
        assert words in shown.pressure_range
        assert numbers.mm_range(end.sag_low_mm, end.sag_high_mm) in shown.sag_range


def test_the_range_is_that_of_its_kind_until_its_own_sag_was_measured(whole_request: dict[str, Any]) -> None:
    kept = saved(whole_request)
    checked = apply_sag_check(kept.setup, SagCheck(end="rear", pressure_pa=200 * PSI_PA, readings_mm=(16.0,)))
    ends = present_setup(replace(kept, setup=checked)).ends
    assert [end.pressure_range.split(" need")[0] for end in ends] == [
        "Most forks like this",
        "By your sag checks, this shock",
    ]


def test_target_sag_is_given_in_per_cent_too(page: SetupPage) -> None:
    assert [(end.sag.value, end.sag_percent) for end in page.ends] == [("28", "20"), ("16.5", "30")]


def test_rear_sag_is_also_said_as_wheel_travel(page: SetupPage) -> None:
    front, rear = page.ends
    assert front.sag_wheel == ""
    assert "of 146 mm" in rear.sag_wheel  # 55 mm × (2.9 + 2.4) / 2 = 145.75 mm


def test_an_entered_maximum_is_a_fact_and_a_missing_one_is_marked_as_assumed(page: SetupPage) -> None:
    front, rear = (dict(end.facts) for end in page.ends)
    assert front["Maximum pressure"] == "150 psi (10.3 bar)"
    assert rear["Maximum pressure"].endswith("our estimate: check the fork or shock")


def test_the_steps_hold_the_numbers_in_the_order_of_the_work(page: SetupPage) -> None:
    front, rear = page.ends
    pump, sag, clicks = page.stages
    assert [stage.heading for stage in page.stages] == ["Pump", "Measure sag", "Clicks"]
    assert [[end.heading for end in stage.ends] for stage in page.stages] == [["Fork", "Shock"]] * 3
    for place, end in enumerate((front, rear)):
        assert end.pressure is not None
        short = f"Set {end.pressure.short}"
        order = [f"{short} ({end.pressure.second})", "5 to 10 times", short]
        assert [words in step for words, step in zip(order, pump.ends[place].steps, strict=True)] == [True] * 3
        assert "30 seconds" in sag.ends[place].steps[0]
        assert any(f"On the ride the target is {end.sag.value} mm" in step for step in sag.ends[place].steps)
        assert any(f"{end.rebound_out} clicks" in step for step in clicks.ends[place].steps)


def test_clicks_that_were_not_counted_are_said_to_be_assumed(whole_request: dict[str, Any]) -> None:
    del whole_request["rear"]["rebound_clicks"]
    front, rear = present_setup(saved(whole_request)).ends
    assert "not entered" in rear.rebound_note
    assert "not entered" not in front.rebound_note


def test_a_pressure_held_at_its_maximum_is_warned_of_above_the_numbers(whole_request: dict[str, Any]) -> None:
    whole_request["front"]["max_pressure_psi"] = 60
    front = present_setup(saved(whole_request)).ends[0]
    assert front.pressure is not None
    assert (front.pressure.value, front.likely) == ("60", "limited")
    assert any("maximum" in sentence for sentence in front.warnings)


@pytest.mark.parametrize("bound", ["max_pressure_psi", "min_pressure_psi"])
def test_no_pressure_beyond_the_units_limits_is_shown_as_one_to_pump(whole_request: dict[str, Any], bound: str) -> None:
    free = present_setup(saved(whole_request)).ends[0]
    assert free.pressure is not None
    limit = round(free.pressure.number) + (2 if bound.startswith("max") else -2)
    whole_request["front"][bound] = limit
    kept = saved(whole_request)
    assert kept.setup.front is not None
    band = (kept.setup.front.pressure_low_pa, kept.setup.front.pressure_high_pa)
    assert band[0] < limit * PSI_PA < band[1]
    assert not kept.setup.front.limited
    page = present_setup(kept)
    reason = next(
        line.message for group in page.reasons for line in group.lines if "orks like this need" in line.message
    )
    for text in (page.ends[0].pressure_range, reason):
        shown = [int(number) for number in re.findall(r"(?<![.\d])(\d+)(?= psi|–\d+ psi| to \d+ psi)", text)]
        assert limit in shown
        assert all(number <= limit if bound.startswith("max") else number >= limit for number in shown)


def test_one_box_holds_the_cautions_of_all_and_says_which_end_the_others_are_about(page: SetupPage) -> None:
    whose = [caution.whose for caution in page.cautions]
    assert whose[0] == ""
    assert "Shock" in whose
    assert whose == sorted(whose, key=["", "Fork", "Shock"].index)


def test_the_conditions_are_said_when_bench_and_ride_differ(page: SetupPage, whole_request: dict[str, Any]) -> None:
    assert (page.bench, page.ride) == ("20 °C, 300 m", "8 °C, 1400 m")
    assert "Out on the ride" in dict(page.ends[0].facts)
    del whole_request["ride"]
    alike = present_setup(saved(whole_request))
    assert alike.ride == ""
    assert "Out on the ride" not in dict(alike.ends[0].facts)


def test_every_reason_and_every_caution_of_the_rules_is_on_the_page(whole_request: dict[str, Any]) -> None:
    kept = saved(whole_request)
    page = present_setup(kept)
    lines = [line for group in page.reasons for line in group.lines]
    assert sorted(line.message for line in lines) == sorted(note.message for note in kept.setup.reasons)
    said = [*(c.said for c in page.cautions), *(c for end in page.ends for c in end.warnings)]
    assert sorted(said) == sorted(note.message for note in kept.setup.cautions)


def test_the_plot_says_in_words_and_rows_what_it_draws(page: SetupPage) -> None:
    plot = page.ends[0].plot
    assert "the sag from there is 28 mm" in plot.description
    assert len(plot.rows) == 11
    assert (plot.rows[0][0], plot.rows[-1][0]) == ("0", "140")
    force = {row[0]: float(row[1]) for row in plot.rows}
    load = float(plot.rows[2][2])
    # The gap of 28 mm starts where the bike rests without its rider: there and 28 mm on, the spring carries the load.
    rider_mm = plot.rest_mm + 28
    assert 28 < rider_mm < 42
    carried = force["28"] + (force["42"] - force["28"]) * (rider_mm - 28) / 14
    assert carried == pytest.approx(load, rel=0.02)


def test_the_title_is_the_bike_and_an_old_revision_is_known_as_one(whole_request: dict[str, Any]) -> None:
    page = present_setup(saved(whole_request, texts=CardTexts("blue trail bike"), latest_number=3))
    assert page.title == "blue trail bike"
    assert page.saved_on == "7 March 2026"
    assert not page.is_latest
