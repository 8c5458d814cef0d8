"""Every route × method × kind of visitor, as `access_matrix.txt` has it: nobody gets more, nothing else is changed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final
from urllib.parse import urlsplit

import pytest
from flask import Flask
from werkzeug.test import TestResponse

from tests.webapp.access import world as access_world
from tests.webapp.access.requests import path_of, request_of
from tests.webapp.access.world import KNOW_THE_LINK, OF_THE_SHOP, SETUP_WORDS, SHOP_WORDS, VISITORS, WEIGHT, World
from webapp import create_app

TABLE: Final = Path(__file__).parent / "access_matrix.txt"
SETTINGS: Final = {
    "TESTING": True,
    "PUBLIC_BASE_URL": "https://cards.example",
    "SECRET_KEY": "only-for-tests-0123456789",
    "RATELIMIT_ENABLED": False,
}
METHODS: Final = ("GET", "POST", "PUT", "PATCH", "DELETE")
REFUSED: Final = ("403", "404", "405", "410", "log-in")

Cells = dict[tuple[str, str], dict[str, str]]


def read_table() -> Cells:
    """Return (method, rule) -> visitor -> what they get."""
    cells: Cells = {}
    for line in TABLE.read_text(encoding="utf-8").splitlines():
        if line.strip() and not line.startswith("#"):
            method, rule, *gets = line.split()
            assert len(gets) == len(VISITORS), line
            assert (method, rule) not in cells, line
            cells[method, rule] = dict(zip(VISITORS, gets, strict=True))
    return cells


CELLS: Final = read_table()


def app_on(folder: Path, *, tokens: bool) -> Flask:
    return create_app({**SETTINGS, "DATA": str(folder), "WTF_CSRF_ENABLED": tokens})


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    built = access_world.build(app_on(tmp_path_factory.mktemp("access"), tokens=False))
    yield built
    built.close()


def outcome(world: World, answer: TestResponse) -> str:
    """Return what an answer is in the table's words; whatever was saved is taken back."""
    place = urlsplit(answer.headers.get("Location", "")).path
    saved = world.has_changed()
    if saved:
        world.put_back()
    if answer.status_code == 303 and place == "/shop/log-in" and not saved:
        return "log-in"
    return f"{answer.status_code}{'+' if saved else ''}"


def secrets_told(world: World, visitor: str, got: str, text: str, rule: str = "") -> list[str]:
    """Return what stands in an answer that this visitor must not read."""
    forbidden = [] if visitor in OF_THE_SHOP else [*SHOP_WORDS]
    if rule == "/s/<code>/print" and visitor in KNOW_THE_LINK and forbidden:
        forbidden.remove("Lantern Lane")  # a card says which shop it is from
    if visitor not in KNOW_THE_LINK or got in REFUSED:
        forbidden += [*SETUP_WORDS, WEIGHT, world.key]
    if visitor not in KNOW_THE_LINK:
        forbidden.append(world.code)
    return [word for word in forbidden if word in text]


def test_every_route_has_a_line_and_every_line_a_route(world: World) -> None:
    routes = {
        (method, rule.rule)
        for rule in world.app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }
    assert sorted(routes - set(CELLS)) == [], "routes that access_matrix.txt says nothing of"
    assert sorted(set(CELLS) - routes) == [], "lines of access_matrix.txt without a route"


@pytest.mark.parametrize("visitor", VISITORS)
def test_each_visitor_gets_what_the_table_says_and_nothing_else_changes(world: World, visitor: str) -> None:
    wrong = []
    for (method, rule), gets in CELLS.items():
        path = path_of(world, rule, visitor)
        answer = world.browser(visitor).open(path, method=method, **request_of(world, method, rule, visitor))
        got = outcome(world, answer)
        told = secrets_told(world, visitor, got, answer.get_data().decode("utf-8", "replace"), rule)
        answer.close()
        if got != gets[visitor] or told:
            wrong.append((method, rule, gets[visitor], got, told))
        if method == "GET" and visitor in ("nobody", "owner_link", "owner"):
            bare = world.browser(visitor).head(path, **request_of(world, method, rule, visitor))
            assert bare.status_code == answer.status_code, rule
            assert not bare.get_data(), rule
            assert not world.has_changed(), f"HEAD {rule} saves"
            bare.close()
    assert wrong == []


@pytest.mark.parametrize("visitor", ["nobody", "owner"])
def test_other_methods_are_refused_everywhere(world: World, visitor: str) -> None:
    for rule in sorted({rule for _method, rule in CELLS}):
        taken = {method for method, named in CELLS if named == rule}
        for method in set(METHODS) - taken:
            answer = world.browser(visitor).open(path_of(world, rule, visitor), method=method)
            assert outcome(world, answer) == "405", (method, rule)
        told = world.browser(visitor).options(path_of(world, rule, visitor))
        assert outcome(world, told) == "200", rule
        assert not told.get_data(), rule


def test_what_another_site_sends_in_a_signed_in_browser_changes_nothing(world: World) -> None:
    """Its forms carry the session cookie at best, and no token. The JSON interface reads no cookie at all."""
    folder = Path(world.app.config["DATA"])
    strict = World(app_on(folder, tokens=True), **{n: getattr(world, n) for n in ("code", "key", "short", "record")})
    strict.cookies, strict.kept = world.cookies, world.kept
    changed = []
    for (method, rule), gets in CELLS.items():
        if method != "POST" or rule.startswith("/api/") or rule == "/shop/log-in":
            continue
        visitor = "owner_link" if rule.startswith("/owner/") else "owner"
        answer = strict.browser(visitor).post(
            path_of(strict, rule, visitor), **request_of(strict, method, rule, visitor)
        )
        got = outcome(strict, answer)
        if got.endswith("+") or (gets[visitor].endswith("+") and not re.match("4", got)):
            changed.append((rule, gets[visitor], got))
    strict.close()
    assert changed == []


def test_the_table_lets_no_stranger_save_anything_of_the_shop() -> None:
    """The table itself: who is not of the shop saves nothing below its address, whatever a later hand writes there."""
    for (_method, rule), gets in CELLS.items():
        if rule.startswith("/shop") and rule not in ("/shop/log-in", "/shop/open/<token>"):
            strangers = {gets[v] for v in ("nobody", "link", "owner_link", "withdrawn", "logged_out")}
            assert strangers == {"log-in"}, rule
            if "<int:" in rule or "<code>" in rule:
                assert gets["elsewhere"] == "404", rule
        if rule.startswith("/owner/<key>"):
            assert {gets[v] for v in VISITORS if v not in ("owner_link", "withdrawn")} == {"404"}, rule
        if rule.startswith(("/s/<code>", "/api/v1/setups/<code>")):
            assert gets["nobody"] == gets["elsewhere"] == "404", rule
            assert gets["withdrawn"] == "410", rule
