"""Cards by the stack in the browser: order, watch, fetch, cancel, come back; and what another shop sees."""

from __future__ import annotations

import io
import re
from collections.abc import Callable

import pytest
import zxingcpp
from flask import Flask
from flask.testing import FlaskClient
from PIL import Image

from tests.webapp.stacks.conftest import Table, log_in
from webapp.ground.database.engine import database
from webapp.setups.actions.shop_setups import find_shop_setups
from webapp.stacks import queries
from webapp.stacks.actions.forget_stacks import purge_stacks
from webapp.stacks.stack import KEPT, MOST_WAITING

Work = Callable[[], None]
Rasterise = Callable[[bytes], list[Image.Image]]


def order(client: FlaskClient, table: str, **more: str) -> str:
    """Order a stack and return the address of its page."""
    answer = client.post("/shop/stacks/table", data={"table": table, "size": "a4-8", **more})
    assert answer.status_code == 303, re.findall(r"<li>(.*?)</li>", answer.text)
    return answer.location


def saved_setups(app: Flask) -> int:
    with app.app_context():
        return find_shop_setups(1).total


def test_each_code_on_an_eight_up_sheet_opens_its_own_setup(
    app: Flask, staff: FlaskClient, table: Table, work: Work, rasterise: Rasterise
) -> None:
    page = order(staff, table(10))
    assert "Waiting for its turn" in staff.get(page).text
    work()
    assert "Ready to print" in staff.get(page).text
    sheets = rasterise(staff.get(f"{page}/cards-1.pdf").data)
    assert len(sheets) == 2
    found = [one.text for sheet in sheets for one in zxingcpp.read_barcodes(sheet)]
    assert len(set(found)) == 10
    bikes = []
    for address in found:
        answer = app.test_client().get(address.removeprefix("https://CARDS.EXAMPLE"))
        assert answer.status_code == 200
        bikes += re.findall(r"Heron \d+", answer.text)[:1]
    assert sorted(bikes, key=lambda bike: int(bike[6:])) == [f"Heron {n}" for n in range(1, 11)]


def test_a_table_with_a_problem_is_shown_again_as_typed_and_nothing_is_stored(
    app: Flask, staff: FlaskClient, table: Table
) -> None:
    wrong = table(3).replace("51 kg", "5100 kg")
    answer = staff.post("/shop/stacks/table", data={"table": wrong, "size": "letter-2"})
    assert answer.status_code == 422
    assert "Line 3, Rider weight “5100 kg”" in answer.text
    assert wrong in answer.text
    assert re.search(r'value="letter-2" checked', answer.text)
    assert saved_setups(app) == 0
    assert "Stacks that you order appear here" in staff.get("/shop/stacks").text


def test_a_file_with_a_problem_is_shown_in_the_tables_place(staff: FlaskClient, table: Table) -> None:
    wrong = table(2).replace("50 kg", "x").encode("utf-16")
    answer = staff.post("/shop/stacks/table", data={"file": (io.BytesIO(wrong), "riders.csv"), "size": "a6"})
    assert answer.status_code == 422
    assert "x;trail;120;Heron 1" in answer.text
    good = staff.post("/shop/stacks/table", data={"file": (io.BytesIO(table(2).encode()), "riders.csv"), "size": "a6"})
    assert good.status_code == 303


def test_the_same_page_sent_twice_is_one_stack(staff: FlaskClient, table: Table) -> None:
    key = "a" * 22
    assert order(staff, table(2), idempotency_key=key) == order(staff, table(2), idempotency_key=key)
    assert order(staff, table(3), idempotency_key=key) != order(staff, table(2), idempotency_key=key)


def test_saved_setups_are_printed_by_short_code_or_link_and_others_are_named(
    app: Flask, staff: FlaskClient, table: Table, work: Work, rasterise: Rasterise
) -> None:
    order(staff, table(3))
    work()
    with app.app_context():
        one, two, _three = find_shop_setups(1).setups
    codes = f"{one.short_code}\n/S/{two.code}, {one.short_code}"
    answer = staff.post("/shop/stacks/setups", data={"codes": codes, "size": "a4-4"})
    assert answer.status_code == 303
    work()
    (sheet,) = rasterise(staff.get(f"{answer.location}/cards-1.pdf").data)
    found = {text.text[-26:] for text in zxingcpp.read_barcodes(sheet)}
    assert found == {one.code, two.code}
    wrong = staff.post("/shop/stacks/setups", data={"codes": f"{one.short_code}\nZZZZZZ", "size": "a4-4"})
    assert wrong.status_code == 422
    assert "Line 2, code “ZZZZZZ”" in wrong.text


