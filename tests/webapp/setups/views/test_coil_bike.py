"""A coil bike from the form to its page, card and check: rate and preload wherever an air spring has a pressure."""

from __future__ import annotations

import re
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.webapp.setups.views.coil_form import FORM, made, page_of, text_of


def test_the_page_shows_rate_and_preload_and_no_pressure(client: FlaskClient) -> None:
    text = text_of(page_of(client, made(client)))
    assert "N/mm" in text
    assert "lb/in" in text
    assert "Preload" in text
    assert "Turn the preload back" in text
    assert "psi" not in text
    assert "Pump" not in text
    assert "Volume spacers" not in text


def test_the_rates_are_read_in_pounds_an_inch(client: FlaskClient) -> None:
    page = page_of(client, made(client))
    assert re.search(r"\((350|400|450|500) lb/in\)", text_of(page))


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("400 450 500", "Did you mean lb/in? Then write so: 400 lb/in is 70.1 N/mm"),
        ("2000", "outside 1 to 250 N/mm"),
        ("soft; 400", "is not a number"),
        ("8 9 bar", "is the wrong unit"),
    ],
)
def test_rates_that_cannot_be_read_are_refused_beside_their_field(
    client: FlaskClient, typed: str, sentence: str
) -> None:
    refused = client.post("/", data={**FORM, "rear.stocked_rates_n_per_mm": typed})
    assert refused.status_code == 422
    assert sentence in text_of(refused.text)
    assert f'value="{typed}"' in refused.text


def test_air_figures_of_a_coil_are_refused_beside_their_field(client: FlaskClient) -> None:
    refused = client.post("/", data={**FORM, "front.max_pressure_psi": "120"})
    assert refused.status_code == 422
    assert "Only an air spring has this" in text_of(refused.text)


def test_every_page_of_a_coil_bike_opens_without_a_word_of_air(client: FlaskClient) -> None:
    code = made(client)
    check: dict[str, Any] = {
        "front.spring_rate_n_per_mm": "9",
        "front.preload_mm": "0",
        "front.readings_mm-0": "41",
        "rear.spring_rate_n_per_mm": "450 lb/in",
        "rear.preload_mm": "2",
        "rear.readings_mm-0": "19",
        "base_revision": "1",
    }
    saved = client.post(f"/s/{code}/sag-check", data=check)
    assert saved.status_code == 303, text_of(saved.text)
    pages = {
        path: page_of(client, code, path) for path in ("/2/answer", "/history", "/sag-check", "/what-if", "/print")
    }
    for path, page in pages.items():
        text = text_of(page)
        assert "psi" not in text.replace("84 psi or 5.8 bar", ""), path
        assert "N/mm" in text, path
    assert "Fit another spring" in pages["/2/answer"] or "Add preload" in pages["/2/answer"]
    assert "measured 41 mm with 9 N/mm (51 lb/in)" in text_of(pages["/history"])
    assert client.get(f"/s/{code}/card.pdf").status_code == 200


def test_one_coil_beside_one_air_spring_says_both(client: FlaskClient) -> None:
    mixed = {k: v for k, v in FORM.items() if not k.startswith("rear.") or k in ("rear.wanted", "rear.stroke_mm")}
    code = made(client, {**mixed, "rear.wheel_travel_mm": "145"})
    text = text_of(page_of(client, code))
    assert "psi" in text
    assert "N/mm" in text
    card = text_of(page_of(client, code, "/print"))
    assert "Preload" in card
    assert "Maximum pressure" in card


def test_the_travel_of_a_coil_fork_is_not_planned_with_spacers(client: FlaskClient) -> None:
    code = made(client)
    assert "/travel" not in page_of(client, code)
    wish = {"travel_mm": "120", "longest_travel_mm": "160", "spacer1.size_mm": "10", "spacer1.count": "4"}
    refused = client.post(f"/s/{code}/travel", data=wish)
    assert refused.status_code == 422
    assert "coil main spring" in text_of(refused.text)


def test_a_ride_that_bottoms_out_asks_for_the_next_firmer_spring(client: FlaskClient) -> None:
    code = made(client)
    check = {
        "front.spring_rate_n_per_mm": "9",
        "front.preload_mm": "0",
        "front.readings_mm-0": "32",
        "base_revision": "1",
    }
    assert client.post(f"/s/{code}/sag-check", data=check).status_code == 303
    ride = {"end": "front", "felt": "hits_the_end", "base_revision": "2"}
    saved = client.post(f"/s/{code}/ride?end=front", data=ride)
    assert saved.status_code == 303, text_of(saved.text)
    answer = text_of(page_of(client, code, "/3/answer"))
    assert "One change: the next firmer spring" in answer
    assert "10 N/mm" in answer
    assert "psi" not in answer


