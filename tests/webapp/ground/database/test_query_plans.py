"""Every statement that users wait for goes by an index, whatever grows."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask

from tests import growth
from webapp.ground.database.engine import database
from webapp.setups.actions.shop_setups import ShopSetupPage, find_shop_setups
from webapp.workshop.actions.find_records import RecordPage, find_records


@pytest.fixture
def grown(app: Flask) -> Flask:
    """An app with a few setups and shops; SQLite plans the same for a few and for a million."""
    growth.fill(app, 1, 21, growth._open_shops(app))
    return app


@pytest.mark.sqlite
def test_no_statement_of_a_visit_reads_a_whole_table(grown: Flask) -> None:
    client, staff = grown.test_client(), grown.test_client()
    with growth.statements(grown) as heard:
        growth.visit(client, staff, growth.code_of(8), growth.code_of(8, "owner"))
    assert len(heard) >= 18
    assert growth.whole_tables(grown, heard) == []


@pytest.mark.sqlite
def test_a_statement_that_reads_a_whole_table_is_noticed(grown: Flask) -> None:
    with growth.statements(grown) as heard, grown.app_context(), database.read() as connection:
        connection.exec_driver_sql("SELECT count(*) FROM revision WHERE bike_label = 'Heron 7'").scalar()
    (found,) = growth.whole_tables(grown, heard)
    assert "SCAN revision" in found


@pytest.mark.sqlite
@pytest.mark.parametrize("find", [find_shop_setups, find_records])
def test_a_list_counts_and_skips_by_the_index_alone(
    grown: Flask, find: Callable[[int, str, int], ShopSetupPage | RecordPage]
) -> None:
    with growth.statements(grown) as heard, grown.app_context():
        find(1, "", 3)
    assert len(heard) == 2
    assert growth.whole_tables(grown, heard) == []
    with grown.app_context(), database.read() as connection:
        for statement, parameters in heard.items():
            steps = [row[-1] for row in connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", parameters)]
            # Labels, documents and steps of the rows that are only counted or skipped are not looked at.
            counted = steps[: steps.index("SCAN page")] if "SCAN page" in steps else steps
            assert any("COVERING INDEX" in step and "(shop_id=?)" in step for step in counted)
            assert not any("revision" in step or "staff" in step for step in counted)
