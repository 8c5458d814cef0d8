"""Two servers and a shop's file, for every test of a move."""

from __future__ import annotations

import io
import itertools
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.databases import set_storage
from webapp.commands import demo_data
from webapp.commands.cli import main


@pytest.fixture
def as_version_1() -> Callable[[Path], None]:
    """Make a file of today one of version 1, which knew neither bikes nor anything that checks taught."""

    def rewrite(path: Path) -> None:
        data = json.loads(path.read_text(encoding="utf-8"))
        for name in ("bikes", "class_factors"):
            del data[name]
        for unit, name in itertools.product(data["units"], ("forgotten_at", "internals_at", "setups")):
            del unit[name]
        path.write_text(json.dumps({**data, "version": 1}), encoding="utf-8")

    return rewrite


@pytest.fixture
def at(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Go to one of two servers, each with a database of its own."""
    monkeypatch.setenv("SETUP_CARD_SECRET_KEY", "only-for-tests-0123456789")

    def go(name: str) -> None:
        set_storage(tmp_path / name, monkeypatch)

    return go


@pytest.fixture
def file(
    tmp_path: Path,
    at: Callable[[str], None],
    monkeypatch: pytest.MonkeyPatch,
    made_once: Callable[[str, Callable[[Path], None], Path], None],
) -> Path:
    """The demo's shop, exported from the laptop; the hosted server has the same shop, empty, with an owner."""

    def fill(folder: Path) -> None:
        set_storage(folder / "laptop", monkeypatch)
        assert main(["demo"]) == 0
        assert main(["export-shop", demo_data.SHOP, str(folder / "shop.json")]) == 0
        set_storage(folder / "hosted", monkeypatch)
        monkeypatch.setattr("sys.stdin", io.StringIO("three grey herons asleep\n"))
        assert main(["shop", demo_data.SHOP, "nora"]) == 0

    made_once("moved shop", fill, tmp_path)
    at("hosted")
    return tmp_path / "shop.json"
