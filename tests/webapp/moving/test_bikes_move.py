"""A shop's bikes go along with it: what each is, what stands on it, what it learned, and whose checks it was."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from setup_rules import SagCheck
from webapp.accounts.actions.manage_staff import list_staff
from webapp.accounts.staff import StaffMember
from webapp.checks.actions.check_sag import check_sag
from webapp.commands import demo_data
from webapp.commands.cli import main
from webapp.commands.opened_app import opened_app
from webapp.demo_day.actions.confirm_standing import confirm_standing
from webapp.demo_day.actions.create_bike import create_bike
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.actions.set_up_bike import set_up_bike
from webapp.demo_day.bike import Bike
from webapp.ground.database.engine import database
from webapp.moving.actions.export_shop import export_shop
from webapp.moving.errors import ShopFileError
from webapp.moving.shop_file import read_shop_file

SHOP = demo_data.SHOP
#: The demo has bikes of its own.
FLEET = len(demo_data.FLEET)
BIKE = {"number": "17", "label": "Heron 4, rust", "front": {"travel_mm": 140, "max_pressure_psi": 150}}


def owner() -> StaffMember:
    return next(one for one in list_staff(1) if one.is_owner)


def ride_and_check(member: StaffMember, bike_id: int, kg: float) -> str:
    made = set_up_bike(member, bike_id, {"rider_mass_kg": kg})
    end = made.created.saved.setup.ends()[0]
    check = SagCheck(end="front", pressure_pa=end.pressure_pa, readings_mm=(round(1.2 * end.sag_target_mm),))
    check_sag(made.created.saved.code, check)
    return made.created.saved.code


@pytest.fixture
def with_bike(file: Path, at: Callable[[str], None]) -> tuple[Path, Bike]:
    """The demo's shop with a bike that two riders taught, exported; the hosted server is where we are."""
    at("laptop")
    with opened_app():
        member = owner()
        bike_id = create_bike(member.shop_id, BIKE).bike_id
        ride_and_check(member, bike_id, 60.0)
        code = ride_and_check(member, bike_id, 90.0)
        confirm_standing(member.shop_id, bike_id, {"setup": code})
        bike = find_bike(member.shop_id, bike_id)
    file.unlink()
    assert main(["export-shop", SHOP, str(file)]) == 0
    at("hosted")
    return file, bike


def bike_rows() -> dict[str, int]:
    names = ("bike", "bike_memory", "bike_setup", "bike_lesson")
    with opened_app(), database.read() as connection:
        return {name: connection.exec_driver_sql(f"SELECT count(*) FROM {name}").scalar_one() for name in names}  # noqa: S608


def bike_17() -> int:
    with database.read() as connection:
        return int(connection.exec_driver_sql("SELECT id FROM bike WHERE number = '17'").scalar_one())


def test_a_bike_arrives_with_what_it_learned_and_goes_on_learning(with_bike: tuple[Path, Bike]) -> None:
    file, there = with_bike
    assert main(["import-shop", SHOP, str(file)]) == 0
    assert bike_rows() == {"bike": 1 + FLEET, "bike_memory": 1, "bike_setup": 2, "bike_lesson": 4}
    with opened_app():
        member = owner()
        number = bike_17()
        here = find_bike(member.shop_id, number)
        assert (here.tag, here.document, here.standing) == (there.tag, there.document, there.standing)
        assert here.memories == there.memories
        ride_and_check(member, number, 75.0)
        assert find_bike(member.shop_id, number).memories["front"].riders == 3


def test_twice_is_once_and_the_file_is_the_same_from_there(with_bike: tuple[Path, Bike]) -> None:
    file, _bike = with_bike
    assert main(["import-shop", SHOP, str(file)]) == 0
    assert main(["import-shop", SHOP, str(file)]) == 0
    assert bike_rows()["bike"] == 1 + FLEET
    with opened_app():
        assert json.loads(json.dumps(export_shop(1)["bikes"])) == json.loads(file.read_text())["bikes"]


def test_a_bike_that_differs_stops_the_file(with_bike: tuple[Path, Bike], capsys: pytest.CaptureFixture[str]) -> None:
    file, there = with_bike
    with opened_app():
        create_bike(1, {**BIKE, "front": {"travel_mm": 120}})
    assert main(["import-shop", SHOP, str(file)]) == 1
    told = capsys.readouterr().err
    assert "bike “17 · Heron 4, rust”" in told
    assert there.tag not in told
    assert main(["import-shop", SHOP, str(file), "--leave-out-differing"]) == 0
    assert bike_rows() == {"bike": 1 + FLEET, "bike_memory": 0, "bike_setup": 0, "bike_lesson": 0}


def test_a_file_of_the_version_before_has_no_bikes(
    with_bike: tuple[Path, Bike], as_version_1: Callable[[Path], None]
) -> None:
    file, _bike = with_bike
    as_version_1(file)
    assert main(["import-shop", SHOP, str(file)]) == 0
    assert bike_rows()["bike"] == 0


WRONG: list[Callable[[dict[str, Any]], Any]] = [
    lambda b: b["document"].update(front={"travel_mm": 9}),
    lambda b: b["document"].update(rear={"stroke_mm": 50}),
    lambda b: b["memories"][0]["memory"].update(shift=[1.0]),
    lambda b: b["memories"][0]["memory"].update(shift=[1e9, 0.0, 0.0]),
    lambda b: b["memories"][0]["memory"].update(rider=70),
    lambda b: b["memories"][0].update(kept=2.0),
    lambda b: b["memories"].append(b["memories"][0]),
    lambda b: b["memories"][0].update(spring_end="rear"),
    lambda b: b["lessons"][0].update(setup_code="0" * 26),
    lambda b: b["setups"].append(b["setups"][0]),
    lambda b: b["standing"].update(side={}),
    lambda b: b["standing"]["front"].update(pressure_psi=-4),
    lambda b: b.update(tag="short"),
    lambda b: b.pop("label"),
]


def test_a_bike_that_could_not_be_used_is_refused(with_bike: tuple[Path, Bike]) -> None:
    content = with_bike[0].read_text()
    taken = []
    for place, spoil in enumerate(WRONG):
        data = json.loads(content)
        spoil(next(one for one in data["bikes"] if one["number"] == "17"))
        try:
            read_shop_file(json.dumps(data).encode())
            taken.append(place)
        except ShopFileError as error:
            assert "bikes[" in str(error)  # noqa: PT017 each of them has to be refused
    assert taken == []
    assert read_shop_file(content.encode())["bikes"]
