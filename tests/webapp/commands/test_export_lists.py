"""The command that writes a shop's records or setups: private, new files only, the same as the page gives."""

from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest

from tests.databases import set_storage
from webapp.commands import demo_data
from webapp.commands.cli import main
from webapp.workshop.actions.export_lists import RECORD_COLUMNS, SETUP_COLUMNS


def test_lists_are_written_once_and_for_their_owner_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    set_storage(tmp_path, monkeypatch)
    assert main(["demo"]) == 0
    records, setups = tmp_path / "records.json", tmp_path / "setups.csv"
    assert main(["export-list", demo_data.SHOP, "records", str(records)]) == 0
    assert main(["export-list", demo_data.SHOP, "setups", str(setups)]) == 0
    told = json.loads(records.read_text(encoding="utf-8"))
    assert [tuple(one) for one in told] == [RECORD_COLUMNS] * 5
    assert sorted(one["state"] for one in told) == ["closed", *["open"] * 4]
    lines = setups.read_text(encoding="utf-8").removeprefix("\ufeff").splitlines()
    assert lines[0] == ",".join(SETUP_COLUMNS)
    assert len(lines) == 1 + len(demo_data.BIKES)
    assert not any(word in records.read_text() + setups.read_text() for word in ("mass", "rider", "/s/"))
    assert stat.S_IMODE(records.stat().st_mode) == 0o600
    capsys.readouterr()
    for wrong in ([demo_data.SHOP, "records", str(records)], ["Nobody", "records", str(tmp_path / "x.csv")]):
        assert main(["export-list", *wrong]) == 1
    assert main(["export-list", demo_data.SHOP, "records", str(tmp_path / "x.txt")]) == 1
    said = capsys.readouterr().err
    assert "exists already" in said
    assert "end in .csv or .json" in said
