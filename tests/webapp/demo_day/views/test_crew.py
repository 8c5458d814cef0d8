"""The crew's screens over HTTP: from a rider to numbers, set and out, back in, undone, and two people at one bike."""

from __future__ import annotations

import re

import pytest

from setup_rules.types.units import PSI_PA
from tests.webapp.demo_day.conftest import Crew, form_of, plain
from webapp.demo_day.actions.list_bikes import bike_events
from webapp.demo_day.actions.set_bike import rider_setup
from webapp.ground.text import numbers


def psi_asked(crew: Crew, bike_id: int, end: int = 0) -> str:
    """Return the pressure that a rider's setup asks for, as every page shows it."""
    with crew.app.app_context():
        saved = rider_setup(crew.bike(bike_id))
        assert saved is not None
        return numbers.psi(saved.setup.ends()[end].pressure_pa)


def test_a_rider_is_set_up_goes_out_and_comes_back(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    assert "Enduro" in plain(crew.page(f"/shop/bikes/{bike}/set-up"))
    page = crew.follow(crew.set_up(bike, "82", "enduro"))
    asked = psi_asked(crew, bike)
    assert f"{asked} psi" in plain(page)
    assert crew.bike(bike).standing == {}, "only set moves what stands on a bike"
    assert crew.bike(bike).turn.state == "being_set"
    listed = crew.follow(crew.press(bike, "set"))
    assert "mira set the bike" in plain(listed)
    out = crew.bike(bike)
    assert out.turn.state == "out"
    assert numbers.psi((out.standing["front"].pressure_psi or 0) * PSI_PA) == asked
    code = out.turn.rider_code
    crew.follow(crew.press(bike, "back"))
    back = crew.bike(bike)
    assert (back.turn.state, back.turn.rider_code, back.standing) == ("back", None, out.standing)
    assert crew.client.get(f"/s/{code}").status_code == 410, "the weight is gone with the rider"
    crew.follow(crew.press(bike, "checked"))
    assert crew.bike(bike).turn.state == "in"


def test_the_next_rider_is_told_each_change_from_what_stands(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    crew.set_up(bike, "95", "enduro")
    heavy = psi_asked(crew, bike)
    crew.press(bike, "set")
    page = plain(crew.follow(crew.set_up(bike, "60", "enduro")))
    light = psi_asked(crew, bike)
    assert f"{heavy} → to {light} psi let out {int(heavy) - int(light)}" in page
    assert "clicks out" in page
    assert "out (quicker)" in page
    crew.press(bike, "set")
    again = plain(crew.follow(crew.set_up(bike, "60", "enduro")))
    assert "Already right. Check the pressure." in again


@pytest.mark.parametrize("kg", ["", "abc", "900", "1,234"])
def test_a_wrong_weight_keeps_the_page_and_what_was_typed(crew: Crew, kg: str) -> None:
    bike = crew.add("7").bike_id
    answer = crew.set_up(bike, kg, "park")
    assert answer.status_code == 422
    assert "Please fix this" in answer.text
    assert f'value="{kg}"' in answer.text
    assert 'value="park" checked' in answer.text
    assert crew.bike(bike).turn.state == "in"


def test_a_heavy_rider_is_one_press_away_from_the_question(crew: Crew) -> None:
    """A phone's numeric pad types no unit, so that the answer has to be a button."""
    bike = crew.add("7").bike_id
    asked = crew.set_up(bike, "130", "park")
    assert "did you mean 130 pounds?" in asked.text
    form = form_of(asked.text, "/set-up")
    answers = re.findall(r'name="rider_mass_kg" value="(130 [a-z]+)"', form)
    assert answers == ["130 lb", "130 kg"]
    assert form.index("<button") < form.index('value="130 lb"'), "Enter answers nothing"
    page = crew.follow(crew.set_up(bike, "130 kg", "park", asked.text))
    assert "being set" in plain(page).lower()


def test_a_bike_for_a_heavy_rider_is_found_after_the_question(crew: Crew) -> None:
    crew.add("7")
    path = "/shop/bikes/free"
    asked = crew.send(crew.page(path), path, rider_mass_kg="130", riding_style="trail")
    assert 'value="130 kg"' in asked.text
    assert crew.send(asked.text, path, rider_mass_kg="130 kg", riding_style="trail").status_code == 200


def test_a_setup_that_no_longer_fits_the_bike_says_so(crew: Crew) -> None:
    """A rider can correct a maximum at home: the screen must not lead round in circles without a word."""
    bike = crew.add("7").bike_id
    crew.set_up(bike, "70")
    code = crew.bike(bike).turn.rider_code
    changed = crew.client.post(f"/s/{code}/what-if", data={"front.max_pressure_psi": "160", "do": "save"})
    assert changed.status_code == 303
    assert "does not fit what is on this bike now" in plain(crew.page(f"/shop/bikes/{bike}/change"))


def test_a_weight_that_few_have_in_kilograms_is_asked_about_and_can_be_answered(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    asked = crew.set_up(bike, "125")
    assert asked.status_code == 422
    buttons = re.findall(r'<button[^>]*name="rider_mass_kg" value="([^"]+)"', asked.text)
    assert buttons == ["125 lb", "125 kg"]
    # The first button of the form answers nothing: Enter asks again instead of taking a rider for half as heavy.
    assert 'name="' not in re.findall(r"<button[^>]*>", form_of(asked.text, "/set-up"))[0]
    fields = {"rider_mass_kg": ["125", "125 kg"], "riding_style": "trail"}
    page = crew.follow(crew.send(form_of(asked.text, "/set-up"), f"/shop/bikes/{bike}/set-up", **fields))  # type: ignore[arg-type]
    assert "125 kg, Trail" in plain(page)


def test_the_screen_says_for_whom_its_numbers_are(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    assert "82 kg, Enduro" in plain(crew.follow(crew.set_up(bike, "82", "enduro")))
    crew.press(bike, "not_done")
    assert "80.5 kg, Trail" in plain(crew.follow(crew.set_up(bike, "177.5 lb")))


@pytest.mark.parametrize("before", ["", "75"])
def test_a_tag_scanned_into_the_weight_opens_its_bike_without_the_weight(crew: Crew, before: str) -> None:
    here, other = crew.add("7").bike_id, crew.add("8")
    answer = crew.set_up(here, f"{before}http://laptop.test/BIKE/{other.tag}")
    page = crew.follow(answer)
    assert answer.location.endswith(f"/shop/bikes/{other.bike_id}/set-up")
    assert 'name="rider_mass_kg" value=""' in page
    assert [crew.bike(one).turn.state for one in (here, other.bike_id)] == ["in", "in"]


def test_one_page_sent_twice_is_one_event(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    page = crew.page(f"/shop/bikes/{bike}/set-up")
    first, again = (crew.set_up(bike, "70", page=page) for _ in range(2))
    assert (first.status_code, again.status_code) == (303, 303)
    shown = crew.page(f"/shop/bikes/{bike}/change")
    assert [crew.press(bike, "set", shown).status_code for _ in range(3)] == [303] * 3
    assert crew.bike(bike).version == 3
    assert crew.page(f"/shop/bikes/{bike}").count("mira set the bike") == 2  # up for a rider, and out


def test_the_second_of_two_people_is_told_who_was_faster(crews: tuple[Crew, Crew]) -> None:
    mira, tom = crews
    bike = mira.add("7").bike_id
    tom_sees = tom.page(f"/shop/bikes/{bike}/set-up")
    mira.set_up(bike, "70")
    late = tom.set_up(bike, "90", page=tom_sees)
    assert late.status_code == 409
    assert "mira set the bike up for a rider, under 1 min ago." in plain(late.text)
    assert mira.bike(bike).turn.by == "mira"
    shown = tom.page(f"/shop/bikes/{bike}/set-up")
    assert "Being set by mira" in plain(shown)
    tom.follow(tom.send(shown, f"/shop/bikes/{bike}/do", do="take_over"))
    assert mira.bike(bike).turn.by == "tom"
    tom.press(bike, "set")
    mira.press(bike, "back")
    assert mira.bike(bike).turn.state == "back"


def test_undo_takes_back_the_last_action_and_no_other(crews: tuple[Crew, Crew]) -> None:
    mira, tom = crews
    bike = mira.add("7").bike_id
    mira.set_up(bike, "70")
    mira.press(bike, "set")
    mira.press(bike, "back")
    mira.set_up(bike, "95")
    before = mira.bike(bike).standing
    listed = mira.follow(mira.press(bike, "set"))
    assert mira.bike(bike).standing != before
    mira.follow(mira.send(listed, f"/shop/bikes/{bike}/do", do="undo", event=_event(listed)))
    undone = mira.bike(bike)
    assert (undone.turn.state, undone.standing) == ("being_set", before)
    assert undone.turn.rider_code is not None
    stale = mira.send(listed, f"/shop/bikes/{bike}/do", do="undo", event=_event(listed))
    assert stale.status_code == 303, "the same page again is done already"
    assert mira.bike(bike).standing == before
    tom.press(bike, "not_done")
    assert mira.bike(bike).turn.rider_code is None


def _event(page: str) -> str:
    from tests.webapp.demo_day.conftest import found

    return found(page, "event")


def test_undoing_back_in_brings_the_bike_out_but_not_the_rider(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    crew.set_up(bike, "70")
    crew.press(bike, "set")
    listed = crew.follow(crew.press(bike, "back"))
    crew.follow(crew.send(listed, f"/shop/bikes/{bike}/do", do="undo", event=_event(listed)))
    assert crew.bike(bike).turn.state == "out"
    assert crew.bike(bike).turn.rider_code is None
    assert "Back in and set up" in plain(crew.page(f"/shop/bikes/{bike}/change"))


def test_an_out_bike_comes_in_and_is_set_up_in_one_tap(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    crew.set_up(bike, "70")
    crew.press(bike, "set")
    code = crew.bike(bike).turn.rider_code
    crew.follow(crew.set_up(bike, "90"))
    now = crew.bike(bike).turn
    assert (now.state, now.rider_code != code) == ("being_set", True)
    assert crew.client.get(f"/s/{code}").status_code == 410


def test_not_done_leaves_the_bike_as_it_stood_and_forgets_the_rider(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    crew.set_up(bike, "70")
    code = crew.bike(bike).turn.rider_code
    assert "Set up" in plain(crew.follow(crew.press(bike, "not_done")))
    assert (crew.bike(bike).turn.state, crew.bike(bike).standing) == ("in", {})
    assert crew.client.get(f"/s/{code}").status_code == 410


def test_a_bike_that_was_not_looked_over_is_still_to_be_after_not_done(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    crew.set_up(bike, "70")
    crew.press(bike, "set")
    crew.press(bike, "back")
    crew.set_up(bike, "90")
    crew.set_up(bike, "95")
    crew.press(bike, "not_done")
    assert crew.bike(bike).turn.state == "back"
    crew.press(bike, "checked")
    crew.set_up(bike, "60")
    crew.set_up(bike, "65")
    crew.press(bike, "not_done")
    assert crew.bike(bike).turn.state == "in"


def test_the_pump_may_say_what_stands_instead(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    crew.set_up(bike, "70")
    shown = crew.page(f"/shop/bikes/{bike}/change")
    read = {"front.pressure_psi": "100"}
    page = plain(crew.follow(crew.send(shown, f"/shop/bikes/{bike}/read", **read)))
    assert f"100 → to {psi_asked(crew, bike)} psi" in page
    shown = crew.page(f"/shop/bikes/{bike}/change")
    too_much = crew.send(shown, f"/shop/bikes/{bike}/read", **{"front.pressure_psi": "170"})
    assert too_much.status_code == 422
    assert "above the maximum" in too_much.text
    assert 'value="170"' in too_much.text
    nothing = crew.send(shown, f"/shop/bikes/{bike}/read")
    assert nothing.status_code == 422


def test_a_sag_check_changes_the_numbers_and_teaches_the_bike_alone(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    crew.set_up(bike, "70")
    answer = crew.press(bike, "set_and_check")
    code = crew.bike(bike).turn.rider_code
    assert answer.location.endswith(f"/s/{code}/sag-check")
    assert crew.bike(bike).turn.state == "being_set"
    stood = crew.bike(bike).standing["front"].pressure_psi
    seen = crew.page(f"/shop/bikes/{bike}/change")
    sag = {"front.pressure_psi": str(stood), "front.readings_mm-0": "40", "base_revision": "1"}
    checked = crew.client.post(f"/s/{code}/sag-check", data=sag)
    assert checked.status_code == 303, plain(checked.text)
    stale = crew.press(bike, "set", seen)
    assert stale.status_code == 409
    assert "A check changed the numbers" in plain(stale.text)
    told = plain(crew.page(checked.location.partition("example")[2] or checked.location))
    assert told.index("Change bike 7") < told.index("Pressure of the fork")  # the way back to the bike comes first
    crew.press(bike, "set")
    assert crew.bike(bike).standing["front"].pressure_psi != stood
    crew.press(bike, "back")
    assert crew.bike(bike).memories["front"].riders == 1
    with crew.app.app_context():
        log = bike_events(crew.shop_id, bike)
    measured = next(one for one in log if one.kind == "sag_check")
    assert measured.detail["front"]["sag_mm"] == 40.0
    assert measured.detail["front"]["pressure_psi"] == stood
    assert "A sag check was saved" in plain(crew.page(f"/shop/bikes/{bike}"))


def test_a_bike_is_set_aside_with_a_reason_and_put_back(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    page = crew.page(f"/shop/bikes/{bike}/set-up")
    assert crew.send(page, f"/shop/bikes/{bike}/aside", reason=" ").status_code == 422
    crew.follow(crew.send(page, f"/shop/bikes/{bike}/aside", reason="bent lever"))
    shown = plain(crew.page(f"/shop/bikes/{bike}/set-up"))
    assert "bent lever" in shown
    assert "Rider weight" not in shown
    assert "bent lever" in plain(crew.page("/shop/bikes"))
    crew.follow(crew.press(bike, "checked"))
    assert crew.bike(bike).turn.state == "in"


def test_a_card_keeps_the_riders_setup(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    crew.set_up(bike, "70")
    code = crew.bike(bike).turn.rider_code
    assert f"/s/{code}/card.pdf" in crew.press(bike, "card").location
    crew.press(bike, "set")
    crew.press(bike, "back")
    assert crew.bike(bike).turn.rider_code is None
    assert crew.client.get(f"/s/{code}").status_code == 200
    crew.set_up(bike, "90")
    assert not crew.bike(bike).turn.has_card


def test_a_limit_stands_first_with_a_free_bike_that_fits(crew: Crew) -> None:
    soft = {"travel_mm": 150, "max_pressure_psi": 60}
    bike = crew.add("7", front=soft, rear=None).bike_id
    other = crew.add("8", front={"travel_mm": 150, "max_pressure_psi": 160}, rear=None)
    page = crew.follow(crew.set_up(bike, "110", "cross_country"))
    said = plain(page)
    assert "60 psi is the maximum. Expect" in said
    assert said.index("60 psi is the maximum") < said.index("Pressure")
    assert "Bike 8 is free and fits" in said
    assert f'/shop/bikes/{other.bike_id}/set-up"' in page
    assert "110" not in plain(crew.page(f"/shop/bikes/{other.bike_id}/set-up")), "the weight never travels along"