@pytest.mark.parametrize(("stroke", "coil_stroke", "needed"), [("55", "50", "56"), ("65", "40", "66")])
def test_a_spring_whose_coils_would_touch_is_fitted_nowhere(
    client: FlaskClient, stroke: str, coil_stroke: str, needed: str
) -> None:
    code = made(client, {**FORM, "rear.stroke_mm": stroke, "rear.coil_stroke_mm": coil_stroke})
    answer: Any = client.get(f"/api/v1/setups/{code}").json
    assert answer["rear"]["limited"] is True
    assert answer["rear"]["coil_stroke_needed_mm"] == float(needed)
    assert answer["rear"]["spring_rate_n_per_mm"] is None
    assert answer["rear"]["springs"] == []
    check = {"rear.spring_rate_n_per_mm": "450 lb/in", "rear.preload_mm": "0", "rear.readings_mm-0": "19"}
    saved = client.post(f"/s/{code}/sag-check", data={**check, "base_revision": "1", "confirm": "y"})
    assert saved.status_code == 303, text_of(saved.text)
    for path in ("", "/print", "/sag-check", "/history", "/2/answer"):
        text = text_of(page_of(client, code, path))
        assert f"stroke of at least {needed} mm is needed" in text, path
        shock = text.partition("Why these numbers")[0]
        fits = re.findall(r"[^.]*\b[Ff]it (?:a|the|this) spring[^.]*", shock)
        assert all("not fit" in one or "fit the spring of" in one.lower() for one in fits), (path, fits)
    steps = text_of(page_of(client, code)).partition("Steps")[2]
    assert steps.count("Fit the spring of") == 1  # of the fork, whose spring is long enough
    assert "Do not fit the spring." in steps
    card = text_of(page_of(client, code, "/print"))
    assert "none do not fit" in card
    assert client.get(f"/s/{code}/card.pdf").status_code == 200


def test_preload_above_its_limit_is_asked_about_first_however_it_is_entered(client: FlaskClient) -> None:
    code = made(client)
    check = {"end": "rear", "spring_rate_n_per_mm": 78.81, "preload_mm": 20, "readings_mm": [18]}
    asked: Any = client.post(f"/api/v1/setups/{code}/sag-checks", json=check)
    assert asked.status_code == 422
    first = asked.json["errors"][0]
    assert (first["field"], first["question"]) == ("preload_mm", True)
    assert "20 mm of preload is more than the 3 mm allowed" in first["message"]
    assert "pressure" not in str(asked.json)
    typed = {"rear.spring_rate_n_per_mm": "450 lb/in", "rear.preload_mm": "20", "rear.readings_mm-0": "18"}
    page = client.post(f"/s/{code}/sag-check", data={**typed, "base_revision": "1"})
    assert page.status_code == 422
    text = text_of(page.text)
    assert "Is this right?" in text
    assert text.index("is more than the 3 mm allowed") < text.index("expected with this spring and preload")
    assert "Keep it" in text
    assert "until the air has settled" not in text
    kept: Any = client.post(f"/api/v1/setups/{code}/sag-checks", json={**check, "confirm": True})
    assert kept.status_code == 201
    assert kept.json["settled"] is False
    assert "preload_above_limit" in {note["code"] for note in kept.json["cautions"]}
    assert kept.json["rear"]["preload_mm"] <= 3.0


def test_rates_typed_in_pounds_an_inch_are_shown_so_first(client: FlaskClient) -> None:
    code = made(client)
    page = page_of(client, code)
    found = re.search(r"Spring rate (\d+) lb/in ([\d.]+) N/mm", text_of(page).partition("Shock rear 55 mm")[2])
    assert found is not None
    assert found[1] in ("350", "400", "450", "500")
    assert re.search(r"Spring rate \d+ N/mm \d+ lb/in", text_of(page))  # the fork's are whole N/mm
    assert f"{found[1]} lb/in" in text_of(page_of(client, code, "/print"))


def test_another_spring_says_to_turn_the_preload_back(client: FlaskClient) -> None:
    code = made(client)
    wish = {"rear.stocked_rates_n_per_mm": "300 lb/in", "base_revision": "1", "do": "show"}
    shown = client.post(f"/s/{code}/what-if", data={**wish, "riding_style": "trail"})
    assert "turn the preload back until the old one is loose" in text_of(shown.text)
    wish = {"front.sag_target_percent": "21", "base_revision": "1", "do": "show"}
    shown = client.post(f"/s/{code}/what-if", data={**wish, "riding_style": "trail"})
    assert "turn the preload back until the old one is loose" not in text_of(shown.text)


def test_the_pitch_stands_where_it_is_seen_and_its_list_is_wide(client: FlaskClient) -> None:
    page = client.get("/").text
    pitch = page.index('name="rear.preload_pitch_mm"')
    assert page.index('name="rear.coil_stroke_mm"') < pitch < page.index('name="rear.fitted_rate_n_per_mm"')
    assert "<details" not in page[page.index('name="rear.coil_stroke_mm"') : pitch]
    assert re.search(r'<div class="entry wide"><input type="text" [^>]*name="rear.stocked_rates_n_per_mm"', page)
