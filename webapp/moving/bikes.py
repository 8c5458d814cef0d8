"""A shop's bikes, and what setups taught of its units, in its file: all tried before anything of it is stored."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from setup_rules import SetupRulesError, SpringMemory, read_request
from webapp.demo_day.bike import ENDS, EndStanding
from webapp.demo_day.parsing import read_standing
from webapp.library.memory_data import read_memory
from webapp.library.suspension_unit import name_key
from webapp.moving.shape import wrong_place

#: No sum of lessons that any bike could be taught is larger.
_LARGEST: float = 1e6
_UNREADABLE = (SetupRulesError, ValueError, LookupError, TypeError, AttributeError, ArithmeticError, RecursionError)


def check_bikes(data: Mapping[str, Any]) -> None:
    """Return when every bike of a file can be used here.

    Raises
    ------
    ShopFileError
        With the first place that cannot.
    """
    codes, numbers, tags, tied = {one["code"] for one in data["setups"]}, set[str](), set[str](), set[str]()
    for place, bike in enumerate(data["bikes"]):
        try:
            _check_bike(bike)
        except _UNREADABLE as error:
            raise wrong_place(f"bikes[{place}]") from error
        made = [one["setup_code"] for one in bike["setups"]]
        ends = [(one["setup_code"], one["spring_end"]) for one in bike["lessons"]]
        own = {code for code, _end in ends} <= set(made) <= codes
        once = len(set(made)) == len(made) and len(set(ends)) == len(ends) and not tied & set(made)
        number = name_key(bike["number"])
        if not (own and once) or number in numbers or bike["tag"] in tags:
            raise wrong_place(f"bikes[{place}]")
        numbers.add(number)
        tags.add(bike["tag"])
        tied.update(made)


def _check_bike(bike: Mapping[str, Any]) -> None:
    document = {key: value for key, value in bike["document"].items() if key != "units"}
    read_request({**document, "rider_mass_kg": 75.0})
    check_units(bike["document"].get("units", {}))
    read_standing(bike["standing"], document)
    for end in bike["standing"].values():
        EndStanding(**end)
    remembered = [one["spring_end"] for one in bike["memories"]]
    if len(set(remembered)) != len(remembered) or not set(remembered) <= set(document):
        raise ValueError("a memory of an end that the bike has not got, or two of one")
    for one in bike["memories"]:
        _check_memory(one["memory"])
    for one in bike["lessons"]:
        _check_memory(one["lesson"])


def check_units(units: Mapping[Any, Any]) -> None:
    """Return when these are names of forks and shocks by end (raises `ValueError`)."""
    if not set(units) <= set(ENDS) or not all(isinstance(name, str) and len(name) <= 60 for name in units.values()):
        raise ValueError("units are names by end")


def check_unit_ties(data: Mapping[str, Any]) -> None:
    """Return when what setups of a file taught of its forks and shocks can be used here (raises `ShopFileError`)."""
    codes, tied = {one["code"] for one in data["setups"]}, set[tuple[str, str]]()
    for place, unit in enumerate(data["units"]):
        end = "front" if unit["kind"] == "fork" else "rear"
        for one in unit["setups"]:
            key = (one["setup_code"], one["spring_end"])
            if key in tied or key[0] not in codes or key[1] != end or not _is_lesson(one["lesson"]):
                raise wrong_place(f"units[{place}]")
            tied.add(key)


def _is_lesson(data: Mapping[str, Any] | None) -> bool:
    try:
        if data is not None:
            _check_memory(data)
    except _UNREADABLE:
        return False
    return True


def _check_memory(data: Mapping[str, Any]) -> None:
    memory = read_memory(data)
    if set(data) != set(SpringMemory.__slots__) or memory.riders < 0:
        raise ValueError("a memory has three keys")
    if max(abs(value) for value in (*memory.shift, *memory.precision)) > _LARGEST:
        raise ValueError("no bike was ever taught so much")
