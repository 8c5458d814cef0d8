"""Addresses on cards and pages come from PUBLIC_BASE_URL alone."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask

from webapp.ground import urls
from webapp.ground.local_hosts import is_local_host

CODE = "01110123456789ABCDEFGHJKMN"


def test_every_address_begins_with_the_public_base(app: Flask) -> None:
    with app.test_request_context(headers={"Host": "localhost"}):
        assert urls.setup_url(CODE) == f"https://cards.example/s/{CODE}"
        assert urls.card_url(CODE) == f"https://cards.example/s/{CODE}/card.pdf"
        assert urls.owner_url(CODE) == f"https://cards.example/owner/{CODE}"


def test_the_qr_code_keeps_the_scheme_small_and_the_rest_in_capitals(app: Flask) -> None:
    with app.app_context():
        assert urls.card_address(CODE) == f"https://CARDS.EXAMPLE/S/{CODE}"


def test_a_path_in_the_base_keeps_its_case(make_app: Callable[..., Flask]) -> None:
    with make_app(PUBLIC_BASE_URL="https://example.org/Setups/").app_context():
        assert urls.card_address(CODE) == f"https://EXAMPLE.ORG/Setups/S/{CODE}"


@pytest.mark.parametrize(
    "host",
    [
        "localhost",
        "LOCALHOST",
        "127.0.0.1",
        "::1",
        "[::1]",
        "192.168.1.7",
        "10.0.0.1",
        "169.254.3.4",
        "shop.local",
        "shop",
    ],
)
def test_names_that_mean_nothing_elsewhere_are_local(host: str) -> None:
    assert is_local_host(host)


@pytest.mark.parametrize("host", ["cards.example", "8.8.8.8", "2606:4700::1111", "local.example.org"])
def test_names_that_lead_here_from_everywhere_are_not_local(host: str) -> None:
    assert not is_local_host(host)


def test_a_local_base_is_told_from_a_public_one(make_app: Callable[..., Flask], app: Flask) -> None:
    with app.app_context():
        assert not urls.is_local_address()
    with make_app(PUBLIC_BASE_URL="http://192.168.1.7:8000").app_context():
        assert urls.is_local_address()
