"""The forms on a saved setup: what was typed, read into a check, a report or a change."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import pytest
from flask import Flask

from setup_rules import Problem, Setup, read_request, recommend, what_if
from setup_rules.types.feedback import FELT as RULES_FELT
from setup_rules.types.feedback import SEEN as RULES_SEEN
from setup_rules.types.units import PSI_PA
from webapp.checks.forms import check_forms as corrections_forms
from webapp.checks.forms.check_forms import MEASURED, BounceForm, RideForm, chosen_end
from webapp.checks.forms.restore_form import revision_number
from webapp.checks.forms.sag_form import MOST_READINGS, SagCheckForm
from webapp.checks.forms.what_if_form import WhatIfForm

Fill = Callable[..., Any]


@pytest.fixture
def setup(whole_request: dict[str, Any]) -> Setup:
    """A setup for both ends."""
    return recommend(read_request(whole_request))


@pytest.fixture
def filled(app: Flask, setup: Setup) -> Iterator[Fill]:
    """Return a form as a browser sends it; without entries as it is first shown."""
    contexts = []

    def fill(kind: type, entries: Mapping[str, str] | None, *, end: str = "front") -> Any:
        method = "GET" if entries is None else "POST"
        context = app.test_request_context("/", method=method, data=entries)
        context.push()
        contexts.append(context)
        return kind(setup, 3) if kind in (WhatIfForm, SagCheckForm) else kind(setup, end, 3)

    yield fill
    for context in reversed(contexts):
        context.pop()


def sag(filled: Fill, entries: dict[str, str], *, end: str = "front") -> Any:
    """Return the sag check's form with a usable pressure of one end and what else was typed of it."""
    whole = {"temperature_c", "base_revision", "idempotency_key", "confirm"}
    typed = {"pressure_psi": "84", **entries}
    return filled(SagCheckForm, {key if key in whole else f"{end}.{key}": text for key, text in typed.items()})


def test_the_empty_sag_check_asks_for_the_pressure_anew(filled: Fill) -> None:
    form = filled(SagCheckForm, None)
    assert [form[name].form.pressure_psi.text for name in form.names] == ["", ""]
    assert form.base == 3


def test_both_ends_are_read_at_once_and_each_alone(filled: Fill) -> None:
    front = {"front.pressure_psi": "84", "front.readings_mm-0": "31"}
    rear = {"rear.pressure_psi": "180", "rear.readings_mm-0": "16", "rear.datum": "wheel_off_ground"}
    assert [check.end for check in filled(SagCheckForm, front).read()] == ["front"]
    one, other = filled(SagCheckForm, front | rear | {"confirm": "y"}).read()
    assert (one.end, one.datum, one.confirm) == ("front", "bike_at_rest", True)
    assert (other.end, other.datum, other.readings_mm) == ("rear", "wheel_off_ground", (16,))


def test_nothing_typed_of_either_end_is_refused(filled: Fill) -> None:
    form = filled(SagCheckForm, {})
    assert form.read() is None
    assert form.problems() == [("front.readings_mm", "Enter at least one sag reading.")]


def test_readings_are_read_in_mm_in_other_units_and_as_a_share_of_the_travel(filled: Fill) -> None:
    entries = {"readings_mm-0": "31,5", "readings_mm-1": "3.1 cm", "readings_mm-2": "1.25 in"}
    (check,) = sag(filled, entries).read()
    assert check.readings_mm == pytest.approx((31.5, 31, 31.75))
    (share,) = sag(filled, {"readings_mm-0": "22 %"}).read()
    assert share.readings_mm == pytest.approx((0.22 * 140,))
    (rear,) = sag(filled, {"readings_mm-0": "30%"}, end="rear").read()
    assert (rear.end, rear.readings_mm) == ("rear", pytest.approx((0.30 * 55,)))


def test_readings_from_either_side_stay_apart(filled: Fill) -> None:
    (check,) = sag(filled, {"readings_from_above_mm-0": "28", "readings_from_below_mm-2": "34"}).read()
    assert (check.readings_mm, check.readings_from_above_mm, check.readings_from_below_mm) == ((), (28,), (34,))


@pytest.mark.parametrize(("typed", "psi"), [("84", 84), ("5,8 bar", 5.8e5 / PSI_PA), ("579 kPa", 579e3 / PSI_PA)])
def test_a_pressure_is_read_in_any_unit(filled: Fill, typed: str, psi: float) -> None:
    (check,) = sag(filled, {"readings_mm-0": "31", "pressure_psi": typed}).read()
    assert check.pressure_pa == pytest.approx(psi * PSI_PA)


