"""What setups taught of a fork of the library goes along with the shop, and with what the owner let go."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from setup_rules import SagCheck, read_request
from webapp.accounts.actions.manage_staff import list_staff
from webapp.checks.actions.check_sag import check_sag
from webapp.commands import demo_data
from webapp.commands.cli import main
from webapp.commands.opened_app import opened_app
from webapp.library.actions.save_suspension_unit import save_suspension_unit
from webapp.library.actions.unit_learning import UnitLearning, forget_learned, learned_of_unit, tie_to_units
from webapp.library.parsing import read_suspension_unit
from webapp.moving.errors import ShopFileError
from webapp.moving.shop_file import read_shop_file
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.shop_setups import register_setup

SHOP = demo_data.SHOP
UNIT = {"kind": "fork", "name": "Fen 34, second hand", "travels_mm": [140], "stanchion_mm": 34}
RIDER = {"rider_mass_kg": 80, "riding_style": "trail", "front": {"travel_mm": 140, "stanchion_mm": 34}}


@pytest.fixture
def taught(file: Path, at: Callable[[str], None]) -> tuple[Path, UnitLearning]:
    """The demo's shop with a fork that a setup taught, exported; the hosted server is where we are."""
    at("laptop")
    with opened_app():
        member = next(one for one in list_staff(1) if one.is_owner)
        unit = save_suspension_unit(1, read_suspension_unit(UNIT)).suspension_unit_id
        forget_learned(member, unit, forget=True)
        code = create_setup(read_request(RIDER)).saved.code
        register_setup(member, code)
        tie_to_units(1, code, {"front": "Fen 34, second hand"})
        check_sag(code, SagCheck(end="front", pressure_pa=5e5, readings_mm=(38.0,), confirm=True))
        there = learned_of_unit(1, unit)
    file.unlink()
    assert main(["export-shop", SHOP, str(file)]) == 0
    at("hosted")
    return file, there


def test_it_arrives_once_with_when_it_counts_from(taught: tuple[Path, UnitLearning]) -> None:
    file, there = taught
    assert there.riders == 1
    assert there.forgotten_at is not None
    for _ in range(2):
        assert main(["import-shop", SHOP, str(file)]) == 0
    with opened_app():
        assert [learned_of_unit(1, number) for number in range(1, 9)].count(there) == 1


WRONG: list[Callable[[dict[str, Any]], Any]] = [
    lambda one: one["setups"][0].update(setup_code="0" * 26),
    lambda one: one["setups"][0].update(spring_end="rear"),
    lambda one: one["setups"][0].update(lesson={"riders": 1}),
    lambda one: one["setups"][0].update(rider_mass_kg=80),
    lambda one: one["setups"][0]["lesson"].update(shift=[1e9, 0.0, 0.0]),
    lambda one: one["setups"].append(one["setups"][0]),
    lambda one: one.update(forgotten_at="yesterday"),
    lambda one: one.pop("internals_at"),
]


@pytest.mark.parametrize("spoil", WRONG)
def test_what_could_not_be_used_is_refused(taught: tuple[Path, UnitLearning], spoil: Callable[[Any], Any]) -> None:
    data = json.loads(taught[0].read_text())
    spoil(next(one for one in data["units"] if one["name"] == UNIT["name"]))
    with pytest.raises(ShopFileError, match=r"units\[\d+\]"):
        read_shop_file(json.dumps(data).encode())
