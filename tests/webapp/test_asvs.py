"""The table of `asvs.toml` names places and tests that exist; here are those of its tests that have no other home."""

from __future__ import annotations

import ast
import re
import time
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.accounts import access
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.actions.passwords import PASSWORD_SHORTEST
from webapp.ground.database.engine import database
from webapp.ground.database.tables import metadata

ROOT: Final = Path(__file__).parents[2]
ITEMS: Final = tomllib.loads((ROOT / "tests/webapp/asvs.toml").read_text(encoding="utf-8"))["item"]
PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop


def calls() -> Iterator[tuple[Path, ast.Call]]:
    """Yield every call in the tool's own code."""
    for folder in ("webapp", "setup_rules"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call):
                    yield path, node


def test_every_item_has_a_place_and_tests_or_a_reason() -> None:
    numbers = [item["number"] for item in ITEMS]
    assert len(numbers) == len(set(numbers)) > 70
    for item in ITEMS:
        assert item["what"]
        assert item["level"] in (1, 2, 3)
        assert bool(item.get("why")) != bool(item.get("tests")), item["number"]
        if "where" in item:
            assert (ROOT / item["where"]).exists(), item["where"]


@pytest.mark.parametrize("named", sorted({test for item in ITEMS for test in item.get("tests", ())}))
def test_every_test_that_an_item_names_exists(named: str) -> None:
    path, name = named.split("::")
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    assert name in {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


#: What may be started: this very program, with nothing in its command that was sent.
STARTED = {"webapp/commands/child_worker.py": "[sys.executable, '-m', 'webapp', 'worker', '--until-closed']"}


def test_nothing_runs_commands_or_code() -> None:
    forbidden = {"eval", "exec", "compile", "system", "popen", "Popen", "run_command", "import_string", "from_string"}
    found = []
    for path, call in calls():
        name = call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")
        owner = getattr(getattr(call.func, "value", None), "id", "")
        if (name in forbidden and owner != "re") or owner in ("subprocess", "pickle", "marshal"):
            place = str(path.relative_to(ROOT))
            if not (owner == "subprocess" and call.args and ast.unparse(call.args[0]) == STARTED.get(place)):
                found.append(f"{place}:{call.lineno} {owner}.{name}")
    assert found == []


#: Statements that are put together: settings from numbers of ours and names of our own tables, never a value.
PUT_TOGETHER = {
    "f'PRAGMA user_version={(version + 1) % 1000000}'",
    "f'PRAGMA busy_timeout={waits_ms}'",
    "f'PRAGMA {pragma}'",
    "f'SET {name} = {value_ms}'",
    "f'SET LOCAL {name} = 0'",
    "f'SELECT count(*) FROM {name}'",
    "f'SELECT version_num FROM {_BESIDE}'",
}


def test_no_statement_is_put_together_from_values() -> None:
    found = set()
    for _path, call in calls():
        name = getattr(call.func, "attr", getattr(call.func, "id", ""))
        if name in ("text", "exec_driver_sql", "execute") and call.args and isinstance(call.args[0], ast.JoinedStr):
            found.add(ast.unparse(call.args[0]))
    assert found == PUT_TOGETHER


def test_scripts_put_in_no_markup() -> None:
    for script in (ROOT / "webapp/static").rglob("*.js"):
        assert not re.search(
            r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(", script.read_text("utf-8")
        )
    assert (ROOT / "webapp/static/app.css").exists()


def shop_cookies(app: Flask) -> tuple[FlaskClient, list[str]]:
    """Return a browser that logged in, and the cookies as the server set them."""
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
    client = app.test_client()
    answer = client.post("/shop/log-in", data={"login": "mira", "password": PASSWORD})
    return client, answer.headers.getlist("Set-Cookie")


def test_the_cookies_stay_with_this_site_and_away_from_scripts(app: Flask) -> None:
    cookies = shop_cookies(app)[1]
    assert len(cookies) == 2
    for cookie in cookies:
        assert {"HttpOnly", "SameSite=Lax", "Secure", "Path=/"} <= set(cookie.split("; "))


@pytest.mark.parametrize("path", ["/", "/api/v1/openapi.json", "/api/v1/setups"])
def test_no_other_origin_is_let_in(client: FlaskClient, path: str) -> None:
    asked = {"Origin": "https://elsewhere.example", "Access-Control-Request-Method": "POST"}
    for method in ("GET", "OPTIONS", "POST"):
        headers = client.open(path, method=method, headers=asked).headers
        assert not [name for name, _value in headers if name.lower().startswith("access-control")]
        assert headers["Cross-Origin-Resource-Policy"] == "same-origin"


def test_texts_name_their_type_and_character_set(client: FlaskClient) -> None:
    for path in ("/", "/about", "/robots.txt", "/nowhere", "/static/app.css"):
        answer = client.get(path)
        assert answer.content_type.endswith("charset=utf-8"), path
        answer.close()
    assert client.get("/api/v1/openapi.json").content_type == "application/json"


@pytest.mark.parametrize(
    "path",
    ["../config.py", "%2e%2e/config.py", "..%2fconfig.py", "etc/passwd", ".git/HEAD", "fonts", "fonts/..", "%00"],
)
def test_no_path_leads_out_of_the_static_folder(client: FlaskClient, path: str) -> None:
    for place in (f"/static/{path}", f"/{path}"):
        assert client.get(place).status_code in (404, 308), place


def test_short_passwords_are_refused_and_plain_long_ones_taken(app: Flask) -> None:
    client = shop_cookies(app)[0]
    change = {"old_password": PASSWORD, "new_password": "x7#qL", "again": "x7#qL"}
    assert client.post("/shop/password", data=change).status_code == 422
    assert PASSWORD_SHORTEST >= 8
    letters = "herons asleep under seven bridges"  # neither capital nor digit nor sign
    assert client.post("/shop/password", data=change | {"new_password": letters, "again": letters}).status_code == 303


def test_passwords_are_hidden_and_can_be_pasted_and_filled_in(app: Flask) -> None:
    client = shop_cookies(app)[0]
    for path in ("/shop/log-in", "/shop/password", "/shop/staff"):
        page = client.get(path).text
        fields = re.findall(r'<input type="(\w+)"([^>]*)name="(?:\w*password|again)"', page)
        assert fields, path
        for kind, rest in fields:
            assert kind == "password"
            assert re.search(r'autocomplete="(?:current|new)-password"', rest), path
        assert "onpaste" not in page


def test_a_new_database_has_no_account(app: Flask) -> None:
    with app.app_context(), database.read() as connection:
        assert connection.execute(metadata.tables["staff"].select()).all() == []


def test_logging_in_starts_a_new_session(app: Flask) -> None:
    client = app.test_client()
    client.get("/shop/log-in")
    with client.session_transaction() as before:
        before["planted"] = "by somebody else"
    with app.app_context():
        open_shop("Lantern Lane Cycles", "mira", PASSWORD)
    client.post("/shop/log-in", data={"login": "mira", "password": PASSWORD})
    with client.session_transaction() as after:
        assert "planted" not in after
        assert "staff" in after


def test_a_session_ends_by_itself(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    client = shop_cookies(app)[0]
    assert client.get("/shop").status_code == 200
    later = time.time() + 3600 * float(app.config["SESSION_HOURS"]) + 60
    monkeypatch.setattr(access.time, "time", lambda: later)
    assert client.get("/shop").status_code == 303


@pytest.mark.parametrize(
    "change",
    [
        lambda text: f"{text.rpartition('.')[0]}.{'A' * 27}",
        lambda text: text.rpartition(".")[0] + ".",
        lambda text: "e30." + text.partition(".")[2],
        lambda text: text.split(".")[0],
    ],
    ids=["signature", "no signature", "other content", "content alone"],
)
def test_a_cookie_that_was_changed_opens_nothing(app: Flask, change: Callable[[str], str]) -> None:
    client = shop_cookies(app)[0]
    (cookie,) = [one for one in client._cookies.values() if "session" in one.key]
    thief: Any = app.test_client()
    thief.set_cookie(cookie.key, cookie.value, domain="localhost")
    assert thief.get("/shop").status_code == 200
    thief = app.test_client()
    thief.set_cookie(cookie.key, change(cookie.value), domain="localhost")
    assert thief.get("/shop").status_code == 303


def test_it_is_written_down_how_soon_a_known_weakness_is_mended() -> None:
    said = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    assert "within seven days" in said
    assert "tests/webapp/asvs.toml" in said
