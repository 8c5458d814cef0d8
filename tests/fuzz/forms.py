"""Sends every form with what Hypothesis thinks of: some of its fields, with the token, without it or with another."""

from __future__ import annotations

import html
import io
import re
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlsplit

from flask import Flask
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from werkzeug.test import Client, TestResponse

from tests.fuzz.judge import Judge
from tests.fuzz.neighbours import Dealer
from tests.fuzz.readback import read_everything_back
from tests.fuzz.values import values
from tests.webapp.access.requests import path_of, request_of
from tests.webapp.access.test_access_matrix import CELLS
from tests.webapp.access.world import World, build

#: How many forms are drawn from one seed, before all is read back and put back.
ROUND: Final = 100
#: How many neighbours of it are sent after each form that was drawn.
NEIGHBOURS: Final = 2
#: One neighbour in so many has a token that is not its visitor's.
_WRONG_TOKEN: Final = 12
#: After these nothing else can be tried, so all is put back at once.
ENDS: Final = ("/owner/", "/shop/log-out", "/shop/password", "/close", "/staff/")
_NAMES: Final = re.compile(r'<(?:input|select|textarea)\b[^>]*?\sname="([^"]+)"')
_TOKEN: Final = re.compile(r'name="csrf_token"[^>]*value="([^"]+)"')


@dataclass(frozen=True)
class Form:
    """One form: where it is sent, by whom, what a good one holds, and every field that its page names."""

    rule: str
    path: str
    visitor: str
    good: dict[str, Any]
    fields: tuple[str, ...]


def fuzz_forms(app: Flask, open_app: Flask, judge: Judge, requests: int, first_seed: int) -> int:
    """Send about `requests` forms to `app` behind `judge`, and return how many stored things were read back.

    `open_app` is the same app on the same folder without form tokens: it makes what the forms are sent to.
    """
    world, dealer, number, opened = build(open_app), Dealer(first_seed), first_seed, 0
    world.app = app
    forms, token = collect_forms(world, judge)
    while judge.fuzzed < requests:
        left = (requests - judge.fuzzed) // (1 + NEIGHBOURS)
        _send_round(Round(world, judge, dealer, token), forms, max(1, min(ROUND, left)), number)
        opened += read_everything_back(app, judge, browser(world, judge, "owner"))
        world.put_back()
        number += 1
    world.close()
    return opened


def browser(world: World, judge: Judge, visitor: str) -> Client:
    """Return a browser of a visitor whose requests are judged."""
    client = Client(judge)
    for name, value in world.cookies.get(visitor, []):
        client.set_cookie(name, value, domain="localhost")
    return client


def collect_forms(world: World, judge: Judge) -> tuple[list[Form], dict[str, str]]:
    """Return every form of the app, and each visitor's token; the visitors keep the cookies that belong to it."""
    tokens = {}
    for visitor in ("nobody", "owner"):
        client = browser(world, judge, visitor)
        tokens[visitor] = _TOKEN.search(client.get("/shop/log-in").text)[1]  # type: ignore[index]
        world.cookies[visitor] = [(one.key, one.value) for one in client._cookies.values()]
    forms = []
    for method, rule in CELLS:
        if method == "POST" and not rule.startswith("/api/"):
            visitor = "owner" if rule.startswith("/shop") else "nobody"
            knows = "owner_link" if rule.startswith("/owner/") else "owner"
            path, good = path_of(world, rule, knows), request_of(world, method, rule, knows)["data"]
            fields = tuple(dict.fromkeys(_NAMES.findall(browser(world, judge, visitor).get(path).text)))
            forms.append(Form(rule, path, visitor, good, fields or tuple(good)))
    return forms, tokens


@st.composite
def filled(draw: st.DrawFn, forms: list[Form], tokens: dict[str, str]) -> tuple[Form, dict[str, Any]]:
    """Draw a form and what is sent with it."""
    form = draw(st.sampled_from(forms))
    data = dict(form.good)
    names = [*form.fields, *form.good]
    for name in draw(st.lists(st.sampled_from(names), max_size=5, unique=True)) if names else ():
        data[name] = draw(values)
    for name in draw(st.lists(st.sampled_from(sorted(form.good)), max_size=2)) if form.good else ():
        data.pop(name, None)
    if "file" in data:
        data["file"] = draw(st.one_of(st.binary(max_size=400), st.text(max_size=400).map(lambda text: text.encode())))
    which = draw(st.sampled_from(["right", "right", "right", "right", "none", "other"]))
    data.pop("csrf_token", None)
    if which != "none":
        data["csrf_token"] = tokens[form.visitor] if which == "right" else draw(values)
    return form, data


@dataclass(frozen=True)
class Round:
    """What sending a form needs."""

    world: World
    judge: Judge
    dealer: Dealer
    tokens: dict[str, str]

    def send_with_neighbours(self, form: Form, data: dict[str, Any]) -> None:
        """Send a form that was drawn, and others like it."""
        for value in data.values():
            self.dealer.remember(value)
        self.send(form, data)
        for _ in range(NEIGHBOURS):
            beside = self.dealer.change_fields(form.good, tuple(dict.fromkeys((*form.fields, *form.good))))
            wrong = self.dealer.one_in(_WRONG_TOKEN)
            self.send(form, beside | {"csrf_token": self.dealer.text() if wrong else self.tokens[form.visitor]})

    def send(self, form: Form, data: dict[str, Any]) -> None:
        """Send a form, follow where it leads, and put everything back where nothing else could be tried."""
        client = browser(self.world, self.judge, form.visitor)
        self.judge.fuzzed += 1
        answer = _post(client, form, data)
        if answer.status_code in (301, 302, 303, 307, 308):
            place = urlsplit(answer.headers["Location"])
            if client.get(place.path, query_string=place.query).status_code not in (200, 303):
                self.judge.blame(f"{form.rule} {data!r}", f"leads to nothing ({place.path})")
        if any(part in form.path for part in ENDS) and self.world.has_changed():
            self.world.put_back()


def _send_round(this: Round, forms: list[Form], examples: int, number: int) -> None:
    @seed(number)
    @settings(
        max_examples=examples,
        phases=[Phase.generate],
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(filled(forms, this.tokens))
    def send(drawn: tuple[Form, dict[str, Any]]) -> None:
        this.send_with_neighbours(*drawn)

    send()


def _post(client: Client, form: Form, data: dict[str, Any]) -> TestResponse:
    sent = {name: html.unescape(value) if isinstance(value, str) else value for name, value in data.items()}
    if isinstance(sent.get("file"), bytes):
        sent["file"] = (io.BytesIO(sent["file"]), "units.csv")
    sent = {
        n: v.encode("utf-8", "surrogatepass").decode("utf-8", "replace") if isinstance(v, str) else v
        for n, v in sent.items()
    }
    return client.post(form.path, data=sent)
