"""Statements about which saved setups are a shop's own; each takes the connection of its caller."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sqlalchemy import Connection, and_, bindparam, func, insert, or_, select
from sqlalchemy.sql import ColumnElement

from webapp.ground.database.record_rows import ServiceRecordRow
from webapp.ground.database.setup_rows import RevisionRow, SetupRow
from webapp.ground.database.shop_rows import ShopRow, ShopSetupRow, StaffRow
from webapp.ground.text.local_time import DEFAULT_ZONE

_OWNING_SHOP: Final = (
    select(ShopSetupRow.shop_id, ShopSetupRow.short_code)
    .join(SetupRow, SetupRow.id == ShopSetupRow.setup_id)
    .where(SetupRow.code == bindparam("code"))
)
_SAID_OF_SHOP: Final = (SetupRow.code, ShopSetupRow.short_code, ShopRow.name, ShopRow.phone, StaffRow.initials)
_PRINTED_SHOPS: Final = (
    select(*_SAID_OF_SHOP, ShopRow.time_zone)
    .join(SetupRow, SetupRow.id == ShopSetupRow.setup_id)
    .join(ShopRow, ShopRow.id == ShopSetupRow.shop_id)
    .join(StaffRow, StaffRow.id == ShopSetupRow.staff_id)
    .where(SetupRow.code.in_(bindparam("codes", expanding=True)))
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopSetupRecord:
    """One setup of a shop, with the label of its newest revision."""

    code: str
    short_code: str
    bike_label: str
    revision: int
    created_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedSetups:
    """What is looked for: words of the bike's label in any order, a short code, a card's code, a day; empty is all."""

    words: tuple[str, ...] = ()
    short_code: str = ""
    code: str = ""
    day: tuple[datetime, datetime] | None = None


def insert_shop_setup(
    connection: Connection, *, code: str, shop_id: int, staff_id: int, short_code: str, now: datetime
) -> None:
    """Note that the setup with this code is a shop's; a short code that is taken breaks the table's constraint."""
    setup_id = select(SetupRow.id).where(SetupRow.code == code).scalar_subquery()
    values = {"shop_id": shop_id, "staff_id": staff_id, "short_code": short_code, "created_at": now}
    connection.execute(insert(ShopSetupRow).values(setup_id=setup_id, **values))


def owning_shop(connection: Connection, code: str) -> tuple[int, str] | None:
    """Return (shop, short code) of a setup, None where it is no shop's."""
    row = connection.execute(_OWNING_SHOP, {"code": code}).first()
    return None if row is None else (row.shop_id, row.short_code)


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedShop:
    """What a card says of the shop that a setup is: its code there, name, phone and zone, and who saved the setup."""

    short_code: str
    name: str
    phone: str
    initials: str
    time_zone: str


def printed_shops(connection: Connection, codes: Sequence[str]) -> dict[str, PrintedShop]:
    """Return what a card says of its shop, by the setup's code, for those setups that are a shop's."""
    return {
        row.code: PrintedShop(
            short_code=row.short_code,
            name=row.name,
            phone=row.phone or "",
            initials=row.initials or "",
            time_zone=row.time_zone or DEFAULT_ZONE,
        )
        for row in connection.execute(_PRINTED_SHOPS, {"codes": list(codes)})
    }


def code_of_short(connection: Connection, shop_id: int, short_code: str) -> str | None:
    """Return the link's code of the setup that has this short code in a shop, or None."""
    statement = select(SetupRow.code).join(ShopSetupRow, ShopSetupRow.setup_id == SetupRow.id)
    mine = ShopSetupRow.shop_id == shop_id, ShopSetupRow.short_code == short_code
    return connection.execute(statement.where(*mine)).scalar()


def count_shop_setups(connection: Connection, shop_id: int, wanted: WantedSetups) -> int:
    """Return how many living setups of a shop are meant."""
    statement = _meant_ones(shop_id, wanted).with_only_columns(func.count())
    return int(connection.execute(statement).scalar_one())


def shop_setups(
    connection: Connection, shop_id: int, wanted: WantedSetups, start: int, limit: int
) -> tuple[ShopSetupRecord, ...]:
    """Return a page of the living setups of a shop, the newest first."""
    newest_first = ShopSetupRow.created_at.desc(), ShopSetupRow.setup_id.desc()
    # Which ones is asked first: the revisions of the pages before would be looked up to be skipped.
    page = _meant_ones(shop_id, wanted).order_by(*newest_first).offset(start).limit(limit).subquery("page")
    statement = (
        select(
            SetupRow.code,
            ShopSetupRow.short_code,
            RevisionRow.bike_label,
            RevisionRow.number.label("revision"),
            ShopSetupRow.created_at,
        )
        .join(page, page.c.setup_id == ShopSetupRow.setup_id)
        .join(SetupRow, SetupRow.id == ShopSetupRow.setup_id)
        .join(RevisionRow, _newest_revision())
        .order_by(*newest_first)
    )
    return tuple(ShopSetupRecord(**row._mapping) for row in connection.execute(statement))


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnSetup:
    """One setup of a shop by number, link's code and short code."""

    setup_id: int
    code: str
    short_code: str


def own_after(connection: Connection, shop_id: int, last: int, limit: int) -> tuple[OwnSetup, ...]:
    """Return a shop's setups with a number above `last`, at most `limit`, the first first."""
    statement = (
        select(ShopSetupRow.setup_id, SetupRow.code, ShopSetupRow.short_code)
        .join(SetupRow, SetupRow.id == ShopSetupRow.setup_id)
        .where(ShopSetupRow.shop_id == shop_id, ShopSetupRow.setup_id > last)
        .order_by(ShopSetupRow.setup_id)
        .limit(limit)
    )
    return tuple(OwnSetup(**row._mapping) for row in connection.execute(statement))


def _meant_ones(shop_id: int, wanted: WantedSetups) -> Any:
    """Return the statement of a shop's living setups that are meant; labels are looked up where one is asked for."""
    statement = (
        select(ShopSetupRow.setup_id)
        .join(SetupRow, SetupRow.id == ShopSetupRow.setup_id)
        .where(ShopSetupRow.shop_id == shop_id, SetupRow.deleted_at.is_(None))
    )
    if wanted.words:
        statement = statement.join(RevisionRow, _newest_revision())
    meant = _meant(shop_id, wanted)
    return statement.where(or_(*meant)) if meant else statement


def _newest_revision() -> ColumnElement[bool]:
    newest = (
        select(func.max(RevisionRow.number))
        .where(RevisionRow.setup_id == SetupRow.id)
        .correlate(SetupRow)
        .scalar_subquery()
    )
    return and_(RevisionRow.setup_id == SetupRow.id, RevisionRow.number == newest)


def _meant(shop_id: int, wanted: WantedSetups) -> list[ColumnElement[bool]]:
    meant: list[ColumnElement[bool]] = []
    if wanted.words:
        label = func.lower(RevisionRow.bike_label)
        meant.append(and_(*(label.contains(word, autoescape=True) for word in wanted.words)))
    if wanted.short_code:
        meant.append(ShopSetupRow.short_code == wanted.short_code)
        of_record = select(ServiceRecordRow.setup_id).where(ServiceRecordRow.short_code == wanted.short_code)
        meant.append(ShopSetupRow.setup_id.in_(of_record.where(ServiceRecordRow.shop_id == shop_id)))
    if wanted.code:
        meant.append(SetupRow.code == wanted.code)
    if wanted.day is not None:
        meant.append(ShopSetupRow.created_at.between(*wanted.day))
    return meant
