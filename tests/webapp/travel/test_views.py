"""The travel planner over the wire: planned, refused, saved as a revision, and only as one."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from setup_rules import read_request
from webapp.ground.text.sentences import say
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.list_revisions import list_revisions
from webapp.setups.revision import CardTexts

WANTED = {
    "travel_mm": "120",
    "longest_travel_mm": "140",
    "spacer1.size_mm": "10",
    "spacer1.count": "2",
    "spacer2.size_mm": "20",
    "spacer2.count": "2",
    "base": "1",
}
FRONT = {"travel_mm": 100, "longest_travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16}


@pytest.fixture
def code(app: Flask) -> str:
    """The code of a saved setup with a shortened fork."""
    request = read_request({"rider_mass_kg": 123.5, "riding_style": "trail", "front": FRONT})
    with app.app_context():
        return create_setup(request, CardTexts("Heron 4, green")).saved.code


def save(client: FlaskClient, code: str, **changes: str) -> TestResponse:
    """Plan, then press the button that saves what the page shows."""
    page = client.post(f"/s/{code}/travel", data=WANTED | changes).text
    hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', page))
    return client.post(f"/s/{code}/travel", data=WANTED | hidden | changes | {"save": "1"})


def test_the_form_knows_what_the_setup_knows(client: FlaskClient, code: str) -> None:
    page = client.get(f"/s/{code}/travel")
    assert page.status_code == 200
    assert 'name="longest_travel_mm" value="140"' in page.text
    assert 'name="head_angle_deg" value="66"' in page.text
    assert "123.5" not in page.text


def test_a_plan_shows_stacks_numbers_geometry_and_cautions_and_saves_nothing(
    app: Flask, client: FlaskClient, code: str
) -> None:
    page = client.post(f"/s/{code}/travel", data=WANTED)
    assert page.status_code == 200
    fewest, more = page.text.index("Travel spacer 1 × 20 mm"), page.text.index("Travel spacers 2 × 10 mm")
    assert fewest < more
    for words in ("0.9° slacker", "mm higher", "mm longer", "The tyre must not touch the crown, frame or mudguard"):
        assert words in page.text
    assert 'class="plot-before"' in page.text
    with app.app_context():
        assert find_setup(code).latest_number == 1


def test_saving_adds_a_revision_with_the_chosen_stack(app: Flask, client: FlaskClient, code: str) -> None:
    answer = save(client, code, stack="1")
    assert answer.status_code == 303
    with app.app_context():
        saved, first = find_setup(code), find_setup(code, 1)
    assert (saved.number, saved.kind, saved.base_number) == (2, "travel_change", 1)
    assert say(saved.reason) == saved.texts.service_note
    assert saved.texts.service_note == "Fork travel changed from 100 to 120 mm, travel spacers 2 × 10 mm"
    assert saved.setup.front is not None
    assert saved.setup.front.travel_mm == 120
    assert first.setup.front is not None
    assert first.setup.front.travel_mm == 100


def test_what_was_typed_anew_after_planning_is_planned_first(app: Flask, client: FlaskClient, code: str) -> None:
    page = client.post(f"/s/{code}/travel", data=WANTED).text
    hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', page))
    again = client.post(f"/s/{code}/travel", data=WANTED | hidden | {"travel_mm": "130", "save": "1"})
    assert again.status_code == 200
    assert "You changed an input" in again.text
    assert "Plan for 130 mm of travel" in again.text
    with app.app_context():
        assert find_setup(code).latest_number == 1


def test_two_who_plan_at_once_do_not_overwrite_each_other(app: Flask, client: FlaskClient, code: str) -> None:
    page = client.post(f"/s/{code}/travel", data=WANTED | {"travel_mm": "110"}).text
    hidden = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', page))
    assert save(client, code).status_code == 303
    late = client.post(f"/s/{code}/travel", data=WANTED | hidden | {"travel_mm": "110", "save": "1"})
    assert late.status_code == 409
    with app.app_context():
        assert len(list_revisions(code)) == 2


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"travel_mm": ""}, "travel_mm", "is required"),
        ({"travel_mm": "130", "frame_limit_mm": "120"}, "travel_mm", "the frame&#39;s manual allows"),
        ({"travel_mm": "130", "unit_limit_mm": "125"}, "travel_mm", "the fork&#39;s manual allows"),
        ({"travel_mm": "150"}, "travel_mm", "without spacers"),
        ({"travel_mm": "100"}, "travel_mm", "already"),
        ({"longest_travel_mm": "90", "travel_mm": "80"}, "longest_travel_mm", "The fork has 100 mm now"),
        ({"spacer3.size_mm": "5"}, "spacer3.count", "enter the quantity"),
        ({"spacer3.count": "5"}, "spacer3.size_mm", "enter the size"),
        ({"spacer1.count": "2,5"}, "spacer1.count", "whole number"),
        ({"wheelbase_mm": "12"}, "wheelbase_mm", "is outside"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(
    client: FlaskClient, code: str, changes: dict[str, str], field: str, words: str
) -> None:
    page = client.post(f"/s/{code}/travel", data=WANTED | changes)
    assert page.status_code == 422
    assert f'href="#{field}"' in page.text
    assert words in page.text


def test_spacers_that_do_not_add_up_get_the_nearest_travels(client: FlaskClient, code: str) -> None:
    page = client.post(f"/s/{code}/travel", data=WANTED | {"travel_mm": "115"})
    assert page.status_code == 200
    assert "110 mm: travel spacers 1 × 20 mm + 1 × 10 mm" in page.text
    assert "120 mm: travel spacer 1 × 20 mm" in page.text
    assert 'name="save"' not in page.text
    assert save(client, code, travel_mm="115").status_code == 422


def test_equal_sizes_in_two_rows_are_added_up(client: FlaskClient, code: str) -> None:
    rows = {"spacer1.count": "1", "spacer2.size_mm": "10", "spacer2.count": "1"}
    page = client.post(f"/s/{code}/travel", data=WANTED | rows)
    assert "Travel spacers 2 × 10 mm" in page.text


def test_a_setup_without_a_fork_says_so(app: Flask, client: FlaskClient) -> None:
    rear = {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}
    with app.app_context():
        code = create_setup(read_request({"rider_mass_kg": 78, "riding_style": "trail", "rear": rear})).saved.code
    assert "has no fork" in client.get(f"/s/{code}/travel").text
    assert client.post(f"/s/{code}/travel", data=WANTED).status_code == 422


def test_the_pressure_before_is_explained_where_the_longest_travel_is_new(app: Flask, client: FlaskClient) -> None:
    front = {"travel_mm": 100, "stanchion_mm": 34}
    with app.app_context():
        code = create_setup(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front})).saved.code
    assert "It did not include the maximum travel of 140 mm" in client.post(f"/s/{code}/travel", data=WANTED).text


def test_a_page_open_too_long_loses_nothing(make_app: Callable[..., Flask]) -> None:
    app = make_app(WTF_CSRF_ENABLED=True)
    with app.app_context():
        request: dict[str, Any] = {"rider_mass_kg": 78, "riding_style": "trail", "front": FRONT}
        code = create_setup(read_request(request)).saved.code
    page = app.test_client().post(f"/s/{code}/travel", data=WANTED | {"save": "1"})
    assert page.status_code == 422
    assert "open for too long" in page.text
    assert 'name="travel_mm" value="120"' in page.text
    with app.app_context():
        assert find_setup(code).latest_number == 1


def test_a_link_that_is_gone_plans_nothing(app: Flask, client: FlaskClient) -> None:
    with app.app_context():
        made = create_setup(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": FRONT}))
        assert made.owner_key is not None
        delete_setup(made.owner_key)
    path = f"/s/{made.saved.code}/travel"
    assert client.get(path).status_code == 410
    assert client.post(path, data=WANTED).status_code == 410
    assert client.get(f"/s/{'0' * 26}/travel").status_code == 404
