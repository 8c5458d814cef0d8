"""A field day on a laptop moves to the hosted server: all of it, once, under the same links, over nothing."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from webapp.accounts.staff import StaffMember
from webapp.commands import demo_data
from webapp.commands.cli import main
from webapp.commands.opened_app import opened_app
from webapp.ground.action_errors import LinkGoneError
from webapp.ground.database.engine import database
from webapp.moving.actions.export_shop import export_shop
from webapp.moving.errors import ShopFileError
from webapp.moving.shop_file import MOST_BYTES, read_shop_file, write_shop_file
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.actions.find_by_owner_key import find_by_owner_key
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.renew_owner_key import renew_owner_key
from webapp.setups.actions.shop_setups import find_shop_setups, short_code_for
from webapp.workshop.actions.change_record import save_found_state

SHOP = demo_data.SHOP
Tell = Callable[..., int]


def counts() -> dict[str, int]:
    with opened_app(), database.read() as connection:
        tables = ("setup", "revision", "shop_setup", "unit", "bench_record", "bench_change", "staff", "shop")
        return {name: connection.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar_one() for name in tables}  # noqa: S608


def told(capsys: pytest.CaptureFixture[str]) -> str:
    return "".join(capsys.readouterr())


def change(file: Path, alter: Callable[[dict[str, Any]], Any]) -> None:
    data = json.loads(file.read_text())
    alter(data)
    file.write_text(json.dumps(data))


def test_all_of_a_shop_arrives_and_twice_is_once(
    file: Path, at: Callable[[str], None], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["import-shop", SHOP, str(file)]) == 0
    arrived, first = counts(), told(capsys)
    assert f"Accounts added, closed and without a password: {demo_data.LOGIN}" in first
    assert main(["import-shop", SHOP, str(file)]) == 0
    assert "Nothing was changed" in told(capsys)
    assert counts() == arrived
    data = json.loads(file.read_text())
    with opened_app():
        for one in data["setups"]:
            found = find_setup(one["code"])
            assert found.number == len(one["revisions"]) > 0
            if one["short_code"]:
                assert short_code_for(1, one["code"]) == one["short_code"]
        assert find_shop_setups(1).total == sum(one["short_code"] is not None for one in data["setups"])
        again = export_shop(1)
    for part in ("setups", "units", "records", "checklist"):
        assert again[part] == data[part]
    at("laptop")
    left = counts()
    assert left["staff"] + 1 == arrived["staff"]
    assert {name: left[name] for name in left if name != "staff"} == {n: arrived[n] for n in arrived if n != "staff"}


def test_pages_of_what_arrived_open_and_its_account_is_closed(file: Path) -> None:
    assert main(["import-shop", SHOP, str(file)]) == 0
    data = json.loads(file.read_text())
    with opened_app() as app:
        app.config["WTF_CSRF_ENABLED"] = False
        client = app.test_client()
        for one in data["setups"]:
            assert client.get(f"/s/{one['code']}").status_code == 200
            assert client.get(f"/s/{one['code']}/history").status_code == 200
        wrong = client.post("/shop/log-in", data={"login": demo_data.LOGIN, "password": "none"})
        assert wrong.status_code == 422
        inside = client.post("/shop/log-in", data={"login": "nora", "password": "three grey herons asleep"})
        assert inside.status_code == 303
        for path in ("/shop", "/shop/units", "/shop/bench", "/shop/staff"):
            assert client.get(path).status_code == 200
        for one in data["records"]:
            assert client.get(f"/shop/bench/{one['short_code']}").status_code == 200


def test_the_file_holds_no_password_and_is_private(file: Path) -> None:
    assert "argon2" not in file.read_text()
    assert "password" not in file.read_text()
    assert file.stat().st_mode & 0o077 == 0


def test_the_owners_link_stays_the_same(file: Path, tmp_path: Path, at: Callable[[str], None]) -> None:
    at("laptop")
    code, key = json.loads(file.read_text())["setups"][0]["code"], "0123456789ABCDEFGHJKMNPQRS"
    give_owner_key(code, key)
    assert main(["export-shop", SHOP, str(tmp_path / "owned.json")]) == 0
    assert key not in (tmp_path / "owned.json").read_text()
    at("hosted")
    assert main(["import-shop", SHOP, str(tmp_path / "owned.json")]) == 0
    with opened_app():
        assert find_by_owner_key(key).code == code


def give_owner_key(code: str, key: str) -> None:
    from webapp.ground.hashes import secret_hash

    with opened_app(), database.write() as connection:
        connection.exec_driver_sql(
            f"UPDATE setup SET owner_key_hash = '{secret_hash(key)}' WHERE code = '{code}'"  # noqa: S608
        )


def test_what_was_added_on_the_laptop_since_follows_and_what_was_added_here_stays(
    file: Path, tmp_path: Path, at: Callable[[str], None], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["import-shop", SHOP, str(file)]) == 0
    code = json.loads(file.read_text())["setups"][0]["code"]
    at("laptop")
    with opened_app() as app:
        before = find_setup(code).number
        check = {"end": "front", "pressure_psi": 84, "readings_mm": [30, 30], "confirm": True}
        assert app.test_client().post(f"/api/v1/setups/{code}/sag-checks", json=check).status_code == 201
    assert main(["export-shop", SHOP, str(tmp_path / "later.json")]) == 0
    at("hosted")
    told(capsys)
    assert main(["import-shop", SHOP, str(tmp_path / "later.json")]) == 0
    assert "Added 0 setups, 1 versions" in told(capsys)
    assert main(["import-shop", SHOP, str(file)]) == 0  # the older file again
    assert "Nothing was changed" in told(capsys)
    with opened_app():
        assert find_setup(code).number == before + 1


@pytest.mark.parametrize(
    ("alter", "named"),
    [
        (lambda d: d["setups"][0]["revisions"][0].update(service_note="Another"), "{setup}: contents of version 1"),
        (lambda d: d["units"][0]["document"].update(note="Another"), "fork or shock “{unit}”: contents"),
        (lambda d: d["records"][0].update(unit_label="Another"), "{record}: what it is called"),
        (lambda d: d["records"][0].update(as_found={"psi": 1}), "{record}: as received"),
        (lambda d: d["setups"][0].update(owner_key_hash="a" * 64), "{setup}: owner's link"),
    ],
)
def test_a_difference_is_told_and_nothing_at_all_is_stored(
    file: Path, capsys: pytest.CaptureFixture[str], alter: Callable[[dict[str, Any]], Any], named: str
) -> None:
    assert main(["import-shop", SHOP, str(file)]) == 0
    before = counts()
    with opened_app():
        first = export_shop(1)

    def add_and_alter(data: dict[str, Any]) -> None:
        alter(data)
        extra = json.loads(json.dumps(data["setups"][1]))
        extra |= {"code": "Z" * 26, "owner_key_hash": None, "creation_key": None, "short_code": "ZZZZZZ"}
        for revision in extra["revisions"]:
            revision["idempotency_key"] = None
        data["setups"].insert(0, extra)

    change(file, add_and_alter)
    told(capsys)
    assert main(["import-shop", SHOP, str(file)]) == 1
    data = json.loads(file.read_text())
    said = told(capsys)
    assert f"  {named_in(data, named)}\n" in said
    assert "--leave-out-differing" in said
    assert not [one["code"] for one in data["setups"] if one["code"] in said]
    assert counts() == before
    assert main(["import-shop", "--leave-out-differing", SHOP, str(file)]) == 0
    said = told(capsys)
    assert "Added 1 setups" in said
    assert f"  {named_in(data, named)}\n" in said
    assert counts()["setup"] == before["setup"] + 1
    with opened_app():
        again = export_shop(1)
    assert [one for one in again["setups"] if one["code"] != "Z" * 26] == first["setups"]
    assert {part: again[part] for part in ("units", "records")} == {part: first[part] for part in ("units", "records")}
    assert main(["import-shop", "--leave-out-differing", SHOP, str(file)]) == 0
    assert "Everything else in the file is here already" in told(capsys)


def named_in(data: dict[str, Any], named: str) -> str:
    """Fill in what the first setup (behind the added one), unit and record are called."""
    setup, unit, record = data["setups"][1], data["units"][0], data["records"][0]
    labels = " · ".join(text for text in (record["bike_label"], record["customer_reference"]) if text)
    return named.format(
        setup=f"setup “{setup['revisions'][-1]['bike_label']}” ({setup['short_code']})",
        unit=unit["name"],
        record=f"service record “{labels}” ({record['short_code']})",
    )


def test_a_setup_of_another_shop_is_told_as_that_and_its_records_are_left_out_with_it(
    file: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("three grey herons asleep\n"))
    assert main(["shop", "Another shop", "olga"]) == 0
    assert main(["import-shop", "Another shop", str(file)]) == 0
    told(capsys)
    assert main(["import-shop", SHOP, str(file)]) == 1
    said = told(capsys)
    assert "): belongs to another shop\n" in said
    assert "): its setup differs\n" in said
    assert "other contents" not in said
    assert main(["import-shop", "--leave-out-differing", SHOP, str(file)]) == 0
    data = json.loads(file.read_text())
    with opened_app():
        kept = export_shop(1)
    assert len(kept["units"]) == len(data["units"])
    assert not kept["setups"]
    assert not [one for one in kept["records"] if one["setup_code"]]


def test_a_record_that_only_went_on_is_brought_up_to_date_and_never_back(
    file: Path, tmp_path: Path, at: Callable[[str], None], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["import-shop", SHOP, str(file)]) == 0
    code = next(one["short_code"] for one in json.loads(file.read_text())["records"] if one["state"] == "open")
    at("laptop")
    note_as_found(code, {"pressure_psi": 71})
    later = tmp_path / "later.json"
    assert main(["export-shop", SHOP, str(later)]) == 0
    at("hosted")
    told(capsys)
    assert main(["import-shop", SHOP, str(later)]) == 0
    assert "brought up to date: 1" in told(capsys)
    assert records_here() == json.loads(later.read_text())["records"]
    assert main(["import-shop", SHOP, str(file)]) == 0  # the older file: what is here went on from it
    assert "Nothing was changed" in told(capsys)
    assert records_here() == json.loads(later.read_text())["records"]


def test_a_record_that_went_on_at_both_ends_is_not_overwritten(
    file: Path, tmp_path: Path, at: Callable[[str], None], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["import-shop", SHOP, str(file)]) == 0
    code = next(one["short_code"] for one in json.loads(file.read_text())["records"] if one["state"] == "open")
    note_as_found(code, {"pressure_psi": 69})
    held = records_here()
    at("laptop")
    note_as_found(code, {"pressure_psi": 71})
    note_as_found(code, {"pressure_psi": 72})
    assert main(["export-shop", SHOP, str(tmp_path / "later.json")]) == 0
    at("hosted")
    told(capsys)
    assert main(["import-shop", SHOP, str(tmp_path / "later.json")]) == 1
    assert f"({code}): as received" in told(capsys)
    assert records_here() == held


def note_as_found(code: str, values: dict[str, Any]) -> None:
    member = StaffMember(
        staff_id=1, shop_id=1, shop_name=SHOP, login="x", role="staff", session_epoch=1, created_at=datetime.now(UTC)
    )
    with opened_app():
        save_found_state(member, code, values)


def records_here() -> list[dict[str, Any]]:
    with opened_app():
        return list(export_shop(1)["records"])


def test_what_an_export_leaves_behind_is_counted(
    file: Path, tmp_path: Path, at: Callable[[str], None], capsys: pytest.CaptureFixture[str]
) -> None:
    at("laptop")
    told(capsys)
    assert main(["export-shop", SHOP, str(tmp_path / "all.json")]) == 0
    assert "not in the file" not in told(capsys)
    request = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}
    with opened_app() as app:
        for _number in range(2):
            assert app.test_client().post("/api/v1/setups", json=request).status_code == 201
        with database.write() as connection:
            connection.exec_driver_sql("INSERT INTO shop (name, created_at) SELECT 'Other', created_at FROM shop")
    assert main(["export-shop", SHOP, str(tmp_path / "two.json")]) == 0
    assert "belong to no shop and are not in the file: 2." in told(capsys)
    assert main(["export-shop", "Other", str(tmp_path / "other.json")]) == 0
    said = told(capsys)
    assert "belong to no shop and are not in the file: 2." in said
    assert f"belong to another shop and are not in the file: {len(json.loads(file.read_text())['setups'])}." in said


def test_what_was_deleted_here_stays_deleted(
    file: Path, tmp_path: Path, at: Callable[[str], None], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["import-shop", SHOP, str(file)]) == 0
    code = json.loads(file.read_text())["setups"][0]["code"]
    give_owner_key(code, "0123456789ABCDEFGHJKMNPQRS")
    with opened_app():
        delete_setup(renew_owner_key("0123456789ABCDEFGHJKMNPQRS", "page"))
    told(capsys)
    assert main(["import-shop", SHOP, str(file)]) == 0
    assert "stay so: 1" in told(capsys)
    with opened_app(), pytest.raises(LinkGoneError):
        find_setup(code)


def test_a_login_of_another_shop_does_not_lend_its_account(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("three grey herons asleep\n"))
    assert main(["shop", "Another shop", demo_data.LOGIN]) == 0
    assert main(["import-shop", SHOP, str(file)]) == 0
    with opened_app():
        data = export_shop(1)
    assert {one["saved_by"] for one in data["setups"] if one["saved_by"]} == {f"{demo_data.LOGIN}.2"}


WRONG: list[tuple[str, Callable[[dict[str, Any]], Any]]] = [
    ("format", lambda d: d.update(format="another")),
    ("version", lambda d: d.update(version=3)),
    ("file", lambda d: d.update(more=1)),
    ("shop", lambda d: d["shop"].pop("name")),
    ("setups[0].code", lambda d: d["setups"][0].update(code="short")),
    ("setups[0].created_at", lambda d: d["setups"][0].update(created_at="2026-01-01T00:00:00")),
    ("setups[0].revisions[0].number", lambda d: d["setups"][0]["revisions"][0].update(number=True)),
    ("setups[0].revisions[0].bike_label", lambda d: d["setups"][0]["revisions"][0].update(bike_label="x\0y")),
    ("setups[0].revisions[0]", lambda d: d["setups"][0]["revisions"][0].update(result={})),
    ("setups[0].revisions[0]", lambda d: d["setups"][0]["revisions"][0].update(reason_key="no.such.key")),
    ("revisions", lambda d: d["setups"][0]["revisions"].pop(0) and d["setups"][0].update(revisions=[])),
    ("setups.code", lambda d: d["setups"].append(d["setups"][0])),
    ("units[0].document", lambda d: d["units"][0]["document"].update(kind="wheel")),
    ("units[0].document", lambda d: d["units"][0].update(name="Another")),
    ("records[0]", lambda d: d["records"][0].update(steps=[{"key": 1}])),
    ("records", lambda d: d["records"][0].update(setup_code="Z" * 26)),
    ("records", lambda d: d["records"][0].update(opened_by="nobody")),
    ("records[0].state", lambda d: d["records"][0].update(state="lost")),
    ("saved_by", lambda d: d["setups"][0].update(short_code="ABCDEF", saved_by=None)),
]


def test_a_file_that_could_not_be_read_back_is_refused_with_its_place(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whole, before = file.read_text(), counts()
    for place, alter in WRONG:
        file.write_text(whole)
        change(file, alter)
        told(capsys)
        assert main(["import-shop", SHOP, str(file)]) == 1, place
        assert place in told(capsys)
    assert counts() == before


@pytest.mark.parametrize(
    "content", [b"", b"[]", b"\xff\xfe", b"[" * 200_000, b'{"format": NaN}', b'{"format": 1e999}', b"9" * 10_000]
)
def test_what_is_no_such_file_is_refused(content: bytes) -> None:
    with pytest.raises(ShopFileError):
        read_shop_file(content)


def test_a_file_beyond_its_size_is_refused_before_it_is_read() -> None:
    with pytest.raises(ShopFileError, match="too large"):
        read_shop_file(b" " * (MOST_BYTES + 1))


def test_an_unknown_shop_and_a_missing_file_are_said(
    file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["export-shop", "No such shop", str(tmp_path / "x.json")]) == 1
    assert main(["import-shop", "No such shop", str(file)]) == 1
    assert main(["import-shop", SHOP, str(tmp_path / "missing.json")]) == 1
    assert main(["export-shop", SHOP, str(file)]) == 1
    said = told(capsys)
    assert said.count("no shop is called") == 2
    assert "missing.json" in said
    assert "exists already" in said


def test_the_file_is_written_so_that_it_reads_back_the_same(file: Path) -> None:
    data = read_shop_file(file.read_bytes())
    assert write_shop_file(data) == file.read_bytes()
