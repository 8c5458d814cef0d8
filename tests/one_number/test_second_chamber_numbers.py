"""A second positive chamber has one pressure: setup page, steps, answer, history, card (HTML and PDF) and JSON."""

from __future__ import annotations

import re
import shutil
import subprocess
from typing import Any, Final

import pytest
from flask.testing import FlaskClient

from tests.one_number.reading import N, text_of

#: Where the second chamber's pressure is said, on each page; none of these may be said of the first.
SECOND: Final = (
    rf"Second chamber {N} psi {N} bar",
    rf"its own valve to {N} psi \({N} bar\)",
    rf"Second chamber of the (?:fork|shock) {N} psi {N} bar",
    rf"in the manual's order {N} psi {N} bar",
)
FIRST: Final = (rf"Start pressure {N} psi {N} bar", rf"connect the pump and set {N} psi \({N} bar\)")
#: One psi in bar.
BAR_A_PSI: Final = 0.06894757
INSIDE: Final = {
    "front": {"travel_mm": 160, "stanchion_mm": 36, "bore_mm": 34, "positive_volume_cm3": 230, "volume_spacers": 1},
    "rear": {
        "stroke_mm": 60,
        "leverage_start": 2.8,
        "leverage_end": 2.3,
        "bore_mm": 44,
        "positive_volume_cm3": 160,
    },
}
CHAMBER: Final = {"second_volume_cm3": 40, "second_pressure_ratio": 1.5, "second_max_pressure_psi": 350}


def request(name: str) -> dict[str, Any]:
    """Return the request of one end with a second positive chamber, ridden where it is colder and higher."""
    end = {**INSIDE[name], **CHAMBER, "rebound_clicks": 14, "max_pressure_psi": 250}
    ride = {"temperature_c": 2, "altitude_m": 1400}
    return {"rider_mass_kg": 77, "riding_style": "enduro", "ride": ride, name: end}


def shown(pattern: str, text: str) -> list[tuple[str, ...]]:
    """Return the numbers of every statement that a pattern finds."""
    return [found.groups() for found in re.finditer(pattern, text)]


def is_shown(shown_psi: str, json_psi: float) -> bool:
    """Return whether a pressure of a page is that of the JSON, as a gauge is read: whole from 40 psi on, else halves.

    The JSON itself is rounded to a tenth.
    """
    half_a_step = 0.5 if json_psi >= 39.75 else 0.25
    return abs(float(shown_psi) - json_psi) <= half_a_step + 0.05


@pytest.mark.parametrize("name", ["front", "rear"])
@pytest.mark.parametrize("miss", [0.8, 1.0, 1.25])
def test_a_second_chamber_has_one_pressure_everywhere(client: FlaskClient, name: str, miss: float) -> None:
    made: Any = client.post("/api/v1/setups", json=request(name)).json
    code = made["code"]
    check_pages(client, code, made[name], 1)
    sag = str(round(miss * made[name]["sag_expected_mm"]))
    entries = {f"{name}.pressure_psi": str(made[name]["pressure_psi"]), f"{name}.readings_mm-0": sag, "confirm": "y"}
    sent = client.post(f"/s/{code}/sag-check", data=entries)
    assert sent.status_code == 303, text_of(sent.text)[:400]
    now: Any = client.get(f"/api/v1/setups/{code}").json
    check_pages(client, code, now[name], 2)
    past = client.get(f"/api/v1/setups/{code}/revisions").json
    assert past is not None
    for version, answer in zip(past["revisions"], (made[name], now[name]), strict=True):
        second = answer["second_chamber"]
        assert version[name]["second_chamber"] == {key: second[key] for key in ("pressure_psi", "pressure_bar")}


def check_pages(client: FlaskClient, code: str, answer: dict[str, Any], revision: int) -> None:
    """Hold every page of a revision against the JSON."""
    second = answer["second_chamber"]
    assert second["pressure_psi"] == pytest.approx(1.5 * answer["pressure_psi"], abs=0.13)
    assert second["pressure_psi"] <= second["max_pressure_psi"] == 350
    paths = {"setup": f"/s/{code}", "card": f"/s/{code}/print", "history": f"/s/{code}/history"}
    texts = {where: text_of(client.get(path).text) for where, path in paths.items()}
    if revision > 1:
        texts["answer"] = text_of(client.get(f"/s/{code}/{revision}/answer").text).partition("What changed")[0]
    for patterns, one in ((SECOND, second), (FIRST, answer)):
        psi = shown(patterns[0], texts["setup"])[0][0]
        assert is_shown(psi, one["pressure_psi"])
        for where, text in texts.items():
            found = [numbers for pattern in patterns for numbers in shown(pattern, text)]
            assert found or where in ("history", "answer", "card"), where
            for numbers in found:
                assert numbers[0] == psi, (where, numbers)
                # To one decimal, and at a maximum never rounded up.
                tenths = 10 * float(psi) * BAR_A_PSI
                assert numbers[1] in (f"{tenths / 10:.1f}", f"{int(tenths + 1e-6) / 10:.1f}"), (where, numbers)
    ((psi, _bar),) = shown(SECOND[0], texts["setup"])
    assert shown(SECOND[1], texts["setup"])
    ((on_card, _bar),) = shown(SECOND[3], texts["card"])
    assert on_card == psi
    assert f"second chamber {psi} psi" in texts["history"] or f"→ {psi} psi" in texts["history"]


def test_the_printed_card_says_both_pressures_of_the_page(client: FlaskClient) -> None:
    pdftotext = shutil.which("pdftotext")
    if pdftotext is None:
        pytest.fail("pdftotext is missing: install poppler-utils.")
    made: Any = client.post("/api/v1/setups", json=request("front")).json
    pdf = client.get(f"/s/{made['code']}/card.pdf").data
    read = subprocess.run([pdftotext, "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
    printed = " ".join(read.stdout.decode().split())
    (first,) = re.findall(r"Start pressure(.*?)Second chamber", printed)
    (second,) = re.findall(r"Second chamber(.*?)Target", printed)
    for said, answer in ((first, made["front"]), (second, made["front"]["second_chamber"])):
        (psi, *_more) = re.findall(rf"{N} psi", said)
        assert is_shown(psi, answer["pressure_psi"]), said


def test_the_what_if_page_and_the_plan_keep_the_second_chamber(client: FlaskClient) -> None:
    made: Any = client.post("/api/v1/setups", json=request("front")).json
    asked = {"front": {"volume_spacers": 2}, "riding_style": "park", "save": True}
    after: Any = client.post(f"/api/v1/setups/{made['code']}/what-if", json=asked).json
    second = after["front"]["second_chamber"]
    assert second["pressure_psi"] == pytest.approx(1.5 * after["front"]["pressure_psi"], abs=0.13)
    wish = {"travel_mm": "150", "longest_travel_mm": "160", "spacer1.size_mm": "10", "spacer1.count": "1"}
    plan = client.post(f"/s/{made['code']}/travel", data=wish)
    assert "Second chamber" in plan.text, text_of(plan.text)[:500]
