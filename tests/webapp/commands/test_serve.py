"""Serving: the address that is assumed, the cautions that are printed, and a lean start."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from flask import Flask

from webapp import create_app
from webapp.commands.serve import _address_cautions, default_address
from webapp.ground.database.engine import database

Make = Callable[..., Flask]


@pytest.mark.parametrize(
    ("host", "address"),
    [
        ("127.0.0.1", "http://localhost:8000"),
        ("0.0.0.0", "http://localhost:8000"),  # noqa: S104 - only named
        ("::", "http://localhost:8000"),
        ("192.168.1.7", "http://192.168.1.7:8000"),
        ("fd00::7", "http://[fd00::7]:8000"),
    ],
)
def test_without_a_setting_the_address_follows_from_host_and_port(host: str, address: str) -> None:
    assert default_address(host, 8000) == address


def test_a_local_address_is_cautioned_with_the_settings_name(make_app: Make) -> None:
    app = make_app(PUBLIC_BASE_URL="http://localhost:8000", RATELIMIT_ENABLED=True)
    cautions = _address_cautions(app, "127.0.0.1", 8000)
    assert len(cautions) == 1
    assert "SETUP_CARD_PUBLIC_BASE_URL" in cautions[0]


def test_a_public_address_with_limits_needs_no_caution(make_app: Make) -> None:
    assert _address_cautions(make_app(RATELIMIT_ENABLED=True), "0.0.0.0", 8000) == []  # noqa: S104 - only named


def test_limits_switched_off_are_cautioned(make_app: Make) -> None:
    assert "RATELIMIT_ENABLED" in _address_cautions(make_app(), "127.0.0.1", 8000)[0]


def test_a_start_loads_no_library_that_the_first_page_does_not_need(tmp_path: Path) -> None:
    app = create_app({"DATA": str(tmp_path)})  # the tables are made here, with Alembic
    with app.app_context():
        database.engine.dispose()
    script = (
        "import sys; from webapp import create_app\n"
        f"page = create_app({{'DATA': {str(tmp_path)!r}}}).test_client().get('/')\n"
        "assert page.status_code == 200\n"
        "heavy = {'alembic', 'qrcode', 'scipy.interpolate', 'scipy.optimize', 'scipy.stats', 'weasyprint'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"
