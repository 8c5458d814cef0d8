"""Statements that read and write a shop's rows whole, as its file holds them: moments as text, staff by login."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime
from typing import Any, Final

from sqlalchemy import Connection, and_, func, insert, or_, select, update

from webapp.ground.database.hold import hold
from webapp.ground.database.record_rows import ChecklistRow, RecordChangeRow, ServiceRecordRow
from webapp.ground.database.setup_rows import RetiredLinkRow, RevisionRow, SetupRow
from webapp.ground.database.shop_rows import (
    ClassFactorsRow,
    ShopRow,
    ShopSetupRow,
    StaffRow,
    SuspensionUnitRow,
    UnitSetupRow,
)
from webapp.library.suspension_unit import name_key

#: The columns that are the same in a row and in the file.
_REVISION: Final = (
    *("number", "base_number", "kind", "reason", "reason_key", "reason_values", "bike_label", "service_note"),
    *("request", "checks", "result", "rules_version", "created_at", "idempotency_key", "fingerprint"),
)
_SETUP: Final = (
    *("code", "owner_key_hash", "creation_key", "creation_fingerprint", "created_at", "expires_at", "deleted_at"),
)
_UNIT: Final = (
    *("kind", "name", "document", "version", "created_at", "changed_at", "retired_at", "forgotten_at", "internals_at"),
)
_TIE: Final = ("spring_end", "created_at", "lesson")
_RECORD: Final = (
    *("short_code", "bike_label", "unit_label", "customer_reference", "spring_end", "state", "as_found", "steps"),
    *("as_left", "draft", "setup_revision", "closing_key", "opened_at", "closed_at", "next_due_on", "next_due_hours"),
    *("unit", "service_kind", "visit_code"),
)
_SETTINGS: Final = ("phone", "time_zone", "riding_hours")
_FACTORS: Final = ("number", "factors", "made_at")
_CHANGE: Final = ("number", "made_at", "kind", "detail")
_MOMENTS: Final = frozenset(
    (
        *("created_at", "expires_at", "deleted_at", "changed_at", "retired_at", "opened_at", "closed_at", "made_at"),
        *("forgotten_at", "internals_at"),
    )
)
#: Rows that one statement asks for by number: SQLite takes at most 32,766 values, older ones 999.
_AT_ONCE: Final = 500


def _plain(row: Any, names: Iterable[str]) -> dict[str, Any]:
    """Return some columns of a row as they stand in the file."""
    return {name: _plain_value(getattr(row, name)) for name in names}


def _plain_value(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    return value.isoformat() if isinstance(value, date) else value


def _stored(data: Mapping[str, Any], names: Iterable[str]) -> dict[str, Any]:
    """Return some values of the file as a row takes them."""
    return {name: _stored_value(name, data[name]) for name in names}


def _stored_value(name: str, value: Any) -> Any:
    if value is None:
        return None
    if name in _MOMENTS:
        return datetime.fromisoformat(value)
    return date.fromisoformat(value) if name == "next_due_on" else value


def shop(connection: Connection, shop_id: int) -> dict[str, Any]:
    """Return the shop itself."""
    row = connection.execute(select(ShopRow).where(ShopRow.id == shop_id)).one()
    return _plain(row, ("name", "created_at", *_SETTINGS))


def keep_settings(connection: Connection, shop_id: int, data: Mapping[str, Any]) -> None:
    """Take over what a shop says of itself, where it says nothing here."""
    here = connection.execute(select(ShopRow).where(ShopRow.id == shop_id)).one()
    values = {name: data[name] for name in _SETTINGS if getattr(here, name) is None and data[name] is not None}
    if values:
        connection.execute(update(ShopRow).where(ShopRow.id == shop_id).values(**values))


def staff(connection: Connection, shop_id: int) -> dict[int, dict[str, Any]]:
    """Return every account of a shop by its number, without what it logs in with."""
    columns = ("login", "role", "created_at", "disabled_at", "initials")
    statement = select(StaffRow).where(StaffRow.shop_id == shop_id).order_by(StaffRow.login)
    return {row.id: _plain(row, columns) for row in connection.execute(statement)}


def logins(connection: Connection) -> dict[str, tuple[int, int]]:
    """Return the shop and the number of every account of the tool by its login."""
    rows = connection.execute(select(StaffRow.login, StaffRow.shop_id, StaffRow.id))
    return {row.login: (row.shop_id, row.id) for row in rows}


def insert_closed_account(
    connection: Connection, shop_id: int, login: str, role: str, now: datetime, initials: str | None = None
) -> int:
    """Store an account that nobody can log in to, for what it once did, and return its number."""
    values = {"login": login, "role": role, "created_at": now, "disabled_at": now, "initials": initials}
    statement = insert(StaffRow).values(shop_id=shop_id, password_hash="none", session_epoch=1, **values)  # noqa: S106
    key = connection.execute(statement).inserted_primary_key
    if key is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new account no number.")
    return int(key[0])


def hold_shop(connection: Connection, shop_id: int) -> None:
    """Keep another import into the same shop waiting."""
    hold(connection, ShopRow.id, shop_id)


def shop_setup_ids(connection: Connection, shop_id: int) -> list[int]:
    """Return the setups that are a shop's own: whose link is in one of its records is somebody else's to take along."""
    own = select(ShopSetupRow.setup_id).where(ShopSetupRow.shop_id == shop_id).order_by(ShopSetupRow.setup_id)
    return list(connection.execute(own).scalars())


def count_left_behind(connection: Connection, shop_id: int) -> tuple[int, int]:
    """Return how many setups stay behind when a shop goes: those of no shop, and those of other shops alone."""
    statement = (
        select(ShopSetupRow.shop_id.is_(None), func.count())
        .select_from(SetupRow)
        .outerjoin(ShopSetupRow, ShopSetupRow.setup_id == SetupRow.id)
        .where(SetupRow.deleted_at.is_(None))
        .where(or_(ShopSetupRow.shop_id.is_(None), ShopSetupRow.shop_id != shop_id))
        .group_by(ShopSetupRow.shop_id.is_(None))
    )
    found = {bool(row[0]): int(row[1]) for row in connection.execute(statement)}
    return found.get(True, 0), found.get(False, 0)


def owners(connection: Connection, ids: Sequence[int]) -> dict[int, int]:
    """Return the shop that each of these setups belongs to, where it belongs to one."""
    found: dict[int, int] = {}
    for part in _parts(ids):
        statement = select(ShopSetupRow.setup_id, ShopSetupRow.shop_id).where(ShopSetupRow.setup_id.in_(part))
        found |= {row.setup_id: row.shop_id for row in connection.execute(statement)}
    return found


def setup_ids(connection: Connection, codes: Sequence[str]) -> dict[str, int]:
    """Return the numbers of the setups that have these codes."""
    found: dict[str, int] = {}
    for part in _parts(codes):
        rows = connection.execute(select(SetupRow.code, SetupRow.id).where(SetupRow.code.in_(part)))
        found |= {row.code: row.id for row in rows}
    return found


def retired(connection: Connection, codes: Sequence[str]) -> set[str]:
    """Return which of these codes were replaced by renewed links."""
    found: set[str] = set()
    for part in _parts(codes):
        found |= set(connection.execute(select(RetiredLinkRow.code).where(RetiredLinkRow.code.in_(part))).scalars())
    return found


def taken_keys(connection: Connection, setups: Sequence[Mapping[str, Any]]) -> set[str]:
    """Return which codes come with an owner's or a creation's key that another setup has."""
    taken = set()
    for part in _parts([one for one in setups if one["owner_key_hash"] or one["creation_key"]]):
        owners = {one["owner_key_hash"]: one["code"] for one in part}
        creations = {one["creation_key"]: one["code"] for one in part}
        statement = select(SetupRow.code, SetupRow.owner_key_hash, SetupRow.creation_key).where(
            or_(SetupRow.owner_key_hash.in_(list(owners)), SetupRow.creation_key.in_(list(creations)))
        )
        for row in connection.execute(statement):
            named = {owners.get(row.owner_key_hash or ""), creations.get(row.creation_key or "")}
            taken |= named - {None, row.code}
    return {code for code in taken if code is not None}


def _parts(values: Sequence[Any]) -> Iterable[Sequence[Any]]:
    return (values[start : start + _AT_ONCE] for start in range(0, len(values), _AT_ONCE))


def setups(
    connection: Connection, shop_id: int, ids: Sequence[int], names: Mapping[int, str]
) -> Iterable[dict[str, Any]]:
    """Yield setups whole, with what a shop knows of them; `names` are the logins of its accounts by number."""
    for part in _parts(ids):
        revisions: defaultdict[int, list[dict[str, Any]]] = defaultdict(list)
        held = select(RevisionRow).where(RevisionRow.setup_id.in_(part)).order_by(RevisionRow.number)
        for one in connection.execute(held):
            revisions[one.setup_id].append(_plain(one, _REVISION))
        owned = select(ShopSetupRow).where(ShopSetupRow.shop_id == shop_id, ShopSetupRow.setup_id.in_(part))
        mine = {row.setup_id: row for row in connection.execute(owned)}
        for row in connection.execute(select(SetupRow).where(SetupRow.id.in_(part)).order_by(SetupRow.id)):
            note = mine.get(row.id)
            yield {
                **_plain(row, _SETUP),
                "short_code": note and note.short_code,
                "saved_by": note and names.get(note.staff_id),
                "saved_at": note and _plain_value(note.created_at),
                "revisions": revisions[row.id],
            }


def units(connection: Connection, shop_id: int, own_setups: Sequence[int]) -> list[dict[str, Any]]:
    """Return a shop's forks and shocks by name, those out of use too, with what its own setups taught of each."""
    own, tied = set(own_setups), defaultdict[int, list[dict[str, Any]]](list)
    ties = (
        select(UnitSetupRow, SetupRow.code)
        .join(SetupRow, SetupRow.id == UnitSetupRow.setup_id)
        .join(SuspensionUnitRow, SuspensionUnitRow.id == UnitSetupRow.unit_id)
        .where(SuspensionUnitRow.shop_id == shop_id)
        .order_by(UnitSetupRow.setup_id, UnitSetupRow.spring_end)
    )
    for row in connection.execute(ties):
        if row.setup_id in own:
            tied[row.unit_id].append({"setup_code": row.code, **_plain(row, _TIE)})
    statement = select(SuspensionUnitRow).where(SuspensionUnitRow.shop_id == shop_id)
    rows = connection.execute(statement.order_by(SuspensionUnitRow.name_key))
    return [{**_plain(row, _UNIT), "setups": tied[row.id]} for row in rows]


