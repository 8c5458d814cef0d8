"""The figures for a watcher: off, or by endpoint for who shows the token."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.ground.errors import ConfigError

TOKEN = "0123456789abcdef-token"  # noqa: S105 it opens invented figures
SHOWN = {"Authorization": f"Bearer {TOKEN}"}


@pytest.fixture
def watched(make_app: Callable[..., Flask]) -> FlaskClient:
    return make_app(METRICS_TOKEN=TOKEN).test_client()


def test_there_are_none_unless_a_token_is_set(client: FlaskClient) -> None:
    assert client.get("/metrics", headers=SHOWN).status_code == 404
    assert client.get("/metrics", headers={"Authorization": "Bearer None"}).status_code == 404


@pytest.mark.parametrize("given", [None, "", "Bearer ", f"Bearer {TOKEN}x", TOKEN, f"Basic {TOKEN}", "Bearer \xff"])
def test_without_the_token_there_is_no_such_page(watched: FlaskClient, given: str | None) -> None:
    headers = {} if given is None else {"Authorization": given}
    assert watched.get("/metrics", headers=headers).status_code == 404


def test_requests_are_counted_by_endpoint_and_never_by_path(watched: FlaskClient) -> None:
    for number in range(30):
        watched.get(f"/s/{number:026d}")
        watched.get(f"/nowhere/{number}")
    watched.open("/about", method="INVENTED")
    text = watched.get("/metrics", headers=SHOWN).text
    assert 'setup_card_requests_total{endpoint="setups.show",method="GET",status="404"} 30.0' in text
    assert 'setup_card_requests_total{endpoint="none",method="GET",status="404"} 30.0' in text
    assert 'method="other"' in text
    assert 'setup_card_request_seconds_bucket{endpoint="setups.show",le="+Inf"} 30.0' in text
    assert "nowhere" not in text
    assert "INVENTED" not in text
    assert len(text.splitlines()) < 100


def test_two_apps_count_apart(make_app: Callable[..., Flask], watched: FlaskClient) -> None:
    make_app(METRICS_TOKEN=TOKEN).test_client().get("/about")
    assert "pages.about" not in watched.get("/metrics", headers=SHOWN).text


@pytest.mark.parametrize("token", ["short", "with a space in it and long", "ä" * 20])
def test_a_token_that_could_be_guessed_or_not_sent_stops_the_start(make_app: Callable[..., Flask], token: str) -> None:
    with pytest.raises(ConfigError, match="METRICS_TOKEN"):
        make_app(METRICS_TOKEN=token)
