"""What may stand where in a shop's file: every key known, every value of its kind and within its bounds."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, date, datetime
from typing import Any, Final

from webapp.accounts.staff import ROLES
from webapp.ground.link_codes import ALPHABET, CODE_LENGTH
from webapp.ground.short_codes import SHORT_LENGTH
from webapp.ground.text.free_text import text_problem
from webapp.ground.text.i18n import gettext as _
from webapp.moving.errors import ShopFileError

#: What the first two keys of a file say: version 2 holds bikes, what a shop's checks move, and what setups
#: taught of its forks and shocks; version 1 none of these.
FORMAT: Final = "setup-card shop"
VERSION: Final = 2

Judge = Callable[[Any], bool]
_CODE: Final = re.compile(f"[{ALPHABET}]{{{CODE_LENGTH}}}")
_SHORT: Final = re.compile(f"[{ALPHABET}]{{{SHORT_LENGTH}}}")
_HASH: Final = re.compile("[0-9a-f]{64}")
_MOST: Final = 2**31 - 1
_LAST_YEAR: Final = 9999


def _maybe(judge: Judge) -> Judge:
    return lambda value: value is None or judge(value)


def _text(longest: int, shortest: int = 0) -> Judge:
    return lambda value: isinstance(value, str) and len(value) >= shortest and text_problem(value, longest) is None


def _matches(pattern: re.Pattern[str]) -> Judge:
    return lambda value: isinstance(value, str) and pattern.fullmatch(value) is not None


def _one_of(*allowed: str) -> Judge:
    return lambda value: isinstance(value, str) and value in allowed


def _number(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 < value <= _MOST


def _moment(value: Any) -> bool:
    """Return whether this is a moment that every place's clock can tell."""
    try:
        moment = datetime.fromisoformat(value) if isinstance(value, str) else None
        return moment is not None and moment.tzinfo is not None and 1970 <= moment.astimezone(UTC).year < _LAST_YEAR
    except (ValueError, OverflowError):
        return False


def _day(value: Any) -> bool:
    try:
        return isinstance(value, str) and bool(date.fromisoformat(value))
    except ValueError:
        return False


def _mapping(value: Any) -> bool:
    return isinstance(value, dict)


def _share(value: Any) -> bool:
    return isinstance(value, float) and 0.0 < value <= 1.0


def _list(value: Any) -> bool:
    return isinstance(value, list)


