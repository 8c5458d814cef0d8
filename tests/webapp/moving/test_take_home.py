"""A card from a field's own network: its code opens the same setup at home, once the day has been moved there."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from tests.webapp.cards.rendering.conftest import rasterise
from webapp import create_app
from webapp.commands.cli import main
from webapp.ground.errors import ConfigError

__all__ = ["rasterise"]

SHOP, PASSWORD, HOME = "Lantern Lane", "three grey herons asleep", "https://cards.example.org"
SETUP = {
    "rider_mass_kg": "83.5",
    "riding_style": "trail",
    "front.wanted": "y",
    "front.travel_mm": "140",
    "bike_label": "Heron 18",
}
Rasterise = Callable[[bytes], list[Image.Image]]


@pytest.fixture
def go(at: Callable[[str], None], monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Go to a server with addresses of its own."""

    def to(name: str, **settings: str) -> None:
        at(name)
        for key in ("PUBLIC_BASE_URL", "TAKE_HOME_URL"):
            monkeypatch.delenv(f"SETUP_CARD_{key}", raising=False)
        for key, value in settings.items():
            monkeypatch.setenv(f"SETUP_CARD_{key}", value)
        monkeypatch.setenv("SETUP_CARD_WTF_CSRF_ENABLED", "false")
        monkeypatch.setattr("sys.stdin", io.StringIO(f"{PASSWORD}\n"))

    return to


def card_of_the_day(size: str = "a6") -> tuple[str, bytes]:
    """Save a setup as the shop's crew does and return the page's address and the card."""
    client = create_app().test_client()
    client.post("/shop/log-in", data={"login": "mira", "password": PASSWORD})
    page = client.post("/", data=SETUP).location
    return page, client.get(f"{page}/card.pdf?size={size}").data


@pytest.mark.parametrize("size", ["a6", "62x100"])
def test_a_card_printed_in_the_field_opens_the_same_setup_at_home(
    go: Callable[..., None], tmp_path: Path, rasterise: Rasterise, size: str
) -> None:
    go("laptop", PUBLIC_BASE_URL="http://192.168.8.20:8000", TAKE_HOME_URL=HOME)
    assert main(["shop", SHOP, "mira"]) == 0
    page, card = card_of_the_day(size)
    (picture,) = rasterise(card)
    (code,) = zxingcpp.read_barcodes(picture)
    assert code.text.lower().startswith(f"{HOME}/s/")
    shown = numbers(create_app().test_client().get(page).text)
    assert main(["export-shop", SHOP, str(tmp_path / "day.json")]) == 0
    go("hosted", PUBLIC_BASE_URL=HOME)
    assert main(["shop", SHOP, "nora"]) == 0
    path = code.text[len(HOME) :]
    assert create_app().test_client().get(path).status_code == 404, "not moved yet"
    assert main(["import-shop", SHOP, str(tmp_path / "day.json")]) == 0
    home = create_app().test_client().get(path)
    assert home.status_code == 200
    assert "Heron 18" in home.text
    assert numbers(home.text) == shown != []


def numbers(page: str) -> list[str]:
    """Return the large numbers of a setup's page."""
    return re.findall(r"[\d.]+ (?:psi|mm)\b", re.sub(r"<[^>]+>|&nbsp;|\s+", " ", page).replace("  ", " "))


def test_without_a_later_address_a_card_of_the_field_has_no_code_and_its_numbers_in_full(
    go: Callable[..., None], rasterise: Rasterise
) -> None:
    go("laptop", PUBLIC_BASE_URL="http://192.168.8.20:8000", FIELD_NETWORK="true")
    assert main(["shop", SHOP, "mira"]) == 0
    page, card = card_of_the_day()
    (picture,) = rasterise(card)
    assert zxingcpp.read_barcodes(picture) == []
    browser = create_app().test_client().get(f"{page}/print").text
    assert "No QR code" in browser
    for said in ("psi", "mm", "of 16", "Maximum pressure", page[-26:][:5]):
        assert said in browser


@pytest.mark.parametrize("address", ["http://192.168.8.20", "https://laptop.local", "cards.example.org", "https://a b"])
def test_a_later_address_that_is_none_or_dead_at_home_stops_the_start(go: Callable[..., None], address: str) -> None:
    go("laptop", TAKE_HOME_URL=address)
    with pytest.raises(ConfigError, match="SETUP_CARD_TAKE_HOME_URL"):
        create_app()
