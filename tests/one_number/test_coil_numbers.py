"""One coil has one rate and one preload: setup page, answer, history, card (HTML and PDF) and JSON, read back.

Nothing here asks the code how it rounds: numbers are taken from the texts, and only 1 lbf/in = 0.1751268 N/mm is known.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from typing import Any, Final

import pytest
from flask.testing import FlaskClient

from tests.one_number.reading import N, text_of

N_PER_MM: Final = 0.17512683524647636
RATES: Final = {
    "front": (9.5, [7, 8, 9, 10, 11, 12]),
    "rear": (80.0, [61.3, 70.05, 78.81, 87.56, 96.32]),
}
#: Where a rate to fit and its preload are said, on each page.
RATE: Final = (
    rf"Spring rate {N} N/mm {N} lb/in",
    rf"Fit the spring of {N} N/mm \({N} lb/in\)",
    rf"Spring of the (?:fork|shock) {N} N/mm {N} lb/in",
    rf"(?:Rate|Spring rate) [^.]*?spring off(?: 90 % range)? {N} N/mm {N} lb/in",
    rf"Of the springs entered, {N} N/mm \({N} lb/in\)",
    rf"Done, ride it: with {N} N/mm \({N} lb/in\)",
    rf"The fitted spring of {N} N/mm \({N} lb/in\) stays",
    rf"Fit a spring of {N} N/mm \({N} lb/in\)",
)
#: The same where the springs are sold in pounds an inch, so that these come first.
POUNDS: Final = (
    rf"Spring rate {N} lb/in {N} N/mm",
    rf"Spring of the (?:fork|shock) {N} lb/in {N} N/mm",
    rf"(?:Rate|Spring rate) [^.]*?spring off(?: 90 % range)? {N} lb/in {N} N/mm",
)
PRELOAD: Final = (
    rf"Preload {N} mm",
    rf"by hand, then to {N} mm",
    rf"Preload of the (?:fork|shock) {N} mm",
    rf"preload, {N} mm in total",
    rf"with {N} mm of preload",
    rf"and {N} mm of preload it sags",
)


def request(name: str) -> dict[str, Any]:
    """Return the request of one end with a coil."""
    end: dict[str, Any] = {"spring": "coil", "stocked_rates_n_per_mm": RATES[name][1], "rebound_clicks": 14}
    if name == "front":
        end |= {"travel_mm": 150, "preload_mm_max": 7, "coil_stroke_mm": 170}
    else:
        end |= {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "preload_mm_max": 4, "coil_stroke_mm": 60}
        end["preload_pitch_mm"] = 1.25
    return {"rider_mass_kg": 77, "riding_style": "enduro", name: end}


def said(patterns: tuple[str, ...], text: str) -> list[tuple[str, ...]]:
    """Return the numbers of every statement of one thing."""
    return [found.groups() for pattern in patterns for found in re.finditer(pattern, text)]


@pytest.mark.parametrize("name", ["front", "rear"])
@pytest.mark.parametrize("miss", [0.85, 1.0, 1.15])
def test_a_coil_has_one_rate_and_one_preload_everywhere(client: FlaskClient, name: str, miss: float) -> None:
    made: Any = client.post("/api/v1/setups", json=request(name)).json
    code = made["code"]
    check_pages(client, code, name, made[name], 1)
    sag = round(miss * made[name]["sag_expected_mm"])
    entries = {
        f"{name}.spring_rate_n_per_mm": str(made[name]["spring_rate_n_per_mm"]),
        f"{name}.preload_mm": str(made[name]["preload_mm"]),
        f"{name}.readings_mm-0": str(sag),
        f"{name}.readings_mm-1": str(sag),
        "confirm": "y",
    }
    sent = client.post(f"/s/{code}/sag-check", data=entries)
    assert sent.status_code == 303, text_of(sent.text)[:400]
    now: Any = client.get(f"/api/v1/setups/{code}").json
    check_pages(client, code, name, now[name], 2)


def check_pages(client: FlaskClient, code: str, name: str, answer: dict[str, Any], revision: int) -> None:
    """Hold every page of a revision against the JSON."""
    pages = {"setup": f"/s/{code}", "card": f"/s/{code}/print", "history": f"/s/{code}/history"}
    texts = {where: text_of(client.get(path).text) for where, path in pages.items()}
    if revision > 1:
        # Below, the numbers before the change stand beside those after it.
        texts["answer"] = text_of(client.get(f"/s/{code}/{revision}/answer").text).partition("What changed")[0]
    rate = f"{round(answer['spring_rate_n_per_mm'], 1):g}"
    pounds = f"{answer['spring_rate_n_per_mm'] / N_PER_MM:.0f}"
    assert abs(answer["spring_rate_lb_per_in"] * N_PER_MM - answer["spring_rate_n_per_mm"]) < 0.02
    for where, text in texts.items():
        for found in said(RATE, text):
            assert found == (rate, pounds), (where, found)
        for found in said(POUNDS, text):
            assert (name, *found) == ("rear", pounds, rate), (where, found)
        for (found,) in said(PRELOAD, text):
            assert abs(float(found) - answer["preload_mm"]) < 0.0501, (where, found)
    for where in ("setup", "card", *(["answer"] if revision > 1 else [])):
        assert said(RATE if name == "front" else POUNDS, texts[where]), where
        assert said(PRELOAD, texts[where]), where
    assert f"{rate} N/mm ({pounds} lb/in)" in texts["history"]
    assert not any("psi" in text for text in texts.values()), name


def test_the_printed_card_says_the_rate_and_preload_of_the_page(client: FlaskClient) -> None:
    pdftotext = shutil.which("pdftotext")
    if pdftotext is None:
        pytest.fail("pdftotext is missing: install poppler-utils.")
    made: Any = client.post("/api/v1/setups", json={**request("front"), **request("rear")}).json
    pdf = client.get(f"/s/{made['code']}/card.pdf").data
    read = subprocess.run([pdftotext, "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
    printed = " ".join(read.stdout.decode().split())
    (rates,) = re.findall(r"Spring rate(.*?)Preload", printed)
    (preloads,) = re.findall(r"Preload(.*?)Target", printed)
    for name in ("front", "rear"):
        assert f"{round(made[name]['spring_rate_n_per_mm'], 1):g}" in rates
        assert f"{made[name]['spring_rate_n_per_mm'] / N_PER_MM:.0f}" in rates
        assert any(abs(float(one) - made[name]["preload_mm"]) < 0.0501 for one in re.findall(N, preloads))
