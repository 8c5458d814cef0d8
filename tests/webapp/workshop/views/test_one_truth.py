"""Front and back of a card say the same, and one code on both leads to bike and record from every search box."""

from __future__ import annotations

import html
import io
import subprocess
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules import SagCheck, apply_sag_check
from tests.webapp.workshop.views.test_sheet import SAFE, bring_in, code, opened, staff, words
from webapp.cards.pages.as_set import as_set_by
from webapp.cards.pages.card import CardCell, present_card
from webapp.cards.pages.card_back import present_back
from webapp.setups.actions.append_revision import append_revision
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import printed_short_code
from webapp.workshop.actions.find_services import find_service, find_services, find_visit

__all__ = ["code", "staff"]


@pytest.fixture
def closed(staff: FlaskClient, code: str) -> str:
    """The path of a record that was closed with 76 psi, 8 clicks and 34 mm of sag."""
    record = bring_in(staff, setup_code=code)
    left = {"left.pressure_psi": "76", "left.rebound_out": "7", "left.sag_mm": "33"}
    sent = opened(staff, record) | {f"{key}.done": "y" for key in SAFE} | left | {"then": "close"}
    answer = staff.post(f"{record}/sheet", data=sent)
    assert answer.status_code == 303, words(answer.text)
    return record


def _cells(code: str) -> dict[str, CardCell]:
    saved = find_setup(code)
    card = present_card(saved, "", as_set=as_set_by(find_services(code, saved.number)))
    return {row.label.full: row.cells[0] for row in card.rows}


@pytest.mark.usefixtures("closed")
def test_what_was_set_stands_on_both_sides(app: Flask, code: str) -> None:
    with app.app_context():
        cells, service = _cells(code), find_service(code, 2)
        assert service is not None
        back = dict(present_back(service, "").lines)
    assert cells["Start pressure"].parts[0].value == "76"
    assert cells["Rebound"].parts[0].value == "7"
    assert cells["Measured sag"].parts[0].value == "33"
    assert back["Final settings"] == "76 psi, sag 33 mm, rebound 7 out"


@pytest.mark.usefixtures("closed")
def test_the_sag_of_the_shop_is_the_setups_newest_check(app: Flask, code: str) -> None:
    with app.app_context():
        saved = find_setup(code)
    assert saved.setup.front is not None
    assert saved.setup.front.checks_used == 1
    check = saved.setup.checks[-1].check
    assert (round(check.pressure_pa / 6894.757), check.readings_mm) == (76, (33.0,))
    assert "fork set to 76 psi" in saved.texts.service_note


@pytest.mark.usefixtures("closed")
def test_a_check_at_home_is_newer_than_what_the_shop_set(app: Flask, code: str) -> None:
    with app.app_context():
        saved = find_setup(code)
        check = SagCheck(end="front", pressure_pa=76 * 6894.757, readings_mm=(34.0,))
        append_revision(saved.followed_by(apply_sag_check(saved.setup, check), kind="sag_check", reason="checked"))
        assert not _cells(code)["Start pressure"].remark.full.startswith("set")


def test_one_code_stands_on_both_sides_and_is_found_everywhere(
    app: Flask, staff: FlaskClient, closed: str, code: str
) -> None:
    with app.app_context():
        short, service = printed_short_code(code), find_service(code, 2)
        assert service is not None
        assert short
        assert short in present_back(service, "", short_code=short).issued
    record = closed.rsplit("/", 1)[1]
    for wanted in {short, record, code}:
        for box in ("/shop", "/shop/bench"):
            answer = staff.get(box, query_string={"q": wanted}, follow_redirects=True)
            assert answer.request.path == f"/shop/bench/bike/{code}", wanted
            assert closed in answer.text, wanted


@pytest.mark.usefixtures("closed")
def test_both_printed_sides_carry_the_code(app: Flask, staff: FlaskClient, code: str, tmp_path: Path) -> None:
    with app.app_context():
        short = printed_short_code(code)
    answer = staff.get(f"/s/{code}/card.pdf?side=both")
    assert answer.status_code == 200
    paper = tmp_path / "card.pdf"
    paper.write_bytes(io.BytesIO(answer.data).getvalue())
    for page in ("1", "2"):
        text = subprocess.run(["pdftotext", "-f", page, "-l", page, str(paper), "-"], capture_output=True, check=True)
        assert short in text.stdout.decode()


def test_fork_and_shock_of_one_visit_are_two_parts_under_one_code(app: Flask, staff: FlaskClient) -> None:
    asked = {"rider_mass_kg": "78", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "140"}
    rear = {"rear.wanted": "y", "rear.stroke_mm": "55", "rear.wheel_travel_mm": "145"}
    code = staff.post("/", data=asked | rear | {"bike_label": "Stork 2"}).location.rsplit("/", 1)[1].partition("?")[0]
    fork = bring_in(staff, setup_code=code, customer_reference="T-7")
    shock = staff.post(f"{fork}/part").location
    assert staff.post(f"{fork}/part").location == shock
    assert staff.post(f"{shock}/part").location == fork
    page = words(staff.get(shock).text)
    short = fork.rsplit("/", 1)[1]
    assert f"Short code {short} Fork or shock Shock" in page
    assert "T-7" in page
    for record, psi in ((fork, "75"), (shock, "180")):
        sent = opened(staff, record) | {f"{key}.done": "y" for key in SAFE} | {"left.pressure_psi": psi}
        answer = staff.post(f"{record}/sheet", data=sent)
        assert answer.status_code == 303
        key = html.unescape(staff.get(record).text).partition('name="confirm" value="')[2].partition('"')[0]
        answer = staff.post(f"{record}/close", data={"confirm": key})
        assert answer.status_code == 303, words(answer.text)
    with app.app_context():
        saved = find_setup(code)
        card = present_card(saved, "", as_set=as_set_by(find_services(code, saved.number)))
        parts = find_visit(code, saved.number)
        back = dict(present_back(parts[0], "", other=parts[1]).lines)
    pressures = next(row for row in card.rows if row.label.full == "Start pressure").cells
    assert [cell.parts[0].value for cell in pressures] == ["75", "180"]
    assert (back["Fork: Final settings"], back["Shock: Final settings"]) == ("75 psi", "180 psi")


def test_the_first_setup_of_one_part_is_the_others_too(staff: FlaskClient) -> None:
    fork = bring_in(staff)
    shock = staff.post(f"{fork}/part").location
    asked = {"rider_mass_kg": "78", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "140"}
    rear = {"rear.wanted": "y", "rear.stroke_mm": "55", "rear.wheel_travel_mm": "145"}
    assert staff.post(f"{fork}/setup", data=asked | rear).status_code == 303
    assert "No setup yet" in staff.get(shock).text
    sent = opened(staff, fork) | {f"{key}.done": "y" for key in SAFE} | {"then": "close"}
    assert staff.post(f"{fork}/sheet", data=sent).status_code == 303
    assert "This bike has a setup" in staff.get(shock).text
