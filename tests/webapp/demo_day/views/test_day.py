"""The end of a day: the file of what was done, and riders who are gone from everywhere while learning stays."""

from __future__ import annotations

import csv
import io
import logging
import re
from pathlib import Path

import pytest

from setup_rules import read_request
from tests.webapp.demo_day.conftest import Crew, plain
from webapp.accounts.queries import staff_of_shop
from webapp.accounts.staff import staff_member
from webapp.commands.day import erase, write_file
from webapp.demo_day.actions.end_day import count_riders, erase_riders
from webapp.ground.database.engine import database
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.shop_setups import find_shop_setups, register_setup
from webapp.stacks.make_cards import make_stack, waiting_stacks

TABLE = "Rider weight;Riding style;Fork travel;Bike\n" + "\n".join(f"{n} kg;trail;140;Heron {n}" for n in (61, 72, 83))
#: A weight as it is typed, and as it is kept: to the half kilogram.
WEIGHT = "83.37"
KEPT = '"rider_mass_kg":83.5'


def a_turn(crew: Crew, bike: int, kg: str, *, card: bool = False, check: str = "") -> str:
    """Set a rider up and send the rider out; return the link of the rider's setup."""
    crew.set_up(bike, kg, "enduro")
    code = str(crew.bike(bike).turn.rider_code)
    if card:
        crew.press(bike, "card")
    crew.press(bike, "set")
    if check:
        psi = crew.bike(bike).standing["front"].pressure_psi
        body = {"end": "front", "pressure_psi": psi, "readings_mm": [float(check)] * 3, "confirm": True}
        assert crew.client.post(f"/api/v1/setups/{code}/sag-checks", json=body).status_code == 201
    return code


def files_of(crew: Crew) -> dict[str, bytes]:
    """Return every file of the data folder as it lies there, SQLite's log of changes too."""
    folder = Path(crew.app.config["DATA"])
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def holding(crew: Crew, text: str) -> list[str]:
    """Return the files that hold a text which does not go on as a longer number."""
    wanted = re.compile(rb"(?<![\d.])" + re.escape(text.encode()) + rb"(?!\d)")
    return [name for name, content in files_of(crew).items() if wanted.search(content)]


@pytest.mark.sqlite
def test_a_weight_is_in_no_file_log_or_page_once_the_bike_is_back(crew: Crew, caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG)
    bike = crew.add("7").bike_id
    code = a_turn(crew, bike, WEIGHT, check="30")
    assert holding(crew, KEPT), "while the rider is out the setup holds it"
    assert holding(crew, WEIGHT) == [], "finer than anybody needs"
    crew.press(bike, "back")
    assert [holding(crew, text) for text in (KEPT, WEIGHT, "83.5")] == [[], [], []]
    assert [holding(crew, text) for text in ("87.37", "87.5")] == [[], []], "nor the sum with the usual kit"
    pages = [crew.page(f"/shop/bikes{path}") for path in ("", f"/{bike}", f"/{bike}/set-up", "/day", "/day/file.csv")]
    assert not any(WEIGHT in page for page in pages)
    assert WEIGHT not in caplog.text
    assert crew.client.get(f"/s/{code}").status_code == 410
    assert crew.bike(bike).memories["front"].riders == 1, "what the check taught stays"


@pytest.mark.sqlite
def test_the_end_of_the_day_erases_every_rider_and_no_lesson(crew: Crew) -> None:
    one, two, three = (crew.add(number).bike_id for number in ("7", "8", "9"))
    gone_home = a_turn(crew, one, WEIGHT, card=True, check="30")
    crew.press(one, "back")
    a_turn(crew, two, WEIGHT)
    crew.set_up(three, WEIGHT)
    assert holding(crew, KEPT)
    standing = crew.bike(two).standing
    page = crew.page("/shop/bikes/day/erase")
    assert "This erases 3 riders" in plain(page)
    assert "(1)" in plain(page)
    assert crew.client.post("/shop/bikes/day/erase", data={}).headers["Location"].endswith("erased=3")
    assert [holding(crew, text) for text in (KEPT, WEIGHT, "83.5")] == [[], [], []]
    assert crew.client.get(f"/s/{gone_home}").status_code == 410
    states = [(crew.bike(bike).turn.state, crew.bike(bike).turn.rider_code) for bike in (one, two, three)]
    assert states == [("back", None), ("out", None), ("back", None)]
    assert crew.bike(two).standing == standing
    assert crew.bike(one).memories["front"].riders == 1
    assert "3 riders erased" in plain(crew.page("/shop/bikes/day?erased=3"))


def test_cards_taken_home_can_be_kept(crew: Crew) -> None:
    one, two = (crew.add(number).bike_id for number in ("7", "8"))
    kept = a_turn(crew, one, "70", card=True)
    a_turn(crew, two, "80")
    with crew.app.app_context():
        assert (count_riders(crew.shop_id).riders, count_riders(crew.shop_id).at_home) == (2, 1)
        assert erase_riders(crew.shop_id, None, keep_cards=True) == 1
    assert crew.client.get(f"/s/{kept}").status_code == 200


