"""The card over the wire: every size leads back to its setup, and every refusal says what to do."""

from __future__ import annotations

import io
import os
import shutil
import subprocess
from collections.abc import Callable
from typing import Any
from urllib.parse import urlsplit

import pytest
import zxingcpp
from flask import Flask
from flask.testing import FlaskClient
from pikepdf import Pdf
from PIL import Image

from setup_rules import read_request
from tests.examples import sizes
from webapp import create_app
from webapp.cards.rendering import renderer
from webapp.cards.rendering.card_cache import card_cache_of
from webapp.cards.rendering.errors import CardBusyError, CardOverflowError, PdfMissingError
from webapp.cards.rendering.sizes import CARD_SIZES, SHEET_SIZES
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.revision import CardTexts, CreatedSetup

BIKE = "Bluebell 140, number 7"


@pytest.fixture
def made(app: Flask, whole_request: dict[str, Any]) -> CreatedSetup:
    """A saved setup of a heavy rider, whose weight must not be found again."""
    request = read_request({**whole_request, "rider_mass_kg": 123.5})
    with app.app_context():
        return create_setup(request, CardTexts(BIKE, "Air seals renewed"))


@pytest.fixture
def code(made: CreatedSetup) -> str:
    """The code of the saved setup."""
    return made.saved.code