def test_other_air_is_only_said_where_it_was_typed(filled: Fill) -> None:
    assert sag(filled, {"readings_mm-0": "31"}).read()[0].temperature_c is None
    assert sag(filled, {"readings_mm-0": "31", "temperature_c": "41 °F"}).read()[0].temperature_c == pytest.approx(5)


def test_an_unreadable_reading_is_kept_and_named_with_its_number(filled: Fill) -> None:
    form = sag(filled, {"readings_mm-0": "31", "readings_mm-1": "1,234"})
    assert form.read() is None
    ((where, sentence),) = form.problems()
    assert where == "front.readings_mm-1"
    assert sentence.startswith("Reading 2 (fork):")
    assert form.front.form.readings_mm[1].text == "1,234"


def test_what_the_rules_say_of_readings_stands_at_their_group(filled: Fill) -> None:
    form = sag(filled, {"readings_mm-0": "31"})
    form.refuse_all([Problem("front.readings_mm", "Too far apart."), Problem("end", "No such end.")])
    assert form.problems() == [("", "No such end."), ("front.readings_mm", "Too far apart.")]


def test_a_pressure_is_needed(filled: Fill) -> None:
    form = filled(SagCheckForm, {"front.readings_mm-0": "31", "front.pressure_psi": " "})
    assert form.read() is None
    assert form.problems()[0][0] == "front.pressure_psi"


def test_more_readings_than_there_are_boxes_are_not_taken(filled: Fill) -> None:
    form = sag(filled, {f"readings_mm-{n}": "31" for n in range(40)})
    assert len(form.read()[0].readings_mm) == MOST_READINGS


@pytest.mark.parametrize("text", ["", "0", "-3", "x", "1" * 30, None])
def test_a_base_that_names_no_revision_is_none(filled: Fill, text: str | None) -> None:
    entries = {"readings_mm-0": "31"} if text is None else {"readings_mm-0": "31", "base_revision": text}
    assert sag(filled, entries).base is None


def test_the_same_page_sent_twice_has_one_key_and_a_changed_entry_another(filled: Fill) -> None:
    def key_of(page: str, reading: str) -> str:
        form = sag(filled, {"readings_mm-0": reading, "idempotency_key": page})
        return str(form.submission_key(form.read()))

    assert key_of("page", "31") == key_of("page", "31.0")
    assert len({key_of("page", "31"), key_of("page", "32"), key_of("other page", "31")}) == 3


def test_everything_the_rules_know_of_can_be_chosen_and_nothing_else() -> None:
    assert {value for value, _label, _line in corrections_forms.SEEN} == set(RULES_SEEN) | {MEASURED}
    assert [value for value, _label, _line in corrections_forms.FELT] == list(RULES_FELT)


def test_each_feeling_is_asked_for_on_one_stretch_of_the_ride(filled: Fill) -> None:
    parts = filled(RideForm, None).parts()
    assert sorted(value for part in parts for value, _label, _line in part.choices) == sorted(RULES_FELT)
    assert [part.key for part in parts] == ["braking", "bumps", "corners", "landings", "big_hits", "all"]


def test_what_was_seen_needs_no_numbers(filled: Fill) -> None:
    check = filled(BounceForm, {"clicks_out": "8", "seen": "about_right"}).read()
    assert (check.seen, check.clicks_out, check.dip_mm) == ("about_right", 8, None)


@pytest.mark.parametrize(("style", "rise"), [("cross_country", 18), ("trail", 14), ("downhill", 10)])
def test_the_bounce_check_names_the_swing_that_the_riding_style_aims_at(
    app: Flask, setup: Setup, style: str, rise: int
) -> None:
    with app.test_request_context("/"):
        form = BounceForm(what_if(setup, {"riding_style": style}) if style != "trail" else setup, "front", 3)
        assert f"Pushed down 60 mm, that is about {rise} mm." in form.seen.hint


def test_numbers_stand_for_what_was_seen_also_when_nothing_was_chosen(filled: Fill) -> None:
    dip = filled(BounceForm, {"clicks_out": "8", "seen": MEASURED, "dip_mm": "6 cm", "beyond_mm": "12"}).read()
    assert (dip.seen, dip.dip_mm, dip.beyond_mm) == (None, 60, 12)


