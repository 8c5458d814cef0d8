"""A shop moves with its own setups alone: no file takes another shop's setup along, none writes to it."""

from __future__ import annotations

import copy
import io
import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from tests.webapp.moving.test_move_shop import give_owner_key
from webapp.accounts.staff import StaffMember
from webapp.commands import demo_data
from webapp.commands.cli import main
from webapp.commands.opened_app import opened_app
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.database.engine import database
from webapp.moving.actions.export_shop import export_shop
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.renew_link import renew_link
from webapp.workshop.actions.open_record import open_record
from webapp.workshop.entries import Arrival

SHOP, OTHER = demo_data.SHOP, "Another shop"
Go = Callable[[str], None]


def shop_of(login: str) -> StaffMember:
    with opened_app(), database.read() as connection:
        row = connection.exec_driver_sql(f"SELECT id, shop_id FROM staff WHERE login = '{login}'").one()  # noqa: S608
    known: dict[str, Any] = {"role": "owner", "session_epoch": 1, "created_at": datetime.now(UTC)}
    return StaffMember(staff_id=row.id, shop_id=row.shop_id, shop_name=OTHER, login=login, **known)


def told(capsys: pytest.CaptureFixture[str]) -> str:
    return "".join(capsys.readouterr())


@pytest.fixture
def foreign(file: Path, at: Go, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """The whole of a setup of the demo's shop, on its server, where another shop has its link in a record."""
    at("laptop")
    monkeypatch.setattr("sys.stdin", io.StringIO("three grey herons asleep\n"))
    assert main(["shop", OTHER, "olga"]) == 0
    setup: dict[str, Any] = json.loads(file.read_text())["setups"][0]
    member = shop_of("olga")
    with opened_app():
        open_record(member, Arrival(bike_label="Visitor", setup_code=setup["code"]))
    assert main(["export-shop", OTHER, str(tmp_path / "other.json")]) == 0
    return setup


def test_another_shops_setup_is_never_in_a_file_and_neither_is_its_link(
    foreign: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (tmp_path / "other.json").read_text()
    data = json.loads(text)
    assert data["setups"] == []
    assert [(one["bike_label"], one["setup_code"]) for one in data["records"]] == [("Visitor", None)]
    assert foreign["code"] not in text
    assert main(["import-shop", OTHER, str(tmp_path / "other.json")]) == 0
    assert "Nothing was changed" in told(capsys)


def test_a_record_brought_up_to_date_keeps_its_link_to_another_shops_setup(
    foreign: dict[str, Any], tmp_path: Path
) -> None:
    data = json.loads((tmp_path / "other.json").read_text())
    record, line = data["records"][0], copy.deepcopy(data["records"][0]["changes"][0])
    record["as_found"] = {"pressure_psi": 71}
    record["changes"].append(line | {"number": 2, "kind": "found", "detail": {"pressure_psi": 71}})
    (tmp_path / "later.json").write_text(json.dumps(data))
    assert main(["import-shop", OTHER, str(tmp_path / "later.json")]) == 0
    with opened_app(), database.read() as connection:
        held = connection.exec_driver_sql(
            "SELECT s.code FROM bench_record r JOIN setup s ON s.id = r.setup_id WHERE r.bike_label = 'Visitor'"
        )
        assert held.scalars().all() == [foreign["code"]]


@pytest.mark.parametrize("short_code", [None, "ZZZZZZ"])
def test_nothing_is_appended_to_another_shops_setup(
    foreign: dict[str, Any], tmp_path: Path, capsys: pytest.CaptureFixture[str], short_code: str | None
) -> None:
    data = json.loads((tmp_path / "other.json").read_text())
    more = copy.deepcopy(foreign) | {"short_code": short_code, "saved_by": "olga"}
    newest = copy.deepcopy(more["revisions"][-1])
    newest |= {"number": newest["number"] + 1, "idempotency_key": None, "bike_label": "Taken"}
    more["revisions"].append(newest)
    data["setups"] = [more]
    (tmp_path / "more.json").write_text(json.dumps(data))
    told(capsys)
    assert main(["import-shop", OTHER, str(tmp_path / "more.json")]) == 1
    assert "setup “Taken”" in told(capsys)
    assert main(["import-shop", "--leave-out-differing", OTHER, str(tmp_path / "more.json")]) == 0
    with opened_app():
        assert find_setup(foreign["code"]).number == len(foreign["revisions"])


def test_no_setup_that_is_nobodys_is_made_under_a_free_link(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(file.read_text())
    data["setups"][0] |= {"short_code": None, "saved_by": None, "saved_at": None}
    file.write_text(json.dumps(data))
    told(capsys)
    assert main(["import-shop", SHOP, str(file)]) == 1
    assert ": not the shop's own" in told(capsys)
    with opened_app(), pytest.raises(LinkUnknownError):
        find_setup(data["setups"][0]["code"])


def test_another_setup_with_an_owners_key_that_is_here_is_refused(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["import-shop", SHOP, str(file)]) == 0
    data = json.loads(file.read_text())
    twin = copy.deepcopy(data["setups"][0]) | {"code": "Z" * 26, "short_code": "ZZZZZZ", "creation_key": None}
    data["setups"], data["records"] = [twin], []
    file.write_text(json.dumps(data))
    told(capsys)
    assert main(["import-shop", SHOP, str(file)]) == 1
    assert "owner's link of another setup" in told(capsys)


def test_a_link_that_was_renewed_here_does_not_come_back(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["import-shop", SHOP, str(file)]) == 0
    data = json.loads(file.read_text())
    code = data["setups"][0]["code"]
    give_owner_key(code, "0123456789ABCDEFGHJKMNPQRS")
    with opened_app():
        renewed = renew_link("0123456789ABCDEFGHJKMNPQRS")
    # Under another owner's and short code, so that nothing but the retired link tells that it is gone.
    data["setups"] = [data["setups"][0] | {"owner_key_hash": None, "creation_key": None, "short_code": "ZZZZZZ"}]
    data["records"] = []
    file.write_text(json.dumps(data))
    told(capsys)
    assert main(["import-shop", SHOP, str(file)]) == 0
    assert "stay so: 1" in told(capsys)
    with opened_app():
        assert find_setup(renewed).code == renewed != code
        with pytest.raises(LinkGoneError):
            find_setup(code)


def test_a_short_code_of_another_setup_is_told_as_that(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["import-shop", SHOP, str(file)]) == 0
    with opened_app():
        before = export_shop(1)["setups"]
    data = json.loads(file.read_text())
    fresh = copy.deepcopy(data["setups"][0]) | {"code": "Z" * 26, "owner_key_hash": None, "creation_key": None}
    data["setups"], data["records"] = [fresh], []
    file.write_text(json.dumps(data))
    told(capsys)
    assert main(["import-shop", SHOP, str(file)]) == 1
    assert "short code of another setup" in told(capsys)
    with opened_app():
        assert export_shop(1)["setups"] == before
