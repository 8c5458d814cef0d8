"""The form, the page of a saved setup, and the box that opens a card, over HTTP."""

from __future__ import annotations

import html
import re
from collections.abc import Callable

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

BOTH = {
    "rider_mass_kg": "180 lb",
    "riding_style": "trail",
    "front.wanted": "y",
    "front.travel_mm": "140",
    "front.rebound_clicks": "16",
    "rear.wanted": "y",
    "rear.stroke_mm": "55",
    "rear.wheel_travel_mm": "145",
    "bike_label": "blue trail bike",
    "service_note": "air spring serviced",
}


def text_of(answer: TestResponse) -> str:
    """Return the page's text without tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.get_data(as_text=True))).split())


def value_of(page: str, name: str) -> str:
    """Return what the input `name` holds."""
    found = re.search(rf'<input[^>]* name="{re.escape(name)}" value="([^"]*)"', page)
    assert found, name
    return html.unescape(found[1])


def save(client: FlaskClient, **changes: str) -> str:
    """Save a setup and return its path."""
    answer = client.post("/", data=BOTH | changes)
    assert answer.status_code == 303
    return str(answer.headers["Location"])


def test_the_form_is_empty_and_its_key_differs_from_visit_to_visit(client: FlaskClient) -> None:
    pages = [client.get("/").get_data(as_text=True) for _visit in range(2)]
    assert [value_of(page, "rider_mass_kg") for page in pages] == ["", ""]
    keys = [value_of(page, "idempotency_key") for page in pages]
    assert keys[0] != keys[1]
    assert all(len(key) >= 20 for key in keys)


def test_asking_for_the_headers_alone_works_like_asking_for_the_form(client: FlaskClient) -> None:
    assert client.head("/").status_code == 200


def test_an_earlier_visitors_entries_never_show_in_the_empty_form(client: FlaskClient) -> None:
    client.post("/", data=BOTH | {"rider_mass_kg": "nonsense", "bike_label": "somebody's bike"})
    page = client.get("/").get_data(as_text=True)
    assert "somebody" not in page
    assert "nonsense" not in page


def test_a_filled_form_is_saved_and_leads_to_its_three_numbers(client: FlaskClient) -> None:
    page = text_of(client.get(save(client)))
    for words in ("blue trail bike", "Start pressure", "Target sag", "Rebound", "Fork front", "Shock rear"):
        assert words in page
    assert "air spring serviced" in page
    assert "31.5 mm 22.5 %" in page  # the middle of 20 to 25 % of 140 mm


def test_the_page_of_a_setup_leads_to_its_card_and_holds_its_link(client: FlaskClient) -> None:
    path = save(client)
    page = client.get(path).get_data(as_text=True)
    assert f'href="{path}/card.pdf"' in page
    assert f'href="{path}/print"' in page
    assert f"https://cards.example{path}" in page
    for link in (f"{path}/card.pdf", f"{path}/print"):
        assert client.get(link).status_code == 200


def test_the_owners_link_is_shown_once(client: FlaskClient) -> None:
    path = save(client)
    assert "/owner/" in client.get(path).get_data(as_text=True)
    assert "/owner/" not in client.get(path).get_data(as_text=True)


def test_the_page_is_not_to_be_indexed(client: FlaskClient) -> None:
    assert '<meta name="robots" content="noindex, nofollow">' in client.get(save(client)).get_data(as_text=True)


def test_a_first_revision_has_an_address_of_its_own(client: FlaskClient) -> None:
    path = save(client)
    assert client.get(f"{path}/1").status_code == 200
    assert client.get(f"{path}/2").status_code == 404


def test_nonsense_is_kept_and_each_problem_is_said_twice_in_the_same_words(client: FlaskClient) -> None:
    bad = {"rider_mass_kg": "heavy & <b>", "kit_mass_kg": "1,234", "front.travel_mm": "1e400", "riding_style": ""}
    answer = client.post("/", data=BOTH | bad)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "<title>Error: " in page
    for name, typed in bad.items():
        if name != "riding_style":
            assert value_of(page, name) == typed
    sentences = re.findall(r'<li><a href="#([^"]+)">(.*?)</a></li>', page)
    assert [where for where, _sentence in sentences] == [
        "rider_mass_kg",
        "kit_mass_kg",
        "riding_style",
        "front.travel_mm",
    ]
    for where, sentence in sentences:
        assert f'id="{where}"' in page
        assert f'id="{where}-fault"><strong>Error:</strong> {sentence}</p>' in page


def test_the_error_summary_takes_the_focus(client: FlaskClient) -> None:
    page = client.post("/", data={}).get_data(as_text=True)
    assert re.search(r'<div class="problems" [^>]*tabindex="-1" autofocus>', page)


def test_a_folded_part_is_open_when_something_in_it_is_wrong_or_typed(client: FlaskClient) -> None:
    closed = client.get("/").get_data(as_text=True)
    assert "<details open>" not in closed
    page = client.post("/", data=BOTH | {"bike_mass_kg": "x"}).get_data(as_text=True)
    opened = page[page.index("<details open>") :]
    assert opened.index("More about rider and bike") < opened.index("</summary>")
    assert page.count("<details open>") == 1


def test_the_same_page_sent_twice_is_saved_once(client: FlaskClient) -> None:
    key = value_of(client.get("/").get_data(as_text=True), "idempotency_key")
    first, second = (save(client, idempotency_key=key) for _send in range(2))
    changed = save(client, idempotency_key=key, **{"front.travel_mm": "150"})
    assert first == second
    assert changed != first


@pytest.mark.parametrize("text", ["", "x" * 500, "\x00", "nan", "9**9**9", "٨٢", "1e400", "'; drop table", "{{7*7}}"])
def test_no_text_in_any_field_ends_in_a_traceback(client: FlaskClient, text: str) -> None:
    names = re.findall(r'name="([^"]+)"', client.get("/").get_data(as_text=True).partition("<form")[2])
    assert len(set(names)) > 45
    answer = client.post("/", data=dict.fromkeys(names, text))
    assert answer.status_code == 422


def test_ten_kilobytes_in_one_field_are_refused_in_one_sentence(client: FlaskClient) -> None:
    answer = client.post("/", data=BOTH | {"rider_mass_kg": "8" * 10_240})
    assert answer.status_code == 422
    assert "10240 characters are too many for a number" in text_of(answer)


def test_a_lost_token_says_so_and_loses_nothing(make_app: Callable[..., Flask]) -> None:
    client = make_app(WTF_CSRF_ENABLED=True, PUBLIC_BASE_URL="http://localhost:8000").test_client()
    answer = client.post("/", data=BOTH | {"csrf_token": "stale"})
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "Your entries are kept. Press the button again." in page
    assert value_of(page, "rider_mass_kg") == "180 lb"
    again = client.post("/", data=BOTH | {"csrf_token": value_of(page, "csrf_token")})
    assert again.status_code == 303


def test_the_token_of_the_empty_form_is_the_visitors_own(make_app: Callable[..., Flask]) -> None:
    app = make_app(WTF_CSRF_ENABLED=True, PUBLIC_BASE_URL="http://localhost:8000")
    mine, theirs = app.test_client(), app.test_client()
    my_token = value_of(mine.get("/").get_data(as_text=True), "csrf_token")
    their_token = value_of(theirs.get("/").get_data(as_text=True), "csrf_token")
    assert theirs.post("/", data=BOTH | {"csrf_token": my_token}).status_code == 422
    assert theirs.post("/", data=BOTH | {"csrf_token": their_token}).status_code == 303
    assert mine.post("/", data=BOTH | {"csrf_token": my_token}).status_code == 303


def test_the_box_opens_a_card_by_link_or_by_code_in_any_case(client: FlaskClient) -> None:
    path = save(client)
    code = path.rsplit("/", 1)[1]
    for typed in (code, code.lower(), f"https://cards.example/S/{code}", f" {code[:13]} {code[13:]} "):
        answer = client.post("/find", data={"code": typed})
        assert (answer.status_code, answer.headers.get("Location")) == (303, path)


@pytest.mark.parametrize(
    ("typed", "status"), [("", 422), ("not a code", 404), ("0" * 26, 404), ("x" * 501, 422), ("\x00", 422)]
)
def test_what_the_box_cannot_open_is_kept_with_its_reason(client: FlaskClient, typed: str, status: int) -> None:
    answer = client.post("/find", data={"code": typed})
    page = answer.get_data(as_text=True)
    assert answer.status_code == status
    assert "<title>Error: " in page
    assert "code-fault" in page
    assert value_of(page, "code") == typed.replace("\x00", "\N{REPLACEMENT CHARACTER}")  # which HTML cannot hold


def test_a_link_that_nobody_has_is_a_page_with_a_way_on(client: FlaskClient) -> None:
    answer = client.get("/s/zzz")
    assert answer.status_code == 404
    assert "Start a new setup" in text_of(answer)


def test_no_page_has_inline_script_or_style(client: FlaskClient) -> None:
    for path in ("/", "/find", "/about", save(client)):
        page = client.get(path).get_data(as_text=True)
        assert page.count("<script") == len(re.findall(r'<script src="/static/\w+\.js" defer></script>', page))
        assert "<style" not in page
        assert not re.search(r"<[^>]+ (style|on\w+)=", page)
