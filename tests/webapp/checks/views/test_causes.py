"""What if: each cause for itself, adding up to what is shown; the clicks; luggage on the bike by place."""

from __future__ import annotations

import re
from html import unescape

import pytest
from flask.testing import FlaskClient

from tests.webapp.setups.views.test_setup import save, text_of

COLD = {"bench.temperature_c": "0", "ride.temperature_c": "25"}
SOFT = {"front.sag_target_percent": "26", "rear.sag_target_percent": "33"}
HEAVY = {"rider_mass_kg": "90"}
SPACERS = {"front.volume_spacers": "3"}


@pytest.fixture
def path(client: FlaskClient) -> str:
    """A setup that this browser entered."""
    return save(client)


def show(client: FlaskClient, path: str, *changes: dict[str, str], style: str = "trail") -> str:
    """Return the page that shows the effect of changes."""
    asked = {"riding_style": style}
    for one in changes:
        asked |= one
    answer = client.post(f"{path}/what-if", data=asked)
    assert answer.status_code == 200, text_of(answer)
    return answer.get_data(as_text=True)


def causes_of(page: str) -> list[tuple[dict[str, float], float]]:
    """Return the parts and the whole of each table of causes."""
    found = []
    for table in re.findall(r'<table class="causes">.*?</table>', page, re.DOTALL):
        rows = re.findall(r'<th scope="row">(.*?)</th><td>([^<]*)</td>', table)
        amounts = {unescape(name): _amount(text) for name, text in rows}
        found.append((amounts, amounts.pop("Together")))
    return found


def _amount(text: str) -> float:
    return float(text.split()[0].replace("−", "-").replace("±", ""))


def shown_change(page: str, end: str) -> float:
    """Return how far the page says that a start pressure moves."""
    table = re.search(rf"<table><caption>{end} .*?</table>", page, re.DOTALL)
    row = table and re.search(r'Start pressure</th>.*?data-head="Difference">([^<]*)<', table[0], re.DOTALL)
    if not row:  # what stays is not listed
        return 0.0
    words = row[1].split()
    return float(words[0]) * (1 if words[-1] == "more" else -1)


@pytest.mark.parametrize(
    "changes", [(COLD, SOFT), (COLD, HEAVY), (COLD, SOFT, HEAVY), (SOFT, SPACERS), (COLD, SOFT, HEAVY, SPACERS)]
)
@pytest.mark.parametrize("units", ["kg-psi-mm-c-m", "kg-bar-mm-c-m"])
def test_the_parts_add_up_to_the_total_that_is_shown(
    client: FlaskClient, path: str, changes: tuple[dict[str, str], ...], units: str
) -> None:
    name = "__Host-setup_card_units" if client.application.config["SESSION_COOKIE_SECURE"] else "setup_card_units"
    client.set_cookie(name, units)
    page = show(client, path, *changes)
    tables = causes_of(page)
    assert len(tables) == 2
    for (parts, total), end in zip(tables, ("Fork", "Shock"), strict=True):
        assert sum(parts.values()) == pytest.approx(total, abs=1e-9)
        assert total == pytest.approx(shown_change(page, end), abs=1e-9)
        assert len(parts) == len(changes)


def test_temperature_and_target_are_told_apart_and_each_goes_its_way(client: FlaskClient, path: str) -> None:
    (front, _total), _rear = causes_of(show(client, path, COLD, SOFT))
    assert front["Temperature and altitude"] < 0
    assert front["Target sag and riding style"] < 0
    alone = shown_change(show(client, path, COLD), "Fork")
    assert front["Temperature and altitude"] == pytest.approx(alone, abs=2)  # after another cause it acts a little else


def test_one_cause_alone_needs_no_table(client: FlaskClient, path: str) -> None:
    assert causes_of(show(client, path, COLD)) == []


def test_the_clicks_are_listed_also_where_they_stay(client: FlaskClient, path: str) -> None:
    moved, stayed = show(client, path, HEAVY), show(client, path, {"front.volume_spacers": "1"})
    for page in (moved, stayed):
        assert "Rebound, clicks out" in page
    assert re.search(r"Fork: Rebound, clicks out \d+ of 16, the same", " ".join(stayed.split()))


@pytest.mark.parametrize(("place", "more", "less"), [("front", "Fork", "Shock"), ("rear", "Shock", "Fork")])
def test_luggage_loads_the_end_that_it_hangs_at(
    client: FlaskClient, path: str, place: str, more: str, less: str
) -> None:
    page = show(client, path, {f"luggage_{place}_kg": "10"})
    shown = text_of_page(page)
    assert f"Luggage on the bike, {place}" in shown
    assert "0 kg" in shown
    assert shown_change(page, more) > 3
    if f"<table><caption>{less} " in page:
        assert abs(shown_change(page, less)) < 0.5 * shown_change(page, more)


def text_of_page(page: str) -> str:
    """Return a page's text without tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def test_saved_luggage_is_named_and_can_be_taken_off(client: FlaskClient, path: str) -> None:
    saved = client.post(f"{path}/what-if", data={"riding_style": "trail", "luggage_front_kg": "6", "do": "save"})
    assert saved.status_code == 303
    assert "Changed: Luggage on the bike, front" in text_of(client.get(f"{path}/history"))
    assert "Now 6 kg." in text_of(client.get(f"{path}/what-if"))
    off = client.post(f"{path}/what-if", data={"riding_style": "trail", "luggage_front_kg": "0", "do": "save"})
    assert off.status_code == 303


def test_a_weight_in_a_what_if_is_asked_about_too(client: FlaskClient, path: str) -> None:
    asked = client.post(f"{path}/what-if", data={"riding_style": "trail", "rider_mass_kg": "165"})
    assert asked.status_code == 422
    assert "did you mean 165 pounds?" in text_of(asked)
    page = asked.get_data(as_text=True)
    buttons = re.findall(r'<button[^>]+name="rider_mass_kg" value="([^"]+)"', page)
    assert buttons == ["165 lb"]
    first = re.search(r"<main.*?<button([^>]*)>", page, re.DOTALL)
    assert first
    assert 'name="' not in first[1]  # Enter presses the first button, and that is no answer