def class_factors(connection: Connection, shop_id: int, names: Mapping[int, str]) -> list[dict[str, Any]]:
    """Return what a shop let its own checks move, state by state, the first first."""
    statement = select(ClassFactorsRow).where(ClassFactorsRow.shop_id == shop_id).order_by(ClassFactorsRow.number)
    return [{**_plain(row, _FACTORS), "made_by": names[row.made_by]} for row in connection.execute(statement)]


def insert_class_factors(
    connection: Connection, shop_id: int, staff_ids: Mapping[str, int], states: Sequence[Mapping[str, Any]]
) -> None:
    """Store states of what a shop let its own checks move."""
    made = [{"shop_id": shop_id, "made_by": staff_ids[one["made_by"]], **_stored(one, _FACTORS)} for one in states]
    if made:
        connection.execute(insert(ClassFactorsRow), made)


def checklist(connection: Connection, shop_id: int) -> list[Any] | None:
    """Return a shop's own checklist, None where it has none."""
    return connection.execute(select(ChecklistRow.steps).where(ChecklistRow.shop_id == shop_id)).scalar()


def records(connection: Connection, shop_id: int, names: Mapping[int, str]) -> list[dict[str, Any]]:
    """Return a shop's service records with their histories, the first first, and the links of its own setups alone."""
    changes: defaultdict[int, list[dict[str, Any]]] = defaultdict(list)
    of_shop = select(ServiceRecordRow.id).where(ServiceRecordRow.shop_id == shop_id)
    history = select(RecordChangeRow).where(RecordChangeRow.record_id.in_(of_shop)).order_by(RecordChangeRow.number)
    for row in connection.execute(history):
        changes[row.record_id].append({**_plain(row, _CHANGE), "made_by": names[row.made_by]})
    statement = (
        select(ServiceRecordRow, SetupRow.code.label("setup_code"))
        .outerjoin(
            ShopSetupRow, and_(ShopSetupRow.setup_id == ServiceRecordRow.setup_id, ShopSetupRow.shop_id == shop_id)
        )
        .outerjoin(SetupRow, SetupRow.id == ShopSetupRow.setup_id)
        .where(ServiceRecordRow.shop_id == shop_id)
        .order_by(ServiceRecordRow.id)
    )
    return [
        {
            **_plain(row, _RECORD),
            "setup_code": row.setup_code,
            "opened_by": names[row.opened_by],
            "closed_by": None if row.closed_by is None else names[row.closed_by],
            "changes": changes[row.id],
        }
        for row in connection.execute(statement)
    ]


