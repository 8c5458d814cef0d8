"""What the tests share: an app on a folder of its own, a client, and plain requests."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from argon2 import PasswordHasher
from flask import Flask
from flask.testing import FlaskClient

from tests import databases
from tests.examples import THOROUGH
from tests.quick_apps import share_among_apps
from webapp import create_app
from webapp.accounts.actions import passwords
from webapp.ground.database import sqlite
from webapp.ground.database.engine import database

BASE_URL = "https://cards.example"
#: Where tests drive a browser, servers or whole environments, then the files that take more than a dozen seconds.
LONGEST = (
    *("tests/wheel/", "tests/browser/", "tests/benchmarks/test_speed", "tests/faults/", "tests/test_mutation.py"),
    *("tests/pseudo/test_walk.py", "tests/webapp/access/test_access_matrix.py", "tests/one_number/test_one_number.py"),
    *("tests/webapp/cards/rendering/test_pdf.py", "tests/setup_rules/advice/", "tests/webapp/workshop/views/"),
    *("tests/kept/test_kept_answers.py", "tests/webapp/moving/test_move_shop.py", "tests/webapp/checks/views/"),
)
#: Where tests drive a browser, kill servers or follow populations: CI's, and run here where they are named.
BY_NAME = ("tests/browser/", "tests/faults/", "tests/benchmarks/", "tests/test_mutation.py")
_LEFT_OUT = pytest.StashKey[list[str]]()

#: The request of the interface's own description: both ends, bench and ride apart.
WHOLE_REQUEST: dict[str, Any] = {
    "rider_mass_kg": 78,
    "kit_mass_kg": 4,
    "bike_mass_kg": 14,
    "riding_style": "trail",
    "bench": {"temperature_c": 20, "altitude_m": 300},
    "ride": {"temperature_c": 8, "altitude_m": 1400},
    "front": {
        "travel_mm": 140,
        "stanchion_mm": 34,
        "negative_spring": "air",
        "head_angle_deg": 65.5,
        "sag_target_percent": 20,
        "rebound_clicks": 16,
        "max_pressure_psi": 150,
    },
    "rear": {
        "stroke_mm": 55,
        "leverage_start": 2.9,
        "leverage_end": 2.4,
        "sag_target_percent": 30,
        "rebound_clicks": 14,
    },
}


share_among_apps()
#: The cost that the product hashes at, which the tests but for those of that cost itself do not pay.
HASHER = passwords._HASHER


#: What opens SQLite as the product does: the test of waiting for the disk opens it so.
DURABLE = sqlite._prepare_sqlite


def _prepare_quickly(connection: Any, record: Any) -> None:
    DURABLE(connection, record)
    connection.execute("PRAGMA synchronous=OFF").close()


@pytest.fixture(autouse=True, scope="session")
def quick_saves() -> Iterator[None]:
    """Let no save of this process wait for the disk: a test's data need not survive a power cut."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sqlite, "_prepare_sqlite", _prepare_quickly)
        yield


@pytest.fixture(autouse=True, scope="session")
def quick_hashes() -> Iterator[None]:
    """Let every log-in of a test cost a thousandth of what it costs a guesser."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(passwords, "_HASHER", PasswordHasher(time_cost=1, memory_cost=64, parallelism=1))
        yield


def settings_in(folder: Path, **settings: Any) -> dict[str, Any]:
    """Return the settings of an app on a data folder."""
    return {
        "TESTING": True,
        "DATA": str(folder),
        "PUBLIC_BASE_URL": BASE_URL,
        "SECRET_KEY": "only-for-tests-0123456789",
        "WTF_CSRF_ENABLED": False,
        "RATELIMIT_ENABLED": False,
        **databases.storage(folder),
        **settings,
    }


@pytest.fixture(scope="session")
def empty_data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder as the first start leaves it, so that not every test has to migrate an empty database."""
    folder = tmp_path_factory.mktemp("empty") / "data"
    if databases.server_url() is None:
        app = create_app(settings_in(folder))
        with app.app_context():
            database.engine.dispose()
    return folder


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, Callable[[Path], None], Path], None]:
    """Fill a test's folder with what takes long to make: made by the first test, copied to it and to all after it.

    `fill` must let go of its databases. Databases on a server are no files to copy: there every test makes its own.
    """
    kept: dict[str, Path] = {}

    def copy(name: str, fill: Callable[[Path], None], folder: Path) -> None:
        if databases.server_url() is not None:
            fill(folder)
            return
        if name not in kept:
            made = tmp_path_factory.mktemp("made")
            fill(made)
            kept[name] = made
        shutil.copytree(kept[name], folder, dirs_exist_ok=True)

    return copy