def test_setups_of_nobody_or_of_another_shop_are_not_printed(app: Flask, staff: FlaskClient) -> None:
    form = {"rider_mass_kg": "80", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "140"}
    code = app.test_client().post("/", data=form).location.rsplit("/", 1)[-1]
    answer = staff.post("/shop/stacks/setups", data={"codes": code, "size": "a4-4"})
    assert "not one of this shop" in answer.text


def test_another_shop_finds_nothing_of_a_stack(app: Flask, staff: FlaskClient, table: Table, work: Work) -> None:
    page = order(staff, table(1))
    work()
    other = log_in(app, "Harbour Wheels", "tom")
    for answer in (other.get(page), other.get(f"{page}/cards-1.pdf"), other.post(f"{page}/cancel")):
        assert answer.status_code == 404
    assert other.post(f"{page}/remove").status_code == 404
    assert app.test_client().get(page).status_code == 303


def test_a_cancelled_stack_stops_keeps_no_weight_and_can_be_removed(
    app: Flask, staff: FlaskClient, table: Table, work: Work
) -> None:
    page = order(staff, table(2))
    assert staff.post(f"{page}/remove").location == page, "while it is being made it stays"
    staff.post(f"{page}/cancel", follow_redirects=True)
    work()
    assert "Cancelled" in staff.get(page).text
    assert saved_setups(app) == 0
    assert documents(app) == [None, None]
    assert staff.post(f"{page}/remove").location == "/shop/stacks"
    assert staff.get(page).status_code == 404


def test_a_finished_stack_cannot_be_cancelled_and_keeps_no_weight(
    app: Flask, staff: FlaskClient, table: Table, work: Work
) -> None:
    page = order(staff, table(2))
    work()
    staff.post(f"{page}/cancel")
    assert "Ready to print" in staff.get(page).text
    assert documents(app) == [None, None]


def documents(app: Flask) -> list[object]:
    with app.app_context(), database.read() as connection:
        return [card.document for card in queries.cards_between(connection, 1, 1, 9)]


def test_a_deleted_setup_leaves_the_sheets(
    app: Flask, staff: FlaskClient, table: Table, work: Work, rasterise: Rasterise
) -> None:
    page = order(staff, table(2))
    work()
    with app.app_context():
        code = find_shop_setups(1).setups[0].code
        with database.write() as connection:
            from datetime import UTC, datetime

            from webapp.setups.queries import setups as setup_queries

            record = setup_queries.setup_by_code(connection, code)
            assert record is not None
            setup_queries.erase(connection, [record.setup_id], datetime.now(UTC))
        purge_stacks(datetime.now(UTC))
    assert staff.get(f"{page}/cards-1.pdf").status_code == 404
    work()
    (sheet,) = rasterise(staff.get(f"{page}/cards-1.pdf").data)
    (left,) = zxingcpp.read_barcodes(sheet)
    assert not left.text.endswith(code)
    assert "was deleted" in staff.get(page).text


def test_only_so_many_stacks_wait_and_old_ones_are_purged(app: Flask, staff: FlaskClient, table: Table) -> None:
    for n in range(MOST_WAITING):
        order(staff, table(n + 1))
    answer = staff.post("/shop/stacks/table", data={"table": table(9), "size": "a6"})
    assert answer.status_code == 422
    assert "stacks of this shop are being made" in answer.text
    from datetime import UTC, datetime

    with app.app_context():
        purge_stacks(datetime.now(UTC) + KEPT)
    assert "Stacks that you order appear here" in staff.get("/shop/stacks").text


@pytest.mark.parametrize("path", ["/shop/stacks/99", f"/shop/stacks/{10**12}", "/shop/stacks/1/cards-9.pdf"])
def test_what_is_not_there_is_not_found(staff: FlaskClient, path: str) -> None:
    assert staff.get(path).status_code == 404
