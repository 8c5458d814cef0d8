"""A fork with pushes goes in and out at every door: requests with lists were once written with tuples left bare."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules import read_request
from tests.databases import set_storage
from tests.webapp.setups.views.test_measured import PAGE, PUSHES
from webapp.accounts.actions.find_session import find_session
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.actions.tokens import create_token
from webapp.commands.cli import main
from webapp.commands.opened_app import opened_app
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import register_setup
from webapp.workshop.actions.change_record import save_draft_setup
from webapp.workshop.actions.find_records import find_record
from webapp.workshop.actions.open_record import open_record
from webapp.workshop.entries import Arrival

FRONT: dict[str, Any] = {"travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16, "spring_test": PUSHES}
BODY: dict[str, Any] = {"rider_mass_kg": 78, "riding_style": "trail", "front": FRONT}


@pytest.fixture
def made(client: FlaskClient) -> dict[str, Any]:
    """A saved setup whose fork was pushed."""
    return dict(client.post("/api/v1/setups", json=BODY).json)  # type: ignore[arg-type]


def pushes_of(app: Flask, code: str) -> tuple[float, ...]:
    """Return the forces that are kept with the newest revision."""
    with app.app_context():
        front = find_setup(code).setup.request.front
    assert front is not None
    assert front.spring_test is not None
    return front.spring_test.force_down_n


def test_a_page_sent_twice_with_its_key_is_saved_once(client: FlaskClient) -> None:
    page = {**PAGE, "idempotency_key": "f0a1b2c3d4e5f6a7b8c9d0e1f2a3b4c5"}
    first, second = client.post("/", data=page), client.post("/", data=page)
    assert (first.status_code, second.location) == (303, first.location)


def test_json_sent_twice_with_its_key_is_saved_once(client: FlaskClient) -> None:
    key = {"Idempotency-Key": "once-and-no-more"}
    first, second = (client.post("/api/v1/setups", json=BODY, headers=key) for _ in range(2))
    assert first.status_code == 201
    assert second.json["code"] == first.json["code"]  # type: ignore[index]


def test_a_bike_of_a_shop_is_made_with_pushes(app: Flask, client: FlaskClient) -> None:
    with app.app_context():
        member = open_shop("Lantern Lane Cycles", "mira", "three grey herons asleep")
        token = create_token(member, "demo desk")
    sent = {"Authorization": f"Bearer {token}"}
    bike = {"number": "17", "label": "Heron 4", "bike_mass_kg": 15, "riding_style": "trail", "front": FRONT}
    answer = client.post("/api/v1/bikes", json=bike, headers={**sent, "Idempotency-Key": "a-bike"})
    assert answer.status_code == 201, answer.json
    ridden = client.post(f"/api/v1/bikes/{answer.json['bike']}/setups", json={"rider_mass_kg": 78}, headers=sent)
    assert ridden.status_code == 201, ridden.json
    assert ridden.json["front"]["spring_test"]["pressure_psi"] == 80.0


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("what-if", {"bike_mass_kg": 16, "save": True}),
        ("what-if", {"front": {"spring_test": PUSHES}, "rider_mass_now_kg": 78, "save": True}),
        ("bounce-checks", {"end": "front", "clicks_out": 8, "seen": "more"}),
        ("rides", {"end": "front", "felt": ["dives"]}),
    ],
)
def test_a_setup_with_pushes_is_corrected(
    app: Flask, client: FlaskClient, made: dict[str, Any], path: str, body: dict[str, Any]
) -> None:
    key = {"Idempotency-Key": "once"}
    first, again = (client.post(f"/api/v1/setups/{made['code']}/{path}", json=body, headers=key) for _ in range(2))
    assert first.status_code in (200, 201), first.json
    assert again.json["revision"] == first.json["revision"] == 2  # type: ignore[index]
    assert pushes_of(app, made["code"]) == tuple(PUSHES["force_down_n"])


def test_the_travel_of_a_pushed_fork_is_planned(client: FlaskClient, made: dict[str, Any]) -> None:
    wish = {"travel_mm": "120", "longest_travel_mm": "140", "spacer1.size_mm": "10", "spacer1.count": "2", "base": "1"}
    page = client.post(f"/s/{made['code']}/travel", data=wish)
    assert page.status_code == 200
    assert "Error:" not in page.text


def test_a_workshop_draft_keeps_pushes(app: Flask) -> None:
    with app.app_context():
        opened = open_shop("Lantern Lane Cycles", "mira", "three grey herons asleep")
        member = find_session(opened.staff_id, opened.session_epoch)
        assert member is not None
        record = open_record(member, Arrival(bike_label="Heron 4", spring_end="front"))
        save_draft_setup(member, record.short_code, read_request(BODY))
        draft = find_record(member.shop_id, record.short_code)[0].draft
    assert draft is not None
    assert list(draft["front"]["spring_test"]["force_down_n"]) == PUSHES["force_down_n"]
    assert read_request(draft).front is not None


def test_a_shop_moves_with_a_pushed_fork(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SETUP_CARD_SECRET_KEY", "only-for-tests-0123456789")
    shop, file = "Lantern Lane Cycles", str(tmp_path / "shop.json")

    set_storage(tmp_path / "laptop", monkeypatch)
    with opened_app():
        code = create_setup(read_request(BODY)).saved.code
        register_setup(open_shop(shop, "mira", "three grey herons asleep"), code)
    assert main(["export-shop", shop, file]) == 0
    assert json.loads(Path(file).read_text())["setups"]
    set_storage(tmp_path / "hosted", monkeypatch)
    monkeypatch.setattr("sys.stdin", io.StringIO("three grey herons asleep\n"))
    assert main(["shop", shop, "nora"]) == 0
    assert main(["import-shop", shop, file]) == 0
    with opened_app():
        front = find_setup(code).setup.front
    assert front is not None
    assert front.pushed is not None
