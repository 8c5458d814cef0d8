"""`setup-card calibration`: by shop, and pooled from files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.databases import set_storage
from tests.webapp.calibration.test_anonymous_file import shop
from webapp.commands import demo_data
from webapp.commands.cli import main


@pytest.fixture
def demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """A data folder with the demo's shop."""
    monkeypatch.setenv("SETUP_CARD_SECRET_KEY", "only-for-tests-0123456789")
    set_storage(tmp_path / "data", monkeypatch)
    assert main(["demo"]) == 0
    capsys.readouterr()


def test_a_shops_checks_are_told(demo: None, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calibration", "--shop", demo_data.SHOP]) == 0
    told = capsys.readouterr().out
    assert told.startswith(f"{demo_data.SHOP}: ")
    assert "first sag checks" in told
    assert "The shop uses our estimates." in told
    assert main(["calibration"]) == 0
    assert capsys.readouterr().out == told


def test_an_unknown_shop_is_refused(demo: None, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["calibration", "--shop", "Nowhere"]) == 1
    assert "no shop is called 'Nowhere'" in capsys.readouterr().err


def test_files_become_a_table(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    paths = [tmp_path / "one.csv", tmp_path / "two.csv"]
    for path, seed in zip(paths, (1, 2), strict=True):
        path.write_bytes(shop(seed, 1.1))
    assert main(["calibration", "--pool", *map(str, paths)]) == 0
    told = capsys.readouterr().out
    assert told.startswith("Fork, 36 mm, air negative spring: 80 bikes, 2 shops, pressure +")


@pytest.mark.parametrize("make", [lambda path: path.write_text("x"), lambda _path: None])
def test_a_wrong_or_missing_file_is_refused(
    make: Callable[[Path], object], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make(tmp_path / "one.csv")
    assert main(["calibration", "--pool", str(tmp_path / "one.csv")]) == 1
    assert capsys.readouterr().err.startswith("setup-card: ")
