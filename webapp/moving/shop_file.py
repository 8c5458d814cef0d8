"""A shop's file as text and back: bounded, and every document in it tried before anything of it is stored."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from typing import Any, Final

from setup_rules import SetupRulesError
from setup_rules.messages.message import Message
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import in_english
from webapp.library.actions.class_factors import factors_from_data
from webapp.library.parsing import read_suspension_unit
from webapp.library.suspension_unit import name_key
from webapp.moving.bikes import check_bikes, check_unit_ties, check_units
from webapp.moving.errors import ShopFileError
from webapp.moving.plain_values import check_plain
from webapp.moving.shape import VERSION, add_later_keys, check_shape, refuse_newer, wrong_place
from webapp.moving.stored_limits import hold_measured, hold_revision, hold_steps
from webapp.setups.documents import SetupDocument, setup_from_document
from webapp.setups.stored_messages import values_from_data
from webapp.workshop.actions.serviced_setup import request_of_draft, units_of_draft
from webapp.workshop.queries.records import read_steps

#: The longest file that is taken in [bytes]: about 20,000 setups. Reading it takes about ten times as much memory.
MOST_BYTES: Final = 200_000_000

#: What a document that is not what it should be raises on being read.
UNREADABLE: Final = (
    *(SetupRulesError, ValueError, LookupError, TypeError, AttributeError, ArithmeticError, RecursionError),
    ExceptionGroup,
)


#: What a fork or shock of a file of version 1 says beside the rest.
_UNTAUGHT: Final[dict[str, Any]] = {"forgotten_at": None, "internals_at": None, "setups": []}


def write_shop_file(data: dict[str, Any]) -> bytes:
    """Return a shop's data as the bytes of its file: UTF-8, one line for each thing, so that two files compare well."""
    lines = []
    for name, value in data.items():
        if isinstance(value, list) and value:
            items = ",\n".join(json.dumps(item, ensure_ascii=False, allow_nan=False) for item in value)
            lines.append(f"{json.dumps(name)}: [\n{items}\n]")
        else:
            lines.append(f"{json.dumps(name)}: {json.dumps(value, ensure_ascii=False, allow_nan=False)}")
    return ("{\n" + ",\n".join(lines) + "\n}\n").encode()


