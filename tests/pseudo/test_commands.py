"""Every command speaks through the text door: help, findings, refusals, results."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import pytest
from flask import Flask

from tests.pseudo.catalogue import PseudoTexts, outside
from tests.pseudo.walk import NO_WORDS
from webapp.calibration.anonymous_file import FIRST_LINE
from webapp.commands import demo_data, serve
from webapp.commands.cli import main
from webapp.ground import config
from webapp.ground.errors import ConfigError

#: argparse has words of its own, in Python's catalogue; settings, commands and arguments are typed as they are named.
ARGPARSE: Final = (
    r"usage: .*(?:\n {6,}.*)*",
    r"^setup-card(?: \w+)*: error: (?:.*argument.*|.*choose from.*)",
    r"^(?:positional arguments|options):",
    r"show this help message and exit",
    r"^setup-card[\w -]*: (?:error: argument --port: )?",
    r"\bSETUP_CARD_\w+",
    r"^ +(?:-h?\s*, --help|--host HOST|--port PORT|--role \{staff,owner\}|TASK)(?: |$)",
    r"^ +(?:--shop SHOP|--pool FILE.*FILE \.\.\.\]?)(?: |$)",
    r"^ +(?:name|login|file|--replace|shop|staff|--yes|--keep-cards|--hours HOURS)(?: |$)",
    r"^ +(?:serve|doctor|demo|purge|token|backup|restore|export-shop|import-shop|calibration|cards|worker)(?: |$)",
    r"^ +(?:--lan|--size SIZE|--output OUTPUT|--cancel N|day-file|erase-riders)(?: |$)",
)
#: The demo's invented bikes and shop, and where things lie.
TYPED: Final = (
    re.escape(demo_data.SHOP),
    *(re.escape(bike.label) for bike in demo_data.BIKES),
    r"/[\w./-]+",
    r"chmod 600",
)
KNOWN: Final = tuple(re.compile(one, re.MULTILINE) for one in (*NO_WORDS, *ARGPARSE, *TYPED))

Make = Callable[..., Flask]


@pytest.fixture(autouse=True)
def folder(texts: PseudoTexts, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A data folder of the command's own."""
    monkeypatch.setenv("SETUP_CARD_DATA", str(tmp_path))
    monkeypatch.setenv("COLUMNS", "200")
    return tmp_path


def said(capsys: pytest.CaptureFixture[str]) -> list[str]:
    """Return the words that were printed from outside the door, and make sure that something was printed."""
    printed = "".join(capsys.readouterr())
    assert "«" in printed
    return outside(printed, KNOWN)[0]


@pytest.mark.parametrize(
    "arguments",
    [
        ["--help"],
        *([task, "--help"] for task in ("serve", "shop", "staff", "token", "backup", "restore", "calibration")),
    ],
)
def test_help(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(arguments)
    assert not said(capsys)


def test_a_wrong_port(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["serve", "--port", "70000"])
    assert not said(capsys)


@pytest.mark.parametrize("task", ["demo", "purge", "doctor"])
def test_a_task(task: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SETUP_CARD_PUBLIC_BASE_URL", "http://localhost:9")
    monkeypatch.setenv("SETUP_CARD_RATE_LINK", "1 per minute")
    main([task])
    assert not said(capsys)


def test_how_right_we_are(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["demo"])
    capsys.readouterr()
    file = tmp_path / "one.csv"
    file.write_text(f"{FIRST_LINE}\nspring_class,held,factor\nfork_36_air,yes,1.10\n", encoding="utf-8")
    for arguments in ([], ["--shop", "7"], ["--pool", str(file)], ["--pool", str(file), str(file)]):
        main(["calibration", *arguments])
        assert not said(capsys)


def test_copies(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy = str(tmp_path / "copy.db")
    for arguments in (["backup", copy], ["backup", copy], ["restore", copy], ["restore", f"{copy}.gone"]):
        main(arguments)
        assert not said(capsys)


def test_accounts(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    for arguments, password in (
        (["shop", "7", "8"], "short"),
        (["shop", "7", "8"], "three grey herons asleep"),
        (["staff", "7", "9"], "one otter a bridge"),
        (["staff", "6", "9"], "one otter under a bridge"),
    ):
        monkeypatch.setattr("sys.stdin", io.StringIO(password + "\n"))
        main(arguments)
        assert not said(capsys)


def test_what_is_said_at_a_start(make_app: Make, capsys: pytest.CaptureFixture[str]) -> None:
    app = make_app(PUBLIC_BASE_URL="http://localhost:8000", RATELIMIT_ENABLED=False)
    serve._say_how_to_open_a_shop(app, "http://localhost:8000")
    for sentence in (*config.unknown_settings({"DATABAS_URL": "x"}), *serve._address_cautions(app, "0.0.0.0", 8000)):  # noqa: S104
        serve._say(sentence)
    assert not said(capsys)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("PUBLIC_BASE_URL", "ftp://x"),
        ("PUBLIC_BASE_URL", "https://[x"),
        ("PUBLIC_BASE_URL", "https://a/?b"),
        ("TESTING", 3),
        ("PROXY_HOPS", 99),
        ("RETENTION_DAYS", "x"),
        ("TRUSTED_HOSTS", []),
        ("RATE_CARDS", "often"),
        ("SECRET_KEY", "short"),
        ("RATELIMIT_STORAGE_URI", "x://"),
        ("DATABASE_URL", "mysql://x"),
        ("DATA", "/proc/1/nowhere"),
    ],
)
def test_a_wrong_setting(name: str, value: Any, make_app: Make) -> None:
    with pytest.raises(ConfigError) as caught:
        make_app(**{name: value})
    assert "«" in str(caught.value)
    assert not outside(str(caught.value), KNOWN)[0]
