"""The demo: the invented shop's lists are full, a second run doubles nothing, and what is gone is said."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tests.databases import set_storage, storage
from webapp import create_app
from webapp.accounts.actions.manage_staff import list_staff
from webapp.accounts.actions.open_shop import find_shop
from webapp.commands import demo_data
from webapp.commands.cli import main
from webapp.ground.database.engine import database
from webapp.library.actions.find_suspension_units import list_suspension_units
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import find_shop_setups
from webapp.workshop.actions.find_records import find_records
from webapp.workshop.actions.find_services import find_service


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    set_storage(tmp_path, monkeypatch)
    return tmp_path


@pytest.fixture
def app(folder: Path) -> Iterator[Flask]:
    """The app over the folder that the demo fills."""
    made = create_app({"DATA": str(folder), **storage(folder), "RATELIMIT_ENABLED": False, "WTF_CSRF_ENABLED": False})
    with made.app_context():
        yield made
        database.engine.dispose()


def run(capsys: pytest.CaptureFixture[str]) -> str:
    """Run the demo and return what it printed."""
    assert main(["demo"]) == 0
    return capsys.readouterr().out


def codes_in(text: str) -> list[str]:
    """Return the codes of the setups in a text."""
    return re.findall("/s/([0-9A-Z]{26})", text)


def signed_in(app: Flask, printed: str) -> FlaskClient:
    """Return a client that is logged in with what the first run printed."""
    password = re.search(r"the password (\S+) ", printed)
    assert password is not None
    client = app.test_client()
    answer = client.post("/shop/log-in", data={"login": demo_data.LOGIN, "password": password[1]})
    assert answer.status_code == 303
    return client


def test_every_printed_address_opens_for_who_logs_in(app: Flask, capsys: pytest.CaptureFixture[str]) -> None:
    printed = run(capsys)
    client = signed_in(app, printed)
    paths = re.findall(r"http://localhost:8000(/\S+)", printed)
    assert len(paths) >= 5 + 4
    assert {path: client.get(path).status_code for path in paths if path != "/shop/log-in"} == {
        path: 200 for path in paths if path != "/shop/log-in"
    }


def test_the_shops_lists_are_full(app: Flask, capsys: pytest.CaptureFixture[str]) -> None:
    codes = codes_in(run(capsys))
    shop_id = find_shop(demo_data.SHOP)
    assert shop_id is not None
    assert {setup.code for setup in find_shop_setups(shop_id).setups} == set(codes)
    suspension_units = [saved.suspension_unit for saved in list_suspension_units(shop_id).suspension_units]
    assert {suspension_unit.kind for suspension_unit in suspension_units} == {"fork", "shock"}
    assert any(suspension_unit.charts for suspension_unit in suspension_units)
    assert sorted(record.state for record in find_records(shop_id).records) == ["closed", *["open"] * 4]
    with database.read() as connection:
        bikes = connection.exec_driver_sql("SELECT number FROM bike ORDER BY number").scalars().all()
    assert bikes == [bike["number"] for bike in demo_data.FLEET]


def test_the_setups_cover_each_end_and_one_has_a_history(app: Flask, capsys: pytest.CaptureFixture[str]) -> None:
    saved = [find_setup(code) for code in codes_in(run(capsys))]
    assert {tuple(end.end for end in one.setup.ends()) for one in saved} == {("front",), ("rear",), ("front", "rear")}
    history = app.test_client().get(f"/s/{max(saved, key=lambda one: one.number).code}/history").text
    for word in ("Sag check", "After a ride", "Changed"):
        assert word in history
    assert any(one.setup.front is not None and one.setup.front.chart_fit_percent is not None for one in saved)


def test_the_closed_record_changed_the_travel_and_prints_its_back(
    app: Flask, capsys: pytest.CaptureFixture[str]
) -> None:
    printed = run(capsys)
    code = dict(zip((bike.label for bike in demo_data.BIKES), codes_in(printed), strict=True))[demo_data.BLUE.label]
    saved = find_setup(code)
    assert saved.setup.front is not None
    assert (saved.number, saved.setup.front.travel_mm) == (2, 130)
    record = find_service(code, 2)
    assert record is not None
    assert next(step for step in record.steps if step.key == "leak").values["verdict"] == "cannot_tell"
    back = signed_in(app, printed).get(f"/s/{code}/card.pdf?side=back")
    assert back.status_code == 200
    assert f"{record.as_left['pressure_psi']}</span> psi" in app.test_client().get(f"/s/{code}").text


def test_a_second_run_prints_the_same_and_adds_nothing(app: Flask, capsys: pytest.CaptureFixture[str]) -> None:
    first = run(capsys)
    shop_id = find_shop(demo_data.SHOP)
    assert shop_id is not None
    before = [find_setup(code).number for code in codes_in(first)]
    again = run(capsys)
    assert [line for line in first.splitlines() if "password" not in line] == [
        line for line in again.splitlines() if "password" not in line
    ]
    assert [find_setup(code).number for code in codes_in(again)] == before
    assert (find_records(shop_id).total, list_suspension_units(shop_id).total) == (5, len(demo_data.UNITS))
    assert len(list_staff(shop_id)) == 1


def test_a_demo_setup_that_was_deleted_is_said_and_not_made_again(
    app: Flask, capsys: pytest.CaptureFixture[str]
) -> None:
    run(capsys)
    with database.write() as connection:
        connection.exec_driver_sql("UPDATE setup SET expires_at = '2020-01-01 00:00:00.000000' WHERE id = 1")
    assert main(["demo"]) == 1
    assert "deleted or has expired" in capsys.readouterr().err