_LOGIN: Final = _text(60, 1)
_REVISION: Final[Mapping[str, Any]] = {
    "number": _number,
    "base_number": _maybe(_number),
    "kind": _text(32, 1),
    "reason": lambda value: isinstance(value, str) and len(value) <= 10_000 and "\0" not in value,
    "reason_key": _maybe(_text(64)),
    "reason_values": _maybe(_mapping),
    "bike_label": _text(60),
    "service_note": _text(200),
    "request": _mapping,
    "checks": _list,
    "result": _mapping,
    "rules_version": _text(16),
    "created_at": _moment,
    "idempotency_key": _maybe(_matches(_HASH)),
    "fingerprint": _maybe(_matches(_HASH)),
}
_SETUP: Final[Mapping[str, Any]] = {
    "code": _matches(_CODE),
    "owner_key_hash": _maybe(_matches(_HASH)),
    "creation_key": _maybe(_matches(_HASH)),
    "creation_fingerprint": _maybe(_matches(_HASH)),
    "created_at": _moment,
    "expires_at": _moment,
    "deleted_at": _maybe(_moment),
    "short_code": _maybe(_matches(_SHORT)),
    "saved_by": _maybe(_LOGIN),
    "saved_at": _maybe(_moment),
    "revisions": [_REVISION],
}
_RECORD: Final[Mapping[str, Any]] = {
    "short_code": _matches(_SHORT),
    "bike_label": _text(60),
    "unit_label": _text(60),
    "customer_reference": _text(60),
    "spring_end": _one_of("front", "rear"),
    "state": _one_of("open", "closed"),
    "as_found": _mapping,
    "steps": _list,
    "as_left": _mapping,
    "draft": _maybe(_mapping),
    "setup_code": _maybe(_matches(_CODE)),
    "setup_revision": _maybe(_number),
    "closing_key": _text(32),
    "opened_at": _moment,
    "opened_by": _LOGIN,
    "closed_at": _maybe(_moment),
    "closed_by": _maybe(_LOGIN),
    "next_due_on": _maybe(_day),
    "next_due_hours": _maybe(_number),
    "unit": _maybe(_mapping),
    "service_kind": _maybe(_text(16)),
    "visit_code": _maybe(_matches(_SHORT)),
    "changes": [{"number": _number, "made_at": _moment, "made_by": _LOGIN, "kind": _text(32), "detail": _mapping}],
}
_END: Final = _one_of("front", "rear")
_BIKE: Final[Mapping[str, Any]] = {
    "number": _text(20, 1),
    "label": _text(60),
    "tag": _matches(_CODE),
    "document": _mapping,
    "standing": _mapping,
    "stands_since": _maybe(_moment),
    "version": _number,
    "created_at": _moment,
    "changed_at": _moment,
    "retired_at": _maybe(_moment),
    "memories": [{"spring_end": _END, "memory": _mapping, "era": _number, "kept": _share}],
    "setups": [{"setup_code": _matches(_CODE), "created_at": _moment}],
    "lessons": [
        {"setup_code": _matches(_CODE), "spring_end": _END, "lesson": _mapping, "era": _number, "kept": _share}
    ],
}
SHAPE: Final[Mapping[str, Any]] = {
    "format": _one_of(FORMAT),
    "version": lambda value: value == VERSION,
    "exported_at": _moment,
    "shop": {
        "name": _text(60, 1),
        "created_at": _moment,
        "phone": _maybe(_text(24)),
        "time_zone": _maybe(_text(40)),
        "riding_hours": _maybe(_number),
    },
    "staff": [
        {
            "login": _LOGIN,
            "role": _one_of(*ROLES),
            "created_at": _moment,
            "disabled_at": _maybe(_moment),
            "initials": _maybe(_text(4)),
        }
    ],
    "dues": [
        {
            "setup_code": _matches(_CODE),
            "record": _matches(_SHORT),
            "spring_end": _END,
            "service": _text(16, 1),
            "due_on": _day,
            "hours": _maybe(_number),
        }
    ],
    "checklist": lambda value: value is None or _list(value),
    "units": [
        {
            "kind": _one_of("fork", "shock"),
            "name": _text(60, 1),
            "document": _mapping,
            "version": _number,
            "created_at": _moment,
            "changed_at": _moment,
            "retired_at": _maybe(_moment),
            "forgotten_at": _maybe(_moment),
            "internals_at": _maybe(_moment),
            "setups": [
                {
                    "setup_code": _matches(_CODE),
                    "spring_end": _END,
                    "created_at": _moment,
                    "lesson": _maybe(_mapping),
                }
            ],
        }
    ],
    "setups": [_SETUP],
    "records": [_RECORD],
    "bikes": [_BIKE],
    "class_factors": [{"number": _number, "factors": _list, "made_at": _moment, "made_by": _LOGIN}],
}


#: What a file of an earlier tool lacks in each record, and what stands for it.
_LATER_IN_RECORDS: Final = ("unit", "service_kind", "visit_code")


def add_later_keys(data: Any) -> None:
    """Give an earlier tool's file the keys that came later; whatever has another shape stays."""
    if isinstance(data, dict):
        data.setdefault("dues", [])
        for key in ("phone", "time_zone", "riding_hours"):
            if isinstance(data.get("shop"), dict):
                data["shop"].setdefault(key, None)
        for member in data["staff"] if isinstance(data.get("staff"), list) else ():
            if isinstance(member, dict):
                member.setdefault("initials", None)
    records = data.get("records") if isinstance(data, dict) else None
    for record in records if isinstance(records, list) else ():
        if isinstance(record, dict):
            for key in _LATER_IN_RECORDS:
                record.setdefault(key, None)


def refuse_newer(data: Any) -> None:
    """Return unless a file says that it is of a later version than this code's (raises `ShopFileError`)."""
    version = data.get("version") if isinstance(data, dict) and data.get("format") == FORMAT else None
    if isinstance(version, int) and not isinstance(version, bool) and version > VERSION:
        raise ShopFileError(
            _("This file was written by a newer version of this tool. Update the tool here, then import it again.")
        )


def check_shape(value: Any, shape: Any = SHAPE, place: str = "") -> None:
    """Return when `value` has the shape.

    Raises
    ------
    ShopFileError
        With the first place that has not.
    """
    if callable(shape):
        good = shape(value)
    elif isinstance(shape, Mapping):
        good = isinstance(value, dict) and set(value) == set(shape)
        for name in shape if good else ():
            check_shape(value[name], shape[name], f"{place}.{name}" if place else name)
    else:
        good = isinstance(value, Sequence) and not isinstance(value, str)
        for number, item in enumerate(value if good else ()):
            check_shape(item, shape[0], f"{place}[{number}]")
    if not good:
        raise wrong_place(place or "file")


def wrong_place(place: str) -> ShopFileError:
    """Return the refusal of a file for what stands at `place`."""
    return ShopFileError(_("This file cannot be imported: “%(place)s” is missing or wrong in it.", place=place))
