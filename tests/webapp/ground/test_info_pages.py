"""The pages around the setups."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from flask import Flask
from flask.testing import FlaskClient


@pytest.mark.parametrize("path", ["/about", "/privacy", "/safety"])
def test_each_page_has_one_heading_and_a_title(client: FlaskClient, path: str) -> None:
    page = client.get(path)
    assert page.status_code == 200
    assert page.text.count("<h1>") == 1
    assert "<title>" in page.text


def test_the_safety_page_defers_to_manual_rules_and_mechanics(client: FlaskClient) -> None:
    text = client.get("/safety").text
    for word in ("maximum pressure", "release all air", "eye protection", "manual", "local rules", "mechanic"):
        assert word in text


def test_the_privacy_page_says_how_long_things_are_kept(make_app: Callable[..., Flask]) -> None:
    assert "91 days" in make_app(RETENTION_DAYS=91).test_client().get("/privacy").text


def test_robots_are_kept_from_setups_only(client: FlaskClient) -> None:
    lines = client.get("/robots.txt").text.splitlines()
    assert {"Disallow: /s/", "Disallow: /S/", "Disallow: /owner/", "Disallow: /api/"} <= set(lines)
    assert "Disallow: /" not in lines


def test_a_watcher_hears_ok(client: FlaskClient) -> None:
    assert client.get("/healthz").text == "ok\n"