def pytest_configure(config: pytest.Config) -> None:
    """Let psycopg close what a test's own app left open; SQLite's driver does so without a word."""
    if databases.server_url() is not None:
        config.addinivalue_line("filterwarnings", "ignore:.*was deleted while still open:ResourceWarning")
        config.addinivalue_line(
            "filterwarnings", "ignore:.*psycopg.Connection.*:pytest.PytestUnraisableExceptionWarning"
        )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is about the other database alone, and what takes long where not all was asked for.

    `.ci/run` runs the tests on both databases, and all of them.
    """
    other = "postgresql" if databases.server_url() is None else "sqlite"
    reasons = {other: f"about {other} alone and run where the tests run on it"}
    if not THOROUGH:
        reasons["long"] = "long and run with SETUP_CARD_TESTS=all"
        reasons["by_name"] = "of browsers, killed servers and populations: run by naming their folder, or with all"
        for item in items:
            if item.nodeid.startswith(BY_NAME) and not _is_named(config, item):
                item.add_marker("by_name")
    # A file goes to one process as a whole: the longest are begun first, or one process would end alone with them.
    items.sort(key=lambda item: not item.nodeid.startswith(LONGEST))
    left_out = [next((reason for reason in reasons if item.get_closest_marker(reason)), "") for item in items]
    items[:] = [item for item, reason in zip(items, left_out, strict=True) if not reason]
    told = [f"{left_out.count(reason)} tests are {why}" for reason, why in reasons.items() if reason in left_out]
    config.stash[_LEFT_OUT] = told


def _is_named(config: pytest.Config, item: pytest.Item) -> bool:
    """Return whether the command line names a file or folder that a test is in, other than all tests."""
    named = [str(one).partition("::")[0].rstrip("/") for one in config.args]
    return any(item.nodeid.startswith(one) for one in named if one not in ("tests", ".", str(config.rootpath)))


def pytest_report_collectionfinish(config: pytest.Config) -> list[str]:
    """Say what was left out."""
    return config.stash.get(_LEFT_OUT, [])


@pytest.fixture(autouse=True)
def _forget_databases() -> Iterator[None]:
    """Throw away, after each test, what it made on a database server."""
    with databases.forgotten():
        yield


@pytest.fixture
def make_app(tmp_path: Path, empty_data: Path) -> Iterator[Callable[..., Flask]]:
    """Build apps on the test's own data folder; settings by keyword."""
    made: list[Flask] = []

    def make(**settings: Any) -> Flask:
        given = settings_in(tmp_path / "data", **settings)
        is_own = given["DATA"] == str(tmp_path / "data")  # not where a test says that there can be none
        if is_own and not Path(given["DATA"]).exists() and databases.server_url() is None:
            shutil.copytree(empty_data, given["DATA"])
        app = create_app(given)
        made.append(app)
        return app

    yield make
    for app in made:
        with app.app_context():
            database.engine.dispose()


@pytest.fixture
def app(make_app: Callable[..., Flask]) -> Flask:
    """The app as most tests want it: hosted, without form tokens and rate limits."""
    return make_app()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """A browser without a screen."""
    return app.test_client()


@pytest.fixture
def whole_request() -> dict[str, Any]:
    """A fresh copy of a request for both ends."""
    return {k: dict(v) if isinstance(v, dict) else v for k, v in WHOLE_REQUEST.items()}