def insert_setup(connection: Connection, data: Mapping[str, Any]) -> int:
    """Store a setup's row and return its number."""
    key = connection.execute(insert(SetupRow).values(**_stored(data, _SETUP))).inserted_primary_key
    if key is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new setup no number.")
    return int(key[0])


def insert_revisions(connection: Connection, setup_id: int, data: Sequence[Mapping[str, Any]]) -> None:
    """Store revisions of a setup."""
    if data:
        connection.execute(insert(RevisionRow), [{"setup_id": setup_id, **_stored(one, _REVISION)} for one in data])


def insert_shop_setup(
    connection: Connection, shop_id: int, setup_id: int, staff_id: int, data: Mapping[str, Any]
) -> None:
    """Note that a setup is a shop's."""
    values = {"short_code": data["short_code"], "created_at": datetime.fromisoformat(data["saved_at"])}
    connection.execute(insert(ShopSetupRow).values(shop_id=shop_id, setup_id=setup_id, staff_id=staff_id, **values))


def insert_unit(connection: Connection, shop_id: int, data: Mapping[str, Any]) -> None:
    """Store a fork or shock."""
    values = {"shop_id": shop_id, "name_key": name_key(data["name"]), **_stored(data, _UNIT)}
    connection.execute(insert(SuspensionUnitRow).values(**values))