@pytest.mark.parametrize("entries", [{}, {"seen": MEASURED}, {"seen": "nonsense"}])
def test_a_bounce_check_without_an_answer_says_where_to_give_one(filled: Fill, entries: dict[str, str]) -> None:
    form = filled(BounceForm, {"clicks_out": "8", **entries})
    assert form.read() is None
    assert [where for where, _sentence in form.problems()] == ["seen"]


def test_a_ride_takes_ticks_travel_and_hits(filled: Fill) -> None:
    entries: Any = {"felt": ["dives", "wallows", "dives"], "travel_used_mm": "85 %", "hard_hits": "2"}
    report = filled(RideForm, entries).read()
    assert report.felt == ("dives", "wallows")
    assert (report.travel_used_mm, report.hard_hits) == (pytest.approx(119), 2)


def test_a_feeling_that_is_not_listed_is_refused(filled: Fill) -> None:
    form = filled(RideForm, {"felt": "nonsense"})
    assert form.read() is None
    assert [where for where, _sentence in form.problems()] == ["felt"]


def test_the_page_is_about_the_end_of_its_address_or_the_first(setup: Setup) -> None:
    assert [chosen_end(setup, text) for text in ("rear", "front", None, "x")] == ["rear", "front", "front", "front"]


def test_only_what_was_filled_in_is_changed(filled: Fill) -> None:
    form = filled(WhatIfForm, {"riding_style": "trail", "kit_mass_kg": "12", "front.volume_spacers": "1"})
    assert form.read() == {"kit_mass_kg": 12, "front": {"volume_spacers": 1}}


def test_a_value_typed_as_it_is_already_is_no_change(filled: Fill) -> None:
    form = filled(WhatIfForm, {"riding_style": "trail", "bench.temperature_c": "20"})
    assert form.read() is None
    assert form.problems()[0][1].startswith("You have not changed anything.")


def test_the_weights_of_rider_and_kit_are_never_offered(filled: Fill, setup: Setup) -> None:
    form = filled(WhatIfForm, None)
    for field, kg in ((form.rider_mass_kg, setup.request.rider_mass_kg), (form.kit_mass_kg, setup.request.kit_mass_kg)):
        assert field.text == ""
        assert f"{kg:g}" not in str(field.hint)


def test_an_own_target_can_be_given_back_to_the_riding_style(filled: Fill) -> None:
    form = filled(WhatIfForm, {"riding_style": "enduro", "front.by_style": "y"})
    assert form.own_target("front")
    assert form.read() == {"riding_style": "enduro", "front": {"sag_target_percent": None}}


@pytest.mark.parametrize(("style", "changes"), [("trail", {}), ("downhill", {"riding_style": "downhill"})])
def test_a_style_that_nobody_touched_is_the_one_that_was_saved_meanwhile(
    filled: Fill, setup: Setup, style: str, changes: dict[str, str]
) -> None:
    form = filled(WhatIfForm, {"riding_style": style, "kit_mass_kg": "12"})
    form.build_on(4, what_if(setup, {"riding_style": "enduro", "kit_mass_kg": 6}))
    assert form.read() == {"kit_mass_kg": 12, **changes}
    assert form.base == 4


def test_a_bike_ridden_where_it_is_pumped_moves_with_its_pump(app: Flask, whole_request: dict[str, Any]) -> None:
    del whole_request["ride"]
    here = recommend(read_request(whole_request))
    with app.test_request_context("/", method="POST", data={"riding_style": "trail", "bench.temperature_c": "-5"}):
        form = WhatIfForm(here, 1)
        assert form.ridden_here
        assert form.read() == {"bench": {"temperature_c": -5}, "ride": {"temperature_c": -5}}


@pytest.mark.parametrize(("text", "number"), [("3", 3), (" 12 ", 12), ("0", None), ("-1", None), ("x", None)])
def test_a_revision_is_a_whole_number_from_one(text: str, number: int | None) -> None:
    assert revision_number(text) == number


@pytest.mark.parametrize("text", ["", "x" * 1_000, "\x00", "nan", "9**9", "٨٢", "1e400", "-5"])
def test_no_text_in_any_field_raises(filled: Fill, text: str) -> None:
    for kind in (SagCheckForm, BounceForm, RideForm, WhatIfForm):
        blank = filled(kind, None)
        names = [field.name for field in blank.inputs() if field.name != "csrf_token"]
        assert len(names) >= 5
        form = filled(kind, dict.fromkeys(names, text))
        read = form.read()
        assert (read is None) == bool(form.problems())
