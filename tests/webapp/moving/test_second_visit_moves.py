"""What a shop says of itself, its staff's initials and what is due go along with it, and overwrite nothing."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from webapp.commands import demo_data
from webapp.commands.cli import main
from webapp.commands.opened_app import opened_app
from webapp.ground.database.engine import database
from webapp.moving.actions.export_shop import export_shop

SHOP = demo_data.SHOP


def rows(statement: str) -> list[tuple[Any, ...]]:
    with opened_app(), database.read() as connection:
        return [tuple(row) for row in connection.exec_driver_sql(statement)]


def test_settings_initials_and_dues_arrive_once(file: Path) -> None:
    told = json.loads(file.read_text())
    assert len(told["dues"]) >= 2
    for _twice in range(2):
        assert main(["import-shop", SHOP, str(file)]) == 0
    assert rows("SELECT phone, time_zone FROM shop") == [(demo_data.PHONE, demo_data.TIME_ZONE)]
    assert (demo_data.INITIALS,) in rows("SELECT initials FROM staff")
    with opened_app():
        assert json.loads(json.dumps(export_shop(1)["dues"])) == told["dues"]


def test_what_the_shop_says_of_itself_here_stays(file: Path) -> None:
    with opened_app(), database.write() as connection:
        connection.exec_driver_sql("UPDATE shop SET phone = '01632 960999'")
    assert main(["import-shop", SHOP, str(file)]) == 0
    assert rows("SELECT phone, time_zone FROM shop") == [("01632 960999", demo_data.TIME_ZONE)]


def test_a_file_of_an_earlier_tool_has_none_of_it(file: Path) -> None:
    data = json.loads(file.read_text())
    del data["dues"], data["shop"]["phone"], data["shop"]["time_zone"], data["shop"]["riding_hours"]
    for one in data["staff"]:
        del one["initials"]
    file.write_text(json.dumps(data))
    assert main(["import-shop", SHOP, str(file)]) == 0
    assert rows("SELECT phone, time_zone FROM shop") == [(None, None)]
    assert rows("SELECT * FROM service_due") == []


def test_dues_that_could_not_be_are_refused(file: Path) -> None:
    for wrong in ({"due_on": "soon"}, {"spring_end": "side"}, {"hours": -1}, {"record": "x"}, {"more": 1}):
        data = json.loads(file.read_text())
        data["dues"][0] |= wrong
        spoilt = file.with_name("spoilt.json")
        spoilt.write_text(json.dumps(data))
        assert main(["import-shop", SHOP, str(spoilt)]) == 1, wrong
