"""No page, error or JSON message holds a text that did not come through the one text door."""

from __future__ import annotations

import re
from typing import Final

import pytest
from flask import Flask, render_template

from tests.pseudo.catalogue import OPEN, PseudoTexts
from tests.pseudo.test_extraction import extracted
from tests.pseudo.visible import json_outside, texts_outside
from tests.pseudo.walk import KNOWN, TYPED, Walked
from webapp.ground import error_pages

#: Endpoints that show nobody words, and why.
WORDLESS: Final = {"static": "files", "offline.worker": "a script that says nothing"}
#: Keys of the interface whose strings are codes, addresses or what somebody typed.
MACHINE_KEYS: Final = frozenset(
    {
        "code",
        "url",
        "card_url",
        "end",
        "field",
        "kind",
        "measured_place",
        "created_at",
        "expires_at",
        "riding_style",
        "rules_version",
        "negative_spring",
        "spring",
        "chart_weight",
        "felt",
        "bike_label",
        "service_note",
        "owner_key",
        "owner_url",
        "format",
        "adjuster",
        "way",
        "path",
        "setup_code",
        "origin",
        "template",
        "tag",
        "number",
        "label",
        "unit",
        "what",
        "stands_since",
        "datum",
    }
)
#: The interface's own description speaks to programmers, in the language of its field names; an owner's file holds a
#: setup as it is stored, and a shop's lists are values for its own tables.
ENGLISH_PATHS: Final = ("/api/v1/openapi.json", "/setup.json", "/export/records.json", "/export/setups.json")
STATUSES: Final = (400, 403, 404, 405, 409, 410, 413, 415, 422, 429, 500, 503)


def test_every_endpoint_was_reached(walked: Walked) -> None:
    rules = ((rule.endpoint, method) for rule in walked.app.url_map.iter_rules() for method in rule.methods or ())
    unseen = {one for one in rules if one[1] not in ("HEAD", "OPTIONS")} - walked.endpoints
    assert {endpoint for endpoint, _method in unseen} <= set(WORDLESS), sorted(unseen)


def test_no_page_shows_a_text_from_outside_the_door(walked: Walked) -> None:
    pages = [(name, answer) for name, answer in walked.of_type("text/html") if answer.status_code != 303]
    assert len(pages) > 300
    assert {answer.status_code for _name, answer in pages} >= {200, 404, 409, 410, 422}
    found = {text: name for name, answer in pages for text in texts_outside(answer.text, KNOWN)}
    assert not found


def test_no_json_answer_holds_a_sentence_from_outside_the_door(walked: Walked) -> None:
    answers = [(name, a) for name, a in walked.of_type("application/json") if not name.endswith(ENGLISH_PATHS)]
    assert {answer.status_code for _name, answer in answers} >= {200, 410, 422}
    found = {text: name for name, answer in answers for text in json_outside(answer.json, MACHINE_KEYS, KNOWN)}
    assert not found


def test_pages_and_json_answers_show_the_invented_language_at_all(walked: Walked) -> None:
    assert all("«" in answer.text for _name, answer in walked.of_type("text/html") if answer.status_code != 303)
    answers = [answer for _name, answer in walked.of_type("application/json") if answer.status_code in (404, 410)]
    assert answers
    assert all("«" in str(answer.json) for answer in answers)


@pytest.mark.parametrize("status", STATUSES)
def test_every_error_page_speaks_through_the_door(texts: PseudoTexts, walked: Walked, status: int) -> None:
    message = error_pages._advice(status)
    assert message == error_pages._advice(status)
    with walked.app.test_request_context("/about"):
        page = error_pages.error_answer(status, error_pages._advice(status))
        assert page.status_code == status
        assert not texts_outside(page.get_data(as_text=True), KNOWN)
    with walked.app.test_request_context("/api/v1/setups"):
        answer = error_pages.error_answer(status, error_pages._advice(status))
        assert not json_outside(answer.get_json(), MACHINE_KEYS, KNOWN)


@pytest.mark.parametrize(("path", "status"), [("/about", 405), ("/api/v1/setups", 415), ("/", 413)])
def test_real_refusals_speak_through_the_door(walked: Walked, path: str, status: int) -> None:
    body = "x" * (200_000 if status == 413 else 10)
    answer = walked.app.test_client().post(path, data=body, content_type="text/plain" if status == 415 else None)
    assert answer.status_code == status
    if answer.is_json:
        assert not json_outside(answer.json, MACHINE_KEYS, KNOWN)
    else:
        assert not texts_outside(answer.text, KNOWN)


def test_too_many_requests_and_a_stale_form_speak_through_the_door(texts: PseudoTexts, make_app: object) -> None:
    app: Flask = make_app(RATELIMIT_ENABLED=True, RATE_LINKS="1 per minute", WTF_CSRF_ENABLED=True)  # type: ignore[operator]
    client = app.test_client()
    answers = [client.get("/s/" + "0" * 26) for _time in range(3)]
    answers.append(client.post("/shop/log-in", data={"login": "x", "password": "y"}))
    answers.append(client.post("/", data={}))
    assert 429 in {answer.status_code for answer in answers}
    for answer in answers:
        assert not texts_outside(answer.text, KNOWN), answer.status_code


def test_a_card_that_cannot_be_made_speaks_through_the_door(walked: Walked) -> None:
    with walked.app.test_request_context("/s/X/card.pdf"):
        page = render_template("cards/no_pdf.html", message="", code="X", revision=None)
    assert not texts_outside(page, (*KNOWN, re.compile("^X$")))


def test_the_walker_names_what_is_outside() -> None:
    page = '<p>«in» out <b>«in «deep» in»</b></p><img alt="seen"><input placeholder="«fine»">'
    page += "<svg><title>drawn</title></svg>"
    assert texts_outside(page, ()) == ["p: out", "img alt: seen", "svg/title: drawn"]
    assert texts_outside('<p aria-label="«left open">«x»</p>', ()) == ["p aria-label: brackets left open: «left open"]
    assert json_outside({"a": ["one", "«two»"], "code": "three"}, frozenset({"code"}), ()) == ["a: one"]


def test_the_extraction_finds_what_was_shown(walked: Walked, texts: PseudoTexts) -> None:
    assert len(texts.asked) > 500
    # A shop's own step is looked up as the tool's are: one that was typed, or saved as the walk's language showed it.
    own = {text for text in texts.asked if text in TYPED or text.startswith(OPEN)}
    assert texts.asked - extracted() - own == set()