def insert_unit_ties(
    connection: Connection, shop_id: int, data: Mapping[str, Any], setup_ids: Mapping[str, int]
) -> None:
    """Store which setups chose a fork or shock and what they taught of it; one that is tied here stays as it is."""
    key = name_key(data["name"])
    own = (SuspensionUnitRow.shop_id == shop_id, SuspensionUnitRow.name_key == key)
    unit_id = connection.execute(select(SuspensionUnitRow.id).where(*own)).scalar_one()
    mine = (ShopSetupRow.setup_id == SetupRow.id, ShopSetupRow.shop_id == shop_id, SetupRow.deleted_at.is_(None))
    for one in data["setups"]:
        setup_id = setup_ids.get(one["setup_code"])
        own_setup = connection.execute(select(SetupRow.id).where(SetupRow.id == setup_id, *mine)).scalar()
        taken = (UnitSetupRow.setup_id == own_setup, UnitSetupRow.spring_end == one["spring_end"])
        free = connection.execute(select(UnitSetupRow.setup_id).where(*taken)).first() is None
        if own_setup is not None and free:
            values = {"setup_id": own_setup, "unit_id": unit_id, **_stored(one, _TIE)}
            connection.execute(insert(UnitSetupRow).values(**values))


def insert_checklist(connection: Connection, shop_id: int, steps: list[Any], staff_id: int, now: datetime) -> None:
    """Store a shop's own checklist."""
    values = {"shop_id": shop_id, "steps": steps, "changed_at": now, "changed_by": staff_id}
    connection.execute(insert(ChecklistRow).values(**values))


def insert_record(
    connection: Connection,
    shop_id: int,
    setup_id: int | None,
    search_key: str,
    staff_ids: Mapping[str, int],
    data: Mapping[str, Any],
) -> None:
    """Store a service record with its history."""
    values = {"shop_id": shop_id, "search_key": search_key, **_record_values(setup_id, staff_ids, data)}
    key = connection.execute(insert(ServiceRecordRow).values(**values)).inserted_primary_key
    if key is None:  # not with one row on our databases
        raise RuntimeError("The database gave the new record no number.")
    _insert_changes(connection, key[0], staff_ids, data["changes"])


def bring_record_up(
    connection: Connection,
    shop_id: int,
    setup_id: int | None,
    staff_ids: Mapping[str, int],
    data: Mapping[str, Any],
    known: int,
) -> None:
    """Replace what a record holds by what it came to, and add the lines of its history after the first `known`."""
    mine = (ServiceRecordRow.shop_id == shop_id, ServiceRecordRow.short_code == data["short_code"])
    record_id = connection.execute(select(ServiceRecordRow.id).where(*mine).with_for_update()).scalar_one()
    values = _record_values(setup_id, staff_ids, data)
    if data["setup_code"] is None and data["draft"] is None:
        del values["setup_id"]  # a file names no setup that is not the shop's own: a link to one stays as it is here
    connection.execute(update(ServiceRecordRow).where(*mine).values(**values))
    _insert_changes(connection, record_id, staff_ids, data["changes"][known:])


def _record_values(setup_id: int | None, staff_ids: Mapping[str, int], data: Mapping[str, Any]) -> dict[str, Any]:
    return {
        **_stored(data, _RECORD),
        "setup_id": setup_id,
        "opened_by": staff_ids[data["opened_by"]],
        "closed_by": None if data["closed_by"] is None else staff_ids[data["closed_by"]],
    }


def _insert_changes(
    connection: Connection, record_id: int, staff_ids: Mapping[str, int], changes: Sequence[Mapping[str, Any]]
) -> None:
    lines = [{"record_id": record_id, "made_by": staff_ids[one["made_by"]], **_stored(one, _CHANGE)} for one in changes]
    if lines:
        connection.execute(insert(RecordChangeRow), lines)
