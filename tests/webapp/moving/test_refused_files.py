"""What a shop's file must not bring: values that break the tool, break its limits, or that no page could show."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.webapp.moving.test_move_shop import counts, told
from webapp.commands import demo_data
from webapp.commands.cli import main
from webapp.commands.opened_app import opened_app
from webapp.moving.errors import ShopFileError
from webapp.moving.shape import VERSION
from webapp.moving.shop_file import read_shop_file
from webapp.setups.actions.find_setup import find_setup

SHOP = demo_data.SHOP
Alter = Callable[[dict[str, Any]], Any]


def newest(data: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = data["setups"][0]["revisions"][-1]
    return found


def front(data: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = newest(data)["result"]["front"]
    return found


def taken(data: dict[str, Any]) -> dict[str, Any]:
    """Return the first sag check that a file holds, with its request."""
    found: dict[str, Any] = next(one for made in data["setups"] for kept in made["revisions"] for one in kept["checks"])
    return found


def check(data: dict[str, Any]) -> dict[str, Any]:
    """Return that check alone."""
    found: dict[str, Any] = taken(data)["check"]
    return found


def deep() -> dict[str, Any]:
    value: dict[str, Any] = {}
    for _level in range(900):
        value = {"a": value}
    return value


def setup(**values: Any) -> Alter:
    return lambda data: data["setups"][0].update(values)


def revision(**values: Any) -> Alter:
    return lambda data: newest(data).update(values)


def record(**values: Any) -> Alter:
    return lambda data: data["records"][0].update(values)


#: What would end in a traceback.
BREAKING: list[tuple[str, Alter]] = [
    ("setups[0].expires_at", setup(expires_at="9999-12-31T23:59:59-10:00")),
    ("setups[0].expires_at", setup(expires_at="9999-12-31T23:59:59+00:00")),
    ("setups[0].created_at", setup(created_at="0001-01-01T00:00:00+10:00")),
    (".created_at", revision(created_at="9999-12-31T23:59:59-10:00")),
    (".request.rider_mass_kg", lambda d: newest(d)["request"].update(rider_mass_kg=10**400)),
    (".result.front.pressure_pa", lambda d: front(d).update(pressure_pa=10**400)),
    ("setups[0].revisions[", lambda d: front(d).update(pressure_pa=1e308)),
    (".reason", revision(reason="\ud800")),
    (".reason", revision(reason="a\0b")),
    ("records[0].as_found", record(as_found=deep())),
    (".request", lambda d: newest(d)["request"].update(junk=deep())),
]
#: What an ordinary save would not take, or no page show.
UNSHOWN: list[tuple[str, Alter]] = [
    ("setups[0].revisions[", lambda d: front(d).update(pressure_pa=-1.0)),
    ("setups[0].revisions[", lambda d: front(d).update(pressure_pa=3e6)),
    ("setups[0].revisions[", lambda d: front(d).update(pressure_pa=3e6, max_pressure_pa=4e6)),
    ("setups[0].revisions[", lambda d: front(d).update(travel_mm=900.0)),
    ("setups[0].revisions[", lambda d: front(d).update(bench_shift_mm=-900.0)),
    *(("setups[", lambda d, place=place: check(d).update(place=place)) for place in ("moon", 7, ["x"], None)),
    ("setups[", lambda d: check(d).update(datum="moon")),
    ("setups[", lambda d: taken(d).update(carried_mm=9999.0)),
    ("setups[0].revisions[", lambda d: front(d).update(volume_spacers="x")),
    ("setups[0].revisions[", lambda d: front(d).update(rate_n_per_m=1e300)),
    ("setups[0].revisions[", lambda d: newest(d)["request"].update(riding_style=["x", {"y": 1}])),
    ("setups[0].revisions[", lambda d: newest(d)["request"].update(rider_mass_kg=5000)),
    ("setups[0].revisions[", revision(base_number=77)),
    ("setups[0].revisions[", revision(kind="zzz")),
    ("setups[0].revisions[0]", lambda d: d["setups"][0]["revisions"][0].update(rules_version="99")),
    ("setups[0].revisions[", revision(reason_key="revision.serviced", reason_values={"other": 1})),
    ("setups[0]", lambda d: newest(d)["result"]["cautions"].append({"code": "no", "key": "no.such", "values": {}})),
    ("records[0]", record(as_found={"pressure_psi": "x"})),
    ("records[0]", record(as_found={"symptoms": 5})),
    ("records[0]", record(as_left={"rebound_out": {}})),
    ("records[0]", record(as_left={"pressure_psi": -5})),
    ("records[0]", record(state="closed", closed_at=None, closed_by=None)),
    ("records", lambda d: [one.update(setup_revision=999) for one in d["records"]]),
    ("records[0]", lambda d: d["records"][0]["changes"][0].update(kind="step", detail={"step": 1})),
    ("records[0]", lambda d: d["records"][0]["steps"][0].update(kind="zzz")),
    ("records[0]", lambda d: d["records"][0]["steps"][0].update(key=None)),
    ("records[0]", lambda d: d["records"][0]["steps"][3].update(values={"parts": [1]})),
]


@pytest.mark.parametrize("wrong", [BREAKING, UNSHOWN])
def test_it_is_refused_with_its_place_and_nothing_is_stored(
    file: Path, capsys: pytest.CaptureFixture[str], wrong: list[tuple[str, Alter]]
) -> None:
    whole, before = file.read_text(), counts()
    for number, (place, alter) in enumerate(wrong):
        data = json.loads(whole)
        alter(data)
        file.write_text(json.dumps(data))
        told(capsys)
        assert main(["import-shop", SHOP, str(file)]) == 1, (number, place)
        said = told(capsys)
        assert "cannot be imported" in said, number
        assert place in said, (number, said)
    assert counts() == before


def test_no_setup_is_kept_longer_than_one_that_is_saved_here(file: Path) -> None:
    data = json.loads(file.read_text())
    data["setups"][0]["expires_at"] = "9000-01-01T00:00:00+00:00"
    file.write_text(json.dumps(data))
    assert main(["import-shop", SHOP, str(file)]) == 0
    with opened_app() as app:
        ends = find_setup(data["setups"][0]["code"]).expires_at
        longest = datetime.now(UTC) + timedelta(days=float(app.config["RETENTION_DAYS"]))
    assert ends is not None
    assert ends <= longest


def test_an_export_that_no_import_would_take_is_refused_and_leaves_no_file(
    file: Path, at: Callable[[str], None], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    at("laptop")
    monkeypatch.setattr("webapp.moving.shop_file.MOST_BYTES", 1000)
    told(capsys)
    assert main(["export-shop", SHOP, str(file.with_name("large.json"))]) == 1
    assert "too large" in told(capsys)
    assert not file.with_name("large.json").exists()


def test_a_whole_number_that_no_reader_takes_exactly_is_refused(file: Path) -> None:
    data = json.loads(file.read_text())
    data["units"][0]["document"]["more"] = 2**53 + 1
    with pytest.raises(ShopFileError, match=r"units\[0\]\.document\.more"):
        read_shop_file(json.dumps(data).encode())


def test_a_refusal_repeats_nothing_that_a_terminal_would_obey() -> None:
    content = json.dumps({"\033[2J": {"a": 2**60}}).encode()
    with pytest.raises(ShopFileError) as refused:
        read_shop_file(content)
    assert "\033" not in str(refused.value)
    assert "“?.a”" in str(refused.value)


def test_a_file_of_a_newer_version_says_so(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(file.read_bytes())
    file.write_text(json.dumps({**data, "version": VERSION + 1, "later": []}), encoding="utf-8")
    capsys.readouterr()
    assert main(["import-shop", SHOP, str(file)]) == 1
    said = capsys.readouterr().err
    assert "written by a newer version of this tool. Update the tool here" in said
