"""Statements about when services are due, as a shop's file holds them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy import Connection, insert, select

from webapp.ground.database.record_rows import ServiceDueRow, ServiceRecordRow
from webapp.ground.database.setup_rows import SetupRow
from webapp.ground.database.shop_rows import ShopSetupRow


def dues(connection: Connection, shop_id: int) -> list[dict[str, Any]]:
    """Return when services of a shop's own setups are due, with the records that did them last."""
    statement = (
        select(ServiceDueRow, SetupRow.code.label("setup_code"), ServiceRecordRow.short_code.label("record"))
        .join(ShopSetupRow, ShopSetupRow.setup_id == ServiceDueRow.setup_id)
        .join(SetupRow, SetupRow.id == ServiceDueRow.setup_id)
        .join(ServiceRecordRow, ServiceRecordRow.id == ServiceDueRow.record_id)
        .where(ServiceDueRow.shop_id == shop_id, ShopSetupRow.shop_id == shop_id)
        .order_by(ServiceDueRow.setup_id, ServiceDueRow.spring_end, ServiceDueRow.service)
    )
    names = ("setup_code", "record", "spring_end", "service", "hours")
    return [
        {**{name: getattr(row, name) for name in names}, "due_on": row.due_on.isoformat()}
        for row in connection.execute(statement)
    ]


def insert_dues(
    connection: Connection, shop_id: int, setup_ids: Mapping[str, int], data: Sequence[Mapping[str, Any]]
) -> None:
    """Store when services are due, where nothing is known of that here and setup and record are the shop's."""
    for one in data:
        own = (ServiceRecordRow.shop_id == shop_id, ServiceRecordRow.short_code == one["record"])
        record_id = connection.execute(select(ServiceRecordRow.id).where(*own)).scalar()
        mine = (ShopSetupRow.shop_id == shop_id, ShopSetupRow.setup_id == setup_ids.get(one["setup_code"]))
        setup_id = connection.execute(select(ShopSetupRow.setup_id).where(*mine)).scalar()
        same = (ServiceDueRow.spring_end == one["spring_end"], ServiceDueRow.service == one["service"])
        known = connection.execute(select(ServiceDueRow.setup_id).where(ServiceDueRow.setup_id == setup_id, *same))
        if record_id is None or setup_id is None or known.first() is not None:
            continue
        values = {"shop_id": shop_id, "setup_id": setup_id, "record_id": record_id, "hours": one["hours"]}
        values |= {"spring_end": one["spring_end"], "service": one["service"]}
        connection.execute(insert(ServiceDueRow).values(**values, due_on=date.fromisoformat(one["due_on"])))
