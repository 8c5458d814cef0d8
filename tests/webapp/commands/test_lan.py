"""`serve --lan`: the address that is shown, the code in the terminal, and what is said of settings that do not fit."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import zxingcpp
from flask import Flask

from webapp.cards.rendering.qr import qr_as_text
from webapp.commands import lan
from webapp.commands.lan import Network, find_network, lan_cautions, lan_settings, lan_words
from webapp.ground.errors import ConfigError

Make = Callable[..., Flask]
FIELD = Network("http://192.168.8.20:8000", ("http://10.0.0.4:8000",))


@pytest.mark.parametrize(
    "address", ["http://192.168.8.20:8000", "http://10.0.0.4:8000", "http://192.168.178.123:65535"]
)
def test_the_code_in_the_terminal_opens_the_address(address: str) -> None:
    rows = qr_as_text(address).split("\n")
    assert len({len(row) for row in rows}) == 1
    dark = {" ": (0, 0), "▀": (1, 0), "▄": (0, 1), "█": (1, 1)}
    modules = np.array([[dark[sign][half] for sign in row] for row in rows for half in (0, 1)])
    picture = np.kron(1 - modules, np.ones((6, 6))).astype(np.uint8) * 255
    assert [one.text for one in zxingcpp.read_barcodes(picture)] == [address]


def test_the_likeliest_address_is_shown_and_the_others_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lan, "own_addresses", lambda: ("192.168.8.20", "10.0.0.4"))
    assert find_network(8000) == FIELD
    said = lan_words(FIELD)
    for part in (FIELD.address, *FIELD.others, "camera", "offline", "firewall", "password"):
        assert part in said


def test_a_machine_on_no_network_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lan, "own_addresses", tuple)
    with pytest.raises(ConfigError, match="Connect it to the Wi-Fi"):
        find_network(8000)


def test_no_address_of_this_machine_alone_is_offered() -> None:
    assert not [address for address in lan.own_addresses() if address.startswith(("127.", "0."))]


def test_an_https_address_gives_way_to_plain_http_and_is_told(make_app: Make) -> None:
    given = {"PUBLIC_BASE_URL": "https://cards.example", "PROXY_HOPS": 1, "TRUSTED_HOSTS": "cards.example"}
    app = make_app(**lan_settings(given, FIELD), RATELIMIT_ENABLED=True)
    assert app.config["PUBLIC_BASE_URL"] == FIELD.address
    assert not app.config["SESSION_COOKIE_SECURE"], "or a log-in would lead to the log-in again"
    assert app.config["TRUSTED_HOSTS"] is None
    told = lan_cautions(given, app, FIELD)
    assert any("https://cards.example" in one and "plain http" in one for one in told)
    assert any("SETUP_CARD_TAKE_HOME_URL" in one for one in told)


def test_with_an_address_for_later_nothing_is_amiss(make_app: Make) -> None:
    app = make_app(**lan_settings({"TAKE_HOME_URL": "https://cards.example"}, FIELD))
    assert lan_cautions({}, app, FIELD) == []


def test_a_log_in_over_the_field_network_leads_on(make_app: Make) -> None:
    from webapp.accounts.actions.open_shop import open_shop

    app = make_app(**lan_settings({"PUBLIC_BASE_URL": "https://cards.example"}, FIELD), WTF_CSRF_ENABLED=False)
    with app.app_context():
        open_shop("Lantern Lane", "mira", "three grey herons asleep")
    client = app.test_client()
    form = {"login": "mira", "password": "three grey herons asleep"}
    answer = client.post("/shop/log-in", data=form, base_url=FIELD.address, follow_redirects=True)
    assert "Logged in as mira" in answer.text
