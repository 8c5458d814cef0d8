"""The shared store of counts is away: one line says so, however many requests come, and pages answer."""

from __future__ import annotations

import logging
from collections.abc import Callable

import pytest
from flask import Flask

from webapp.ground import store_warning

SAID = "requests are counted in this process alone"


@pytest.mark.sqlite
def test_a_store_that_is_away_is_told_once_and_pages_answer(
    make_app: Callable[..., Flask], caplog: pytest.LogCaptureFixture
) -> None:
    client = make_app(RATELIMIT_ENABLED=True, REDIS_URL="redis://127.0.0.1:1").test_client()
    with caplog.at_level(logging.WARNING):
        assert {client.get("/s/" + "0" * 26).status_code for _number in range(5)} == {404}
    assert caplog.text.count(SAID) == 1


def test_one_that_comes_and_goes_is_told_once_a_minute(
    app: Flask, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    moment = [1_000.0]
    monkeypatch.setattr(store_warning.time, "monotonic", lambda: moment[0])
    handler = store_warning.StoreWarning()
    record = logging.LogRecord("flask-limiter", logging.WARNING, "", 0, "away", None, None)
    with app.app_context(), caplog.at_level(logging.WARNING):
        for moment[0] in (1_000.0, 1_001.0, 1_059.0, 1_060.0, 1_061.0):
            handler.handle(record)
    assert caplog.text.count(SAID) == 2
