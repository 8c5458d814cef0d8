"""The form of a bike with coil main springs at both ends, and what the tests read from its pages."""

from __future__ import annotations

import html
import re

from flask.testing import FlaskClient

FORM = {
    "rider_mass_kg": "78",
    "riding_style": "trail",
    "front.wanted": "y",
    "front.travel_mm": "140",
    "front.spring": "coil",
    "front.rebound_clicks": "16",
    "front.stocked_rates_n_per_mm": "7 8 9 10 11",
    "front.preload_mm_max": "8",
    "front.coil_stroke_mm": "150",
    "rear.wanted": "y",
    "rear.stroke_mm": "55",
    "rear.wheel_travel_mm": "145",
    "rear.spring": "coil",
    "rear.rebound_clicks": "14",
    "rear.stocked_rates_n_per_mm": "350, 400, 450; 500 lb/in",
    "rear.preload_mm_max": "3",
    "rear.preload_pitch_mm": "1.25",
    "rear.coil_stroke_mm": "60",
}


def made(client: FlaskClient, form: dict[str, str] = FORM) -> str:
    """Return the code of a setup that was made with a form."""
    saved = client.post("/", data=form)
    assert saved.status_code == 303, text_of(saved.text)
    return saved.headers["Location"].split("?")[0].rsplit("/", 1)[-1]


def page_of(client: FlaskClient, code: str, path: str = "") -> str:
    """Return a page of a setup."""
    page = client.get(f"/s/{code}{path}")
    assert page.status_code == 200, page.text
    return page.text


def text_of(page: str) -> str:
    """Return what people read of a page: no tags, no style, its spaces one."""
    body = re.sub(r"<(script|style)\b.*?</\1>", " ", page, flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", body)).split())
