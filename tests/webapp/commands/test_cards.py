"""`setup-card cards`: a table to sheets with progress, the shop's stacks, and what is refused."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image

from tests.databases import set_storage
from tests.webapp.cards.rendering.conftest import rasterise
from webapp.commands.cli import main

__all__ = ["rasterise"]

SHOP = "Lantern Lane"
TABLE = "Rider weight;Riding style;Fork travel;Bike\n82;trail;140;Heron 1\n150 lb;enduro;160;Heron 2\n"


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A table on a machine where a shop is open."""
    set_storage(tmp_path / "data", monkeypatch)
    monkeypatch.setenv("SETUP_CARD_SECRET_KEY", "only-for-tests-0123456789")
    monkeypatch.setenv("SETUP_CARD_PUBLIC_BASE_URL", "https://cards.example")
    monkeypatch.setattr("sys.stdin", io.StringIO("three grey herons asleep\n"))
    assert main(["shop", SHOP, "mira"]) == 0
    (tmp_path / "riders.csv").write_text(TABLE, encoding="utf-8")
    return tmp_path / "riders.csv"


def test_a_table_becomes_a_file_of_sheets_with_progress(
    file: Path, capsys: pytest.CaptureFixture[str], rasterise: Callable[[bytes], list[Image.Image]]
) -> None:
    sheets = file.with_name("sheets.pdf")
    assert main(["cards", SHOP, str(file), "--size", "letter-8", "--output", str(sheets)]) == 0
    assert "Stack 1: 2 of 2 cards." in capsys.readouterr().out
    (page,) = rasterise(sheets.read_bytes())
    assert len({one.text for one in zxingcpp.read_barcodes(page)}) == 2
    assert sheets.stat().st_mode & 0o077 == 0
    assert main(["cards", SHOP, str(file), "--output", str(sheets)]) == 1
    assert "exists already" in capsys.readouterr().err
    assert main(["cards", SHOP]) == 0
    assert capsys.readouterr().out == "Stack 1: 2 of 2 cards. Ready to print.\n"


def test_what_is_wrong_is_named_and_nothing_is_ordered(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file.write_text(TABLE.replace("140", "1400"), encoding="utf-8")
    for arguments, said in (
        ([SHOP, str(file)], "Line 2, Fork travel “1400”"),
        ([SHOP, str(file), "--size", "a0"], "The card size 'a0' is not known"),
        ([SHOP, str(file.with_name("none.csv"))], "none.csv"),
        (["Nobody", str(file)], "no shop is called"),
        ([SHOP, "--cancel", "9"], "no such stack"),
    ):
        assert main(["cards", *arguments]) == 1
        assert said in capsys.readouterr().err
    assert main(["cards", SHOP]) == 0
    assert capsys.readouterr().out == ""