def read_shop_file(content: bytes) -> dict[str, Any]:
    """Return the data of a shop's file, all of it checked.

    Raises
    ------
    ShopFileError
        When it is too long, no such file, or any part of it could not be read back once it were stored.
    """
    if len(content) > MOST_BYTES:
        raise ShopFileError(_("This file is too large: at most %(most)d MB.", most=MOST_BYTES // 1_000_000))
    try:
        data = json.loads(content.decode("utf-8"), parse_constant=_refuse_constant, parse_float=_finite)
    except (ValueError, RecursionError) as error:
        raise ShopFileError(_("This file is not a shop's file: it is not JSON.")) from error
    check_plain(data)
    if isinstance(data, dict) and data.get("version") == 1 and not {"bikes", "class_factors"} & data.keys():
        data = {**data, "version": VERSION, "bikes": [], "class_factors": []}
        if isinstance(data.get("units"), list):
            data["units"] = [{**_UNTAUGHT, **one} if isinstance(one, dict) else one for one in data["units"]]
    refuse_newer(data)
    add_later_keys(data)
    check_shape(data)
    _check_documents(data)
    check_bikes(data)
    check_unit_ties(data)
    _check_references(data)
    return dict(data)


def _refuse_constant(name: str) -> float:
    raise ValueError(name)


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(text)
    return number


def _check_documents(data: dict[str, Any]) -> None:
    for number, setup in enumerate(data["setups"]):
        for place, revision in enumerate(setup["revisions"]):
            _try(f"setups[{number}].revisions[{place}]", lambda one=revision: _read_revision(one))
    for number, unit in enumerate(data["units"]):
        _try(f"units[{number}].document", lambda one=unit: _read_unit(one))
    for number, record in enumerate(data["records"]):
        _try(f"records[{number}]", lambda one=record: _read_record(one))
    for number, state in enumerate(data["class_factors"]):
        _try(f"class_factors[{number}]", lambda one=state: _read_factors(one))
    _try("checklist", lambda: hold_steps(read_steps(data["checklist"] or [])))


def _try(place: str, read: Any) -> None:
    try:
        read()
    except UNREADABLE as error:
        raise wrong_place(place) from error


def _read_revision(revision: dict[str, Any]) -> None:
    setup = setup_from_document(SetupDocument(revision["request"], revision["checks"], revision["result"]))
    hold_revision(revision, setup)
    if revision["reason_key"] is not None:
        in_english(Message(revision["reason_key"], values_from_data(revision["reason_values"] or {})))


def _read_unit(unit: dict[str, Any]) -> None:
    read = read_suspension_unit(unit["document"])
    if (read.name, read.kind) != (unit["name"], unit["kind"]):
        raise ValueError("the name or kind is not the document's")


def _read_factors(state: dict[str, Any]) -> None:
    classes = [one.spring_class for one in factors_from_data(state["factors"])]
    if len(set(classes)) < len(state["factors"]):
        raise ValueError("a factor is wrong, or of a class that stands twice")


def _read_record(record: dict[str, Any]) -> None:
    hold_steps(read_steps(record["steps"]))
    hold_measured(record["as_found"])
    hold_measured(record["as_left"])
    if (record["state"] == "closed") != (record["closed_at"] is not None and record["closed_by"] is not None):
        raise ValueError("closed, and not by anybody at any time")
    if record["draft"] is not None:
        request_of_draft(record["draft"])
        check_units(units_of_draft(record["draft"]))


def _check_references(data: dict[str, Any]) -> None:
    """Hold together what names each other: nothing twice, no name of what is not there, revisions without a gap."""
    logins = {one["login"] for one in data["staff"]}
    setups = {one["code"]: one for one in data["setups"]}
    _need_unique("setups.code", (one["code"] for one in data["setups"]))
    _need_unique("setups.owner_key_hash", (one["owner_key_hash"] for one in data["setups"]))
    _need_unique("setups.creation_key", (one["creation_key"] for one in data["setups"]))
    _need_unique("setups.short_code", (one["short_code"] for one in data["setups"]))
    _need_unique("records.short_code", (one["short_code"] for one in data["records"]))
    _need_unique("units.name", (name_key(one["name"]) for one in data["units"]))
    for place, setup in enumerate(data["setups"]):  # told by place: the code is the secret of its link
        numbers = [one["number"] for one in setup["revisions"]]
        if numbers != list(range(1, len(numbers) + 1)) or bool(numbers) == (setup["deleted_at"] is not None):
            raise wrong_place(f"setups[{place}].revisions")
        _need_unique("setups.revisions.idempotency_key", (one["idempotency_key"] for one in setup["revisions"]))
        if setup["short_code"] is not None and (setup["saved_by"] not in logins or setup["saved_at"] is None):
            raise wrong_place(f"setups[{place}].saved_by")
    _need_unique("class_factors.number", (one["number"] for one in data["class_factors"]))
    if not {one["made_by"] for one in data["class_factors"]} <= logins:
        raise wrong_place("class_factors.made_by")
    for record in data["records"]:
        named = {record["opened_by"], *(change["made_by"] for change in record["changes"])}
        named |= {record["closed_by"]} - {None}
        _need_unique("records.changes.number", (change["number"] for change in record["changes"]))
        if not named <= logins or record["setup_code"] not in {None, *setups}:
            raise wrong_place(f"records {record['short_code']}")
        led = len(setups[record["setup_code"]]["revisions"]) if record["setup_code"] else 0
        if led and (record["setup_revision"] or 0) > led:
            raise wrong_place(f"records {record['short_code']}")


def _need_unique(place: str, values: Iterable[Any]) -> None:
    held = [value for value in values if value is not None]
    if len(held) != len(set(held)):
        raise wrong_place(place)
