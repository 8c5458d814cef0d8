"""A second language, as one would be shipped: the browser chooses it, pages and cards declare it, caches part it."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from flask import Flask
from pikepdf import Pdf

from webapp.ground.text import i18n, numbers
from webapp.ground.text.i18n import gettext, ngettext

GERMAN = {"Accept-Language": "de-AT,de;q=0.9,en;q=0.5"}


@pytest.fixture
def german(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A German catalogue of three texts, shipped for the time of a test."""
    catalogue = Catalog(locale="de")
    catalogue.add("New setup", "Neue Einstellung")
    catalogue.add("Start pressure", "Startdruck")
    catalogue.add(("%(num)d click", "%(num)d clicks"), ("%(num)d Klick", "%(num)d Klicks"))
    folder = tmp_path / "translations" / "de" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    with (folder / "messages.mo").open("wb") as file:
        write_mo(file, catalogue)
    monkeypatch.setattr(i18n, "CATALOGUES", tmp_path / "translations")
    monkeypatch.setattr(i18n, "SHIPPED", {"en": "en_GB", "de": "de"})
    for name in ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(name, raising=False)


def test_the_browser_chooses_among_what_is_shipped(german: None, make_app: Callable[..., Flask]) -> None:
    client = make_app().test_client()
    first, second = (
        client.get("/about", headers=GERMAN),
        client.get("/about", headers={"Accept-Language": "fr, en-US;q=0.3"}),
    )
    assert '<html lang="de">' in first.text
    assert "Neue Einstellung" in first.text
    assert '<html lang="en">' in second.text
    assert "New setup" in second.text
    assert (first.headers["Content-Language"], second.headers["Content-Language"]) == ("de", "en")
    assert "Accept-Language" in first.headers["Vary"]


def test_an_address_does_not_choose(german: None, make_app: Callable[..., Flask]) -> None:
    assert '<html lang="en">' in make_app().test_client().get("/about?lang=de").text


def test_the_kept_form_is_kept_for_each_language(german: None, make_app: Callable[..., Flask]) -> None:
    client = make_app().test_client()
    pages = [client.get("/", headers=headers).text for headers in ({}, GERMAN, {}, GERMAN)]
    assert [("New setup" in page, "Neue Einstellung" in page) for page in pages] == [(True, False), (False, True)] * 2


def test_a_kept_card_is_kept_for_each_language(
    german: None, make_app: Callable[..., Flask], whole_request: dict[str, Any]
) -> None:
    client = make_app().test_client()
    code = client.post("/api/v1/setups", json=whole_request).json["code"]  # type: ignore[index]
    cards = [client.get(f"/s/{code}/card.pdf", headers=headers).data for headers in ({}, GERMAN)]
    opened = [Pdf.open(io.BytesIO(card)) for card in cards]
    assert [str(pdf.Root.Lang) for pdf in opened] == ["en", "de"]


def test_numbers_dates_and_plurals_follow_the_language(german: None, make_app: Callable[..., Flask]) -> None:
    with make_app().test_request_context(headers=GERMAN):
        assert (numbers.number(-82.25, 1), numbers.halves(27.6), numbers.general(1234.5)) == ("-82,2", "27,5", "1234,5")
        assert numbers.day(datetime(2026, 5, 3, tzinfo=UTC)) == "3. Mai 2026"
        assert [ngettext("%(num)d click", "%(num)d clicks", n) for n in (1, 2)] == ["1 Klick", "2 Klicks"]


@pytest.mark.parametrize(("value", "language"), [("de_DE.UTF-8", "de"), ("fr:de", "de"), ("C", "en"), ("", "en")])
def test_the_command_line_follows_the_environment(
    german: None, monkeypatch: pytest.MonkeyPatch, value: str, language: str
) -> None:
    monkeypatch.setenv("LANGUAGE", value)
    assert i18n.language() == language
    assert gettext("Start pressure") == {"de": "Startdruck", "en": "Start pressure"}[language]


def test_the_empty_text_is_not_the_catalogues_header(german: None, make_app: Callable[..., Flask]) -> None:
    with make_app().test_request_context(headers=GERMAN):
        assert gettext("") == ""


@pytest.mark.parametrize("value", [0.0, -0.04, 0.125, 2.675, 1e6, 83.49999999999996, float("inf")])
def test_english_numbers_are_rounded_as_before(value: float) -> None:
    assert [numbers.number(value, places) for places in (0, 1, 2)] == [
        f"{round(value, places) + 0.0:.{places}f}" for places in (0, 1, 2)
    ]
