"""PostgreSQL alone: what SQLite's one writer gives for nothing has to be asked for here."""

from __future__ import annotations

import os
import socket
import threading
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import make_url

from setup_rules import read_request
from tests.servers import DATABASE_SWITCH
from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.manage_staff import change_role, list_staff
from webapp.accounts.actions.open_shop import list_shops, open_shop
from webapp.ground.action_errors import LinkGoneError, RefusedError
from webapp.ground.database.engine import database
from webapp.ground.database.postgresql import make_postgresql
from webapp.ground.errors import StorageUnavailableError
from webapp.setups.actions.append_revision import append_revision
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.renew_link import renew_link
from webapp.setups.queries import setups as queries

pytestmark = pytest.mark.postgresql
Make = Callable[..., Flask]
REQUEST = {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}
PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop


def at_once(app: Flask, *actions: Callable[[], Any]) -> list[Any]:
    """Run actions at the same moment; return what each gave or raised, in order."""
    barrier, got = threading.Barrier(len(actions)), [None] * len(actions)

    def act(place: int, action: Callable[[], Any]) -> None:
        with app.app_context():
            barrier.wait()
            try:
                got[place] = action()
            except Exception as error:  # noqa: BLE001 - judged by the test's own thread
                got[place] = error

    threads = [threading.Thread(target=act, args=pair) for pair in enumerate(actions)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return got


def test_what_one_block_reads_is_one_moment(app: Flask) -> None:
    with app.app_context():
        with database.read() as reading:
            assert queries.count_setups(reading) == 0
            create_setup(read_request(REQUEST))
            assert queries.count_setups(reading) == 0
        with database.read() as reading:
            assert queries.count_setups(reading) == 1


def test_what_a_reader_writes_by_mistake_is_not_kept(app: Flask) -> None:
    with app.app_context():
        code = create_setup(read_request(REQUEST)).saved.code
        with database.read() as reading:
            reading.exec_driver_sql("DELETE FROM revision")
        assert find_setup(code).number == 1


def test_a_writer_waits_for_a_held_row_no_longer_than_set(make_app: Make) -> None:
    app = make_app(DATABASE_WAIT_S=0.2)
    with app.app_context():
        code = create_setup(read_request(REQUEST)).saved.code
        with database.write() as holding:
            queries.hold_setup(holding, code)
            with pytest.raises(StorageUnavailableError), database.write() as waiting:
                queries.hold_setup(waiting, code)


def test_requests_beyond_the_connections_are_told_to_come_again(make_app: Make) -> None:
    app = make_app(DATABASE_WAIT_S=0.1)
    with app.app_context():
        taken = [database.engine.connect() for _ in range(16)]
        with pytest.raises(StorageUnavailableError), database.read():
            pass
        assert app.test_client().get("/healthz").status_code == 503
        for connection in taken:
            connection.close()
        with database.read() as connection:
            assert queries.count_setups(connection) == 0


def end_other_connections(app: Flask) -> None:
    """Do what a restart of the server does to everybody who is connected."""
    with app.app_context(), database.engine.connect() as connection:
        connection.exec_driver_sql(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
            "WHERE datname = current_database() AND pid <> pg_backend_pid()"
        )


def test_a_restart_of_the_database_is_not_seen_by_the_next_request(make_app: Make) -> None:
    app, other = make_app(), make_app()
    client = app.test_client()
    assert client.post("/api/v1/setups", json=REQUEST).status_code == 201
    end_other_connections(other)
    assert client.post("/api/v1/setups", json=REQUEST).status_code == 201


def test_a_restart_in_the_middle_of_a_save_saves_nothing_of_it(make_app: Make) -> None:
    app, other = make_app(), make_app()
    with app.app_context():
        code = create_setup(read_request(REQUEST)).saved.code
        with pytest.raises(StorageUnavailableError), database.write() as connection:  # noqa: PT012 - the block is it
            setup = queries.setup_by_code(connection, code)
            assert setup is not None
            queries.erase(connection, [setup.setup_id], setup.created_at)
            end_other_connections(other)
            queries.count_setups(connection)
        assert find_setup(code).number == 1


def test_a_database_that_only_reads_is_said_and_shows_what_is_there(app: Flask) -> None:
    client = app.test_client()
    saved = client.post("/api/v1/setups", json=REQUEST).json
    assert saved is not None
    with app.app_context():
        with database.engine.connect() as connection:
            name = connection.exec_driver_sql("SELECT current_database()").scalar()
            connection.exec_driver_sql(f"ALTER DATABASE {name} SET default_transaction_read_only = on")
            connection.commit()
        database.engine.dispose()
        assert client.get(f"/api/v1/setups/{saved['code']}").status_code == 200
        assert client.post("/api/v1/setups", json=REQUEST).status_code == 503
        with database.engine.connect() as connection:
            connection.exec_driver_sql("SET TRANSACTION READ WRITE")
            connection.exec_driver_sql(f"ALTER DATABASE {name} RESET default_transaction_read_only")
            connection.commit()


def test_a_forked_process_opens_connections_of_its_own(app: Flask) -> None:
    with app.app_context():
        with database.read() as connection:
            mine = connection.exec_driver_sql("SELECT pg_backend_pid()").scalar()
        reader, writer = os.pipe()
        if (child := os.fork()) == 0:  # as a gunicorn that loads the app before it forks
            with database.read() as connection:
                os.write(writer, str(connection.exec_driver_sql("SELECT pg_backend_pid()").scalar()).encode())
            os._exit(0)
        os.waitpid(child, 0)
        theirs = int(os.read(reader, 20))
        with database.read() as connection:
            assert connection.exec_driver_sql("SELECT pg_backend_pid()").scalar() == mine
    assert theirs != mine


def test_of_two_owners_who_leave_at_once_one_stays(app: Flask) -> None:
    with app.app_context():
        one = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        for turn in range(5):
            other = create_staff(one.shop_id, f"ines{turn}", PASSWORD, "owner")
            got = at_once(
                app,
                lambda: change_role(one, one.staff_id, "staff"),
                lambda other=other: change_role(one, other, "staff"),
            )
            assert sum(isinstance(each, RefusedError) for each in got) == 1
            assert sum(member.is_owner for member in list_staff(one.shop_id)) == 1
            change_role(one, one.staff_id, "owner")
            change_role(one, other, "staff")


def test_a_save_beside_a_deletion_leaves_no_weight_behind(app: Flask) -> None:
    with app.app_context():
        for _ in range(5):
            made = create_setup(read_request(REQUEST))
            following = made.saved.followed_by(made.saved.setup, kind="service", reason="Again")
            got = at_once(
                app, lambda made=made: delete_setup(str(made.owner_key)), lambda new=following: append_revision(new)
            )
            assert got[0] is None
            assert not isinstance(got[1], Exception) or isinstance(got[1], LinkGoneError)
        with database.read() as connection:
            assert connection.exec_driver_sql("SELECT count(*) FROM revision").scalar() == 0


def test_a_page_that_renews_a_link_twice_at_once_gives_one_link(app: Flask) -> None:
    with app.app_context():
        for _ in range(5):
            made = create_setup(read_request(REQUEST))
            got = at_once(app, *[lambda made=made: renew_link(str(made.owner_key), made.saved.code)] * 2)
            assert got[0] == got[1]
            assert find_setup(got[0]).number == 1


@pytest.mark.parametrize(
    "path",
    [
        "/shop?q=%00",
        "/shop?q=%ED%A0%80",
        "/shop/units?q=%00",
        "/shop/bench?q=a%00b",
        "/shop/units/99999999999",
        "/shop/units/999999999999999999",
        "/shop/staff/99999999999",
        f"/s/{'0' * 26}?revision=99999999999",
        "/find?code=%00",
        "/owner/%00",
    ],
)
def test_what_postgresql_takes_no_row_for_is_no_failure(make_app: Make, path: str) -> None:
    app = make_app(TESTING=False)
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
    client = app.test_client()
    assert client.post("/shop/log-in", data={"login": "mira", "password": PASSWORD}).status_code == 303
    assert client.get(path).status_code < 500
    assert client.post(path, data={"name": "a\0b", "login": "a\0b", "code": "\0", "q": "\0"}).status_code < 500


def test_a_login_with_a_zero_byte_is_just_wrong(make_app: Make) -> None:
    app = make_app(TESTING=False)
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
    answer = app.test_client().post("/shop/log-in", data={"login": "mi\0ra", "password": PASSWORD})
    assert answer.status_code == 422


def test_of_two_shops_of_one_name_that_are_opened_at_once_there_is_one(app: Flask) -> None:
    for turn in range(5):
        name, logins = f"Lantern Lane {turn}", (f"mira{turn}", f"tom{turn}")
        got = at_once(app, *(lambda login=login, name=name: open_shop(name, login, PASSWORD) for login in logins))
        assert sorted(isinstance(one, RefusedError) for one in got) == [False, True], got
        with app.app_context():
            assert [one[1] for one in list_shops()].count(name) == 1


@pytest.mark.skipif(not hasattr(socket, "TCP_USER_TIMEOUT"), reason="the system has no such bound")
@pytest.mark.parametrize(("asked", "within_ms"), [({}, 15_000), ({"tcp_user_timeout": "4000"}, 4_000)])
def test_a_machine_that_is_gone_is_given_up_and_the_address_may_say_when(asked: dict[str, str], within_ms: int) -> None:
    """Measured by cutting the wire between both: a page waited more than 200 s, now 21 s."""
    address = make_url(os.environ[DATABASE_SWITCH])
    engine = make_postgresql(address.update_query_dict(asked).render_as_string(hide_password=False), 5.0, {})
    with engine.connect() as connection:
        driver: Any = connection.connection.driver_connection
        with socket.socket(fileno=os.dup(driver.fileno())) as wire:
            assert wire.getsockopt(socket.IPPROTO_TCP, socket.TCP_USER_TIMEOUT) == within_ms
            assert wire.getsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE) == 1
            assert wire.getsockopt(socket.IPPROTO_TCP, socket.TCP_KEEPIDLE) == 15
    engine.dispose()
