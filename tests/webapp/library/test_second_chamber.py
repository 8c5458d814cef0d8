"""A second positive chamber of the library: in its form, in files, and in the setup that chooses it."""

from __future__ import annotations

import re

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.webapp.library.test_views import SETUP, logged_in, typed, upload
from webapp.accounts.actions.open_shop import open_shop

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
UNIT = {
    "kind": "fork",
    "name": "Sedge 36",
    "travels_mm": "140 160",
    "bore_mm": "34",
    "positive_volume_cm3": "230",
    "second_volume_cm3": "45",
    "second_pressure_ratio": "1.8",
    "second_max_pressure_psi": "14 bar",
}
FILE = "kind,name,travels_mm,bore_mm,positive_volume_cm3,second_volume_cm3,second_pressure_ratio\n"


@pytest.fixture
def staff(app: Flask) -> FlaskClient:
    """A browser in which the owner of an invented shop is logged in."""
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
    return logged_in(app, "mira", PASSWORD)


def test_the_form_keeps_it_and_a_setup_that_chooses_it_pumps_both(staff: FlaskClient) -> None:
    saved = staff.post("/shop/units/new", data=UNIT)
    assert saved.status_code == 303, re.sub("<[^>]+>", " ", saved.text)
    page = staff.get(str(saved.location)).text
    shown = typed(page)
    assert (shown["second_volume_cm3"], shown["second_pressure_ratio"]) == ("45", "1.8")
    estimated = re.sub("<[^>]+>", " ", page.partition("Our estimate:")[2].partition("</p>")[0])
    assert "Rod diameter" in estimated
    assert "econd" not in estimated
    made = staff.post("/", data=SETUP | {"front_unit": "sedge 36"})
    assert made.status_code == 303
    text = " ".join(re.sub("<[^>]+>", " ", staff.get(str(made.location)).text).split())
    assert re.search(r"Second chamber \d+(\.\d)? psi", text)
    assert "It joins about" in text
    assert "This end has two positive chambers" in text


def test_files_bring_it_in_and_out(staff: FlaskClient) -> None:
    assert upload(staff, FILE + "fork,Sedge 36,140 160,34,230,45,1.8\n")[0] == 303
    for name in ("units.toml", "units.csv"):
        text = staff.get(f"/shop/units/{name}").text
        assert upload(staff, text, name, known="replace")[0] == 303
        assert staff.get(f"/shop/units/{name}").text == text
    assert "second_pressure_ratio = 1.8" in staff.get("/shop/units/units.toml").text


def test_half_of_it_is_refused_beside_its_field(staff: FlaskClient) -> None:
    refused = staff.post("/shop/units/new", data=UNIT | {"second_pressure_ratio": ""})
    assert refused.status_code == 422
    assert re.search(r'href="#second_pressure_ratio">[^<]*needs its volume and its pressure ratio', refused.text)
    status, page = upload(staff, FILE + "fork,Sedge 36,140 160,,,45,1.8\n")
    assert status == 422
    assert "needs the volume and the bore of the first" in page