@pytest.mark.parametrize("ticked", [False, True])
def test_setups_that_stacks_made_go_only_where_that_is_ticked(crew: Crew, ticked: bool) -> None:
    known = plain_setup(crew)
    order = crew.client.post("/shop/stacks/table", data={"table": TABLE, "size": "a4-8"})
    again = crew.client.post("/shop/stacks/setups", data={"codes": known, "size": "a4-8"})
    assert (order.status_code, again.status_code) == (303, 303)
    with crew.app.app_context():
        for stack_id in waiting_stacks():
            make_stack(stack_id, "test")
        made = [one.code for one in find_shop_setups(crew.shop_id).setups if one.code != known]
    assert len(made) == 3
    check = {"end": "front", "pressure_psi": 80, "readings_mm": [30, 30, 30], "confirm": True}
    assert crew.client.post(f"/api/v1/setups/{made[0]}/sag-checks", json=check).status_code == 201
    page = plain(crew.page("/shop/bikes/day/erase"))
    assert "Erase the setups that stacks of cards made, too (2)" in page, "the one that was changed is somebody's"
    answer = crew.client.post("/shop/bikes/day/erase", data={"stacked": "1"} if ticked else {})
    assert answer.location.endswith(f"erased={2 if ticked else 0}")
    states = [crew.client.get(f"/s/{code}").status_code for code in (known, *made)]
    assert states == [200, 200, *([410, 410] if ticked else [200, 200])]
    assert "stacks of cards made, too" not in plain(crew.page("/shop/bikes/day/erase"))


def plain_setup(crew: Crew) -> str:
    """Save a setup of the shop that has nothing to do with the day, and return its link."""
    with crew.app.app_context():
        created = create_setup(
            read_request({"rider_mass_kg": 71, "riding_style": "trail", "front": {"travel_mm": 140}})
        )
        with database.read() as connection:
            (maker, *_others) = staff_of_shop(connection, crew.shop_id)
        register_setup(staff_member(maker), created.saved.code)
    return created.saved.code


def test_only_the_owner_erases(crews: tuple[Crew, Crew]) -> None:
    _mira, tom = crews
    assert tom.client.get("/shop/bikes/day/erase").status_code == 403
    assert tom.client.post("/shop/bikes/day/erase", data={}).status_code == 403
    assert "owner can erase" in plain(tom.page("/shop/bikes/day"))


def test_the_file_of_the_day_has_settings_and_checks_and_runs_no_formula(crew: Crew) -> None:
    bike = crew.add("=7+1").bike_id
    a_turn(crew, bike, WEIGHT, check="31")
    crew.press(bike, "back")
    rows = list(csv.DictReader(io.StringIO(crew.page("/shop/bikes/day/file.csv").removeprefix("\ufeff"))))
    assert [row["what"] for row in rows] == ["set_up", "set", "sag_check", "back"]
    assert {row["bike"] for row in rows} == {"'=7+1"}
    out, check = rows[1], rows[2]
    shown = plain(crew.page(f"/shop/bikes/{bike}"))
    assert f"Fork {out['fork_pressure_psi']} psi" in shown, "one thing, one number"
    assert float(out["fork_target_sag_mm"]) % 0.5 == 0
    assert float(out["fork_target_sag_mm"]) > 10
    assert (check["fork_sag_read_mm"], check["shock_sag_read_mm"]) == ("31", "")
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\+00:00", out["time"])


def test_both_tasks_work_from_the_command_line(
    crew: Crew, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("webapp.commands.opened_app.create_app", lambda: crew.app)
    a_turn(crew, crew.add("7").bike_id, "70")
    assert write_file("Lantern Lane Cycles", tmp_path / "day.csv", 24) == 0
    assert "set_up" in (tmp_path / "day.csv").read_text(encoding="utf-8")
    assert write_file("Lantern Lane Cycles", tmp_path / "day.csv", 24) == 1
    assert erase("Lantern Lane Cycles", keep_cards=False, sure=False) == 1
    assert "--yes" in capsys.readouterr().err
    assert erase("Lantern Lane Cycles", keep_cards=False, sure=True) == 0
    assert "1 rider erased." in capsys.readouterr().out
    assert erase("Nowhere", keep_cards=False, sure=True) == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
def test_a_full_disk_leaves_no_part_of_a_file(
    crew: Crew, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("webapp.commands.opened_app.create_app", lambda: crew.app)
    a_turn(crew, crew.add("7").bike_id, "70")
    (file := tmp_path / "day.csv").symlink_to("/dev/full")
    opened = Path.open
    # A new file on a full disk: opening it succeeds, what is written does not fit.
    monkeypatch.setattr(Path, "open", lambda path, mode, **how: opened(path, mode.replace("x", "w"), **how))
    assert write_file("Lantern Lane Cycles", file, 24) == 1
    assert "cannot be written (No space left on device)" in capsys.readouterr().err
    assert not file.is_symlink()