@pytest.fixture
def count_prints(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A list that grows by one with each page that is really laid out."""
    made: list[str] = []
    write = renderer._write

    def note(html: str, styles: tuple[str, ...]) -> bytes:
        made.append(html)
        return write(html, styles)

    monkeypatch.setattr(renderer, "_write", note)
    return made


def scan(pdf: bytes) -> str:
    """Return the one address that a phone would read off the printed first page."""
    if shutil.which("pdftoppm") is None:
        if os.environ.get("CI") == "true":
            pytest.fail("pdftoppm is missing: install poppler-utils")
        pytest.skip("pdftoppm is not installed (poppler-utils)")
    done = subprocess.run(["pdftoppm", "-r", "150", "-singlefile", "-"], input=pdf, capture_output=True, check=True)
    (address,) = {found.text for found in zxingcpp.read_barcodes(Image.open(io.BytesIO(done.stdout)))}
    return address


@pytest.mark.parametrize("size", sizes(CARD_SIZES, SHEET_SIZES))
def test_the_code_on_every_printed_size_opens_the_setup(client: FlaskClient, code: str, size: str) -> None:
    answer = client.get(f"/s/{code}/card.pdf?size={size}")
    assert answer.status_code == 200
    address = urlsplit(scan(answer.data))
    assert (address.scheme, address.netloc) == ("https", "CARDS.EXAMPLE")
    opened = client.get(address.path, base_url=f"https://{address.netloc.lower()}")
    assert opened.status_code == 200
    assert BIKE in opened.text


def test_the_address_comes_from_the_setting_and_never_from_the_host(client: FlaskClient, code: str) -> None:
    answer = client.get(f"/s/{code}/card.pdf", base_url="https://localhost")
    assert scan(answer.data) == f"https://CARDS.EXAMPLE/S/{code}"


def test_the_default_is_one_a6_card_shown_in_the_browser(client: FlaskClient, code: str) -> None:
    answer = client.get(f"/s/{code}/card.pdf")
    assert answer.mimetype == "application/pdf"
    assert answer.headers["Content-Disposition"] == 'inline; filename="setup-card-a6-revision-1.pdf"'
    assert answer.headers["Cache-Control"] == "no-store"
    assert "noindex" in answer.headers["X-Robots-Tag"]
    assert answer.headers["Referrer-Policy"] == "same-origin"
    assert code not in answer.headers["Content-Disposition"]


def test_neither_the_text_nor_the_metadata_of_the_pdf_tells_the_weight(client: FlaskClient, code: str) -> None:
    pdf = client.get(f"/s/{code}/card.pdf").data
    with Pdf.open(io.BytesIO(pdf)) as opened:
        metadata = str(opened.docinfo) + opened.Root.Metadata.read_bytes().decode()
    text = subprocess.run(["pdftotext", "-", "-"], input=pdf, capture_output=True, check=True).stdout.decode()
    assert BIKE in text
    assert "Air seals renewed" in text
    for secret in ("123", "kg", "Rider", "rider"):
        assert secret not in text + metadata


def test_a_card_asked_for_twice_is_made_once(client: FlaskClient, code: str, count_prints: list[str]) -> None:
    first = client.get(f"/s/{code.lower()}/card.pdf?revision=1").data
    after_first = len(count_prints)
    assert client.get(f"/s/{code}/card.pdf").data == first
    assert len(count_prints) == after_first
    assert client.get(f"/s/{code}/card.pdf?size=4x6").data != first
    assert len(count_prints) > after_first


def test_another_app_in_the_same_process_makes_its_own_card(
    app: Flask, client: FlaskClient, code: str, count_prints: list[str]
) -> None:
    other = create_app({**app.config})
    assert client.get(f"/s/{code}/card.pdf").status_code == 200
    assert (len(card_cache_of(app)), len(card_cache_of(other))) == (1, 0)
    after_first = len(count_prints)
    assert other.test_client().get(f"/s/{code}/card.pdf").status_code == 200
    assert len(count_prints) > after_first


def test_a_deleted_setup_has_no_card_though_it_was_kept_in_memory(
    app: Flask, client: FlaskClient, made: CreatedSetup
) -> None:
    address = f"/s/{made.saved.code}/card.pdf"
    assert client.get(address).status_code == 200
    with app.app_context():
        assert made.owner_key is not None
        delete_setup(made.owner_key)
    assert client.get(address).status_code == 410


def test_deleting_through_the_owners_page_leaves_no_card_in_memory(
    app: Flask, client: FlaskClient, made: CreatedSetup
) -> None:
    client.get(f"/s/{made.saved.code}/card.pdf")
    assert len(card_cache_of(app)) == 1
    assert client.post(f"/owner/{made.owner_key}/delete").status_code == 303
    assert len(card_cache_of(app)) == 0


@pytest.mark.parametrize("page", ["card.pdf", "print"])
@pytest.mark.parametrize("query", ["revision=2", "revision=0", "revision=-1", "revision=x", "revision=" + "9" * 40])
def test_a_revision_that_is_not_there_is_not_found(client: FlaskClient, code: str, page: str, query: str) -> None:
    assert client.get(f"/s/{code}/{page}?{query}").status_code == 404


@pytest.mark.parametrize("page", ["card.pdf", "print"])
@pytest.mark.parametrize("wrong", ["0" * 26, "short", "U" * 26, "%00", "é"])
def test_an_unknown_or_malformed_link_is_not_found(client: FlaskClient, page: str, wrong: str) -> None:
    assert client.get(f"/s/{wrong}/{page}").status_code == 404


@pytest.mark.parametrize("size", ["a7", "", "A6", "../a6", "a6%00", "x" * 300])
def test_an_unknown_size_is_not_found_and_the_sizes_are_listed(client: FlaskClient, code: str, size: str) -> None:
    answer = client.get(f"/s/{code}/card.pdf?size={size}")
    assert answer.status_code == 404
    for name in (*CARD_SIZES, *SHEET_SIZES):
        assert name in answer.text


@pytest.mark.parametrize(
    ("error", "status", "words"),
    [
        (PdfMissingError("cannot load library"), 503, "setup-card doctor"),
        (CardBusyError("busy"), 503, "Wait a few seconds"),
        (CardOverflowError("too long"), 500, "does not fit"),
    ],
)
def test_a_card_that_cannot_be_made_offers_the_browsers_print(
    client: FlaskClient,
    code: str,
    monkeypatch: pytest.MonkeyPatch,
    error: Exception,
    status: int,
    words: str,
) -> None:
    def fail(*_args: Any) -> bytes:
        raise error

    monkeypatch.setattr(renderer, "print_any", fail)
    answer = client.get(f"/s/{code}/card.pdf")
    assert answer.status_code == status
    assert answer.mimetype == "text/html"
    assert words in answer.text
    assert f"/s/{code}/print" in answer.text
    assert ("Retry-After" in answer.headers) == isinstance(error, CardBusyError)


def test_the_print_page_needs_no_pdf_library_and_shows_the_same_card(
    client: FlaskClient, code: str, count_prints: list[str]
) -> None:
    answer = client.get(f"/s/{code}/print")
    assert answer.status_code == 200
    assert count_prints == []
    for words in (BIKE, "Start pressure", "Target sag", "Rebound", "Air seals renewed", "50 mm when printed"):
        assert words in answer.text
    assert "123.5" not in answer.text


def test_the_print_page_has_no_inline_style_or_script(client: FlaskClient, code: str) -> None:
    page = client.get(f"/s/{code}/print").text
    for forbidden in (" style=", "<style", "<script", "javascript:"):
        assert forbidden not in page


def test_markup_in_a_label_is_shown_as_typed_on_the_print_page(
    app: Flask, client: FlaskClient, whole_request: dict[str, Any]
) -> None:
    with app.app_context():
        made = create_setup(read_request(whole_request), CardTexts("<b>&amp;"))
    page = client.get(f"/s/{made.saved.code}/print").text
    assert "<h1>&lt;b&gt;&amp;amp;</h1>" in page


def test_a_card_of_a_local_address_says_that_its_code_works_only_there(
    make_app: Callable[..., Flask], whole_request: dict[str, Any]
) -> None:
    app = make_app(PUBLIC_BASE_URL="http://192.168.1.20:8000")
    with app.app_context():
        made = create_setup(read_request(whole_request))
    client = app.test_client()
    assert scan(client.get(f"/s/{made.saved.code}/card.pdf").data) == f"http://192.168.1.20:8000/S/{made.saved.code}"
    assert "Works only on the network where it was made." in client.get(f"/s/{made.saved.code}/print").text


def test_a_card_of_a_field_has_no_code_that_would_be_dead_at_home(
    make_app: Callable[..., Flask], whole_request: dict[str, Any]
) -> None:
    app = make_app(PUBLIC_BASE_URL="http://192.168.1.20:8000", FIELD_NETWORK=True)
    with app.app_context():
        made = create_setup(read_request(whole_request))
    client = app.test_client()
    pdf = client.get(f"/s/{made.saved.code}/card.pdf").data
    assert pdf.startswith(b"%PDF-")
    with pytest.raises(ValueError, match="not enough values"):
        scan(pdf)
    assert "No QR code" in client.get(f"/s/{made.saved.code}/print").text


def test_with_an_address_for_later_the_code_leads_there_and_says_when(
    make_app: Callable[..., Flask], whole_request: dict[str, Any]
) -> None:
    app = make_app(PUBLIC_BASE_URL="http://192.168.1.20:8000", TAKE_HOME_URL="https://cards.example.org/day")
    with app.app_context():
        made = create_setup(read_request(whole_request))
    client = app.test_client()
    pdf = client.get(f"/s/{made.saved.code}/card.pdf").data
    assert scan(pdf) == f"https://CARDS.EXAMPLE.ORG/day/S/{made.saved.code}"
    assert "Works as soon as" in client.get(f"/s/{made.saved.code}/print").text


def test_asking_for_cards_too_often_is_slowed_down(
    make_app: Callable[..., Flask], whole_request: dict[str, Any]
) -> None:
    app = make_app(RATELIMIT_ENABLED=True, RATE_CARDS="2 per minute")
    with app.app_context():
        code = create_setup(read_request(whole_request)).saved.code
    client = app.test_client()
    statuses = [client.get(f"/s/{code}/card.pdf").status_code for _ in range(3)]
    assert statuses == [200, 200, 429]
