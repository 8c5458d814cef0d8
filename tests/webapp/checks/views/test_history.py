"""The history over HTTP: lines, two revisions side by side, and the way back."""

from __future__ import annotations

import html
import re

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import text
from werkzeug.test import TestResponse

from webapp.ground.database.engine import database
from webapp.setups.actions.append_revision import MOST_REVISIONS

FORK = {"rider_mass_kg": "82", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "140"}


def text_of(answer: TestResponse) -> str:
    """Return the page's text without tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.get_data(as_text=True))).split())


def pressure_of(client: FlaskClient, place: str) -> str:
    """Return the large pressure on a setup's page."""
    return re.findall(r'<span class="big">([\d.]+)</span> psi', client.get(place).get_data(as_text=True))[0]


@pytest.fixture
def path(client: FlaskClient) -> str:
    """The path of a setup with two revisions: as first saved, and after a sag check."""
    made = str(client.post("/", data=FORK).headers["Location"])
    assert (
        client.post(f"{made}/sag-check", data={"front.pressure_psi": "84", "front.readings_mm-0": "38"}).status_code
        == 303
    )
    return made


def button(client: FlaskClient, path: str, revision: int) -> dict[str, str]:
    """Return what the button beside a revision sends."""
    page = client.get(f"{path}/history").get_data(as_text=True)
    forms = [form.split("</form>")[0] for form in page.split('<form method="post"')[1:]]
    for form in forms:
        entries = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', form))
        if entries.get("revision") == str(revision):
            return entries
    raise AssertionError(f"no button for revision {revision}")


def test_the_history_tells_what_changed_and_why_newest_first(client: FlaskClient, path: str) -> None:
    text = text_of(client.get(f"{path}/history"))
    assert text.index("Sag check of the fork") < text.index("First setup")
    assert "measured 38 mm at 84 psi, target 31.5 mm" in text
    assert 'aria-labelledby="track-front-title' in client.get(f"{path}/history").get_data(as_text=True)


def test_a_setup_with_one_revision_has_a_history_without_curves(client: FlaskClient) -> None:
    made = client.post("/", data=FORK).headers["Location"]
    page = client.get(f"{made}/history").get_data(as_text=True)
    assert "First setup" in page
    assert "<svg" not in page


def test_an_earlier_revision_comes_back_as_a_new_one(client: FlaskClient, path: str) -> None:
    first, second = pressure_of(client, f"{path}/1"), pressure_of(client, f"{path}/2")
    assert first != second
    sent = client.post(f"{path}/restore", data=button(client, path, 1))
    assert sent.headers["Location"] == f"{path}/3/answer"
    assert "Restored version 1" in text_of(client.get(f"{path}/3/answer"))
    assert pressure_of(client, path) == first
    assert pressure_of(client, f"{path}/2") == second


def test_pressing_twice_brings_it_back_once(client: FlaskClient, path: str) -> None:
    entries = button(client, path, 1)
    places = {client.post(f"{path}/restore", data=entries).headers["Location"] for _tap in range(2)}
    assert places == {f"{path}/3/answer"}
    assert client.get(f"{path}/4").status_code == 404


def test_who_was_slower_is_told_and_can_press_again(client: FlaskClient, path: str) -> None:
    entries = button(client, path, 1)
    client.post(f"{path}/what-if", data={"riding_style": "enduro", "do": "save"})
    told = client.post(f"{path}/restore", data=entries)
    assert told.status_code == 409
    assert "Version 3 was saved" in text_of(told)
    assert client.post(f"{path}/restore", data=button(client, path, 1)).headers["Location"] == f"{path}/4/answer"


@pytest.mark.parametrize("revision", ["", "x", "0", "-1", "2"])
def test_what_cannot_come_back_is_refused_with_a_sentence(client: FlaskClient, path: str, revision: str) -> None:
    answer = client.post(f"{path}/restore", data=button(client, path, 1) | {"revision": revision})
    assert answer.status_code == 422
    assert "Please fix this" in text_of(answer)
    assert client.get(f"{path}/3").status_code == 404


def test_a_revision_that_never_was_is_not_found(client: FlaskClient, path: str) -> None:
    assert client.post(f"{path}/restore", data={"revision": "99"}).status_code == 404


def test_two_revisions_stand_side_by_side(client: FlaskClient, path: str) -> None:
    text = text_of(client.get(f"{path}/compare?a=1&b=2"))
    assert "Version 1 compared with version 2" in text
    assert f"{pressure_of(client, f'{path}/1')} psi" in text
    assert f"{pressure_of(client, f'{path}/2')} psi" in text
    assert "psi more" in text
    assert "psi less" in text_of(client.get(f"{path}/compare?a=2&b=1"))


def test_without_numbers_the_newest_stands_beside_the_one_before(client: FlaskClient, path: str) -> None:
    for query in ("", "?a=&b=", "?a=1", "?b=2"):
        assert "Version 1 compared with version 2" in text_of(client.get(f"{path}/compare{query}"))
    assert "All numbers are the same" in text_of(client.get(f"{path}/compare?a=2&b=2"))


@pytest.mark.parametrize(
    "query", ["a=x&b=-1", "a=0", "b=0", "a=1&b=99", "a=1&b=1.0", "a=٢&b=1", "a=1&b=" + "9" * 5_000]
)
def test_a_version_that_cannot_be_compared_is_said(client: FlaskClient, path: str, query: str) -> None:
    answer = client.get(f"{path}/compare?{query}")
    assert answer.status_code == 404
    assert "This setup has no version" in text_of(answer)


def grow(app: Flask, code: str, revisions: int) -> None:
    """Copy the newest revision until there are as many as asked for."""
    with app.app_context(), database.write() as connection:
        row = connection.exec_driver_sql("SELECT * FROM revision ORDER BY number DESC LIMIT 1").mappings().one()
        for number in range(row["number"] + 1, revisions + 1):
            values = dict(row) | {"id": 10_000 + number, "number": number, "base_number": number - 1}
            values |= {"idempotency_key": None, "fingerprint": None}
            names = ", ".join(values)
            marks = ", ".join(f":{name}" for name in values)
            connection.execute(text(f"INSERT INTO revision ({names}) VALUES ({marks})"), values)  # noqa: S608
    assert code


@pytest.mark.sqlite
def test_a_long_history_comes_in_pages_of_bounded_size(app: Flask, client: FlaskClient, path: str) -> None:
    grow(app, path, 400)
    newest, oldest = client.get(f"{path}/history"), client.get(f"{path}/history?page=8")
    assert len(newest.data) < 200_000
    assert "Version 400" in text_of(newest)
    assert "Version 350 " not in text_of(newest)
    assert f'href="{path}/history?page=2"' in newest.text
    assert "First setup" in text_of(oldest)
    for page in ("9", "0", "x", "9" * 5_000):
        assert client.get(f"{path}/history?page={page}").status_code == 200


@pytest.mark.sqlite
def test_a_setup_with_very_many_versions_takes_no_more(app: Flask, client: FlaskClient, path: str) -> None:
    grow(app, path, MOST_REVISIONS)
    told = client.post(f"{path}/sag-check", data={"front.pressure_psi": "84", "front.readings_mm-0": "36"})
    assert told.status_code == 409
    assert "Make a new setup" in text_of(told)
    body = {"end": "front", "pressure_psi": 84, "readings_mm": [36]}
    refused = client.post(f"/api/v1/setups/{path[3:]}/sag-checks", json=body)
    assert refused.status_code == 409
    assert client.get(f"{path}/{MOST_REVISIONS + 1}").status_code == 404
