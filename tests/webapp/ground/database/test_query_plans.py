"""Every statement that users wait for goes by an index, whatever grows."""

from __future__ import annotations

import pytest
from flask import Flask

from tests import growth
from webapp.ground.database.engine import database


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
