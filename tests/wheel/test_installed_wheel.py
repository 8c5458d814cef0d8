"""The wheel as a newcomer gets it: built, installed in an environment of its own, started, and asked for a card.

What lies in the checkout must not help: the server runs in an empty folder, from the installed package alone.
"""

from __future__ import annotations

import contextlib
import http.client
import json
import os
import subprocess
import sys
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest

ROOT = Path(__file__).resolve().parents[2]
PATIENCE_S = 60.0
REQUEST = {
    "rider_mass_kg": 78,
    "riding_style": "trail",
    "front": {"travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16, "max_pressure_psi": 150},
    "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "rebound_clicks": 14},
}

pytestmark = [pytest.mark.wheel, pytest.mark.long]


#: What a newcomer's shell holds: no setting of ours, and no PYTHONPATH that would lead back to the checkout.
SHELL = {k: v for k, v in os.environ.items() if not k.startswith(("SETUP_CARD_", "PYTHON"))}


def run(*command: str | Path, cwd: Path | None = None, **settings: str) -> str:
    """Run a command to its end and return what it printed; fail with all of it when it fails."""
    words, environment = [str(c) for c in command], {**SHELL, **settings}
    done = subprocess.run(words, cwd=cwd, env=environment, capture_output=True, text=True, check=False, timeout=600)
    assert done.returncode == 0, f"{command}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built as `python -m build` builds it, in an environment with nothing but the build's own needs."""
    folder = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "build", "--wheel", "--outdir", folder, ROOT)
    (built,) = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the scripts of a fresh environment that holds the wheel and what it needs, pinned where we pin."""
    folder = tmp_path_factory.mktemp("installed") / "env"
    run(sys.executable, "-m", "venv", folder)
    pins = ROOT / ".ci" / "constraints.txt"
    pinned = ["--constraint", pins] if pins.is_file() else []
    run(folder / "bin" / "python", "-m", "pip", "install", "--quiet", "--no-compile", *pinned, wheel)
    return folder / "bin"


@pytest.fixture(scope="module")
def address(installed: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of the installed tool, started by its console script on a free port in an empty folder."""
    empty, data = tmp_path_factory.mktemp("empty"), tmp_path_factory.mktemp("data")
    environment = {**SHELL, "SETUP_CARD_DATA": str(data), "PYTHONUNBUFFERED": "1"}
    process = subprocess.Popen(
        [str(installed / "setup-card"), "serve", "--port", "0"],
        cwd=empty,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        yield _served_at(process)
    finally:
        process.terminate()
        process.wait(PATIENCE_S)
        if process.stdout:
            process.stdout.close()


def _served_at(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    said = []
    for line in process.stdout:
        said.append(line)
        if "Serving on " in line:
            return line.split("Serving on ")[1].split("/ ")[0].strip()
    raise AssertionError("the tool did not start:\n" + "".join(said))


def ask(address: str, body: dict[str, Any] | None = None) -> tuple[int, bytes, str]:
    """Return (status, body, content type) of a GET, or of a POST of JSON; waits where the answer says to wait."""
    parts = urlsplit(address)
    until = time.monotonic() + PATIENCE_S
    while True:
        with contextlib.closing(http.client.HTTPConnection(parts.netloc, timeout=PATIENCE_S)) as connection:
            if body is None:
                connection.request("GET", parts.path)
            else:
                connection.request("POST", parts.path, json.dumps(body), {"Content-Type": "application/json"})
            answer = connection.getresponse()
            found = (answer.status, answer.read(), answer.headers.get("Content-Type", ""))
            wait = answer.headers.get("Retry-After")
        if answer.status != 503 or wait is None or time.monotonic() > until:
            return found
        time.sleep(float(wait))


@pytest.mark.parametrize(
    ("source", "target"),
    [
        ("templates", "webapp/_templates"),
        ("webapp/static", "webapp/static"),
        ("webapp/ground/database/migrations", "webapp/ground/database/migrations"),
    ],
)
def test_the_wheel_carries_every_file_that_the_tool_reads(wheel: Path, source: str, target: str) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    files = [p.relative_to(ROOT / source) for p in (ROOT / source).rglob("*") if p.is_file()]
    wanted = {f"{target}/{file.as_posix()}" for file in files if "__pycache__" not in file.parts}
    assert len(wanted) >= 5
    assert wanted - set(names) == set()


def test_the_wheel_carries_no_tests_and_nothing_compiled(wheel: Path) -> None:
    names = zipfile.ZipFile(wheel).namelist()
    assert not [name for name in names if name.startswith("tests/") or "__pycache__" in name]


def test_the_installed_tool_is_not_the_checkout(installed: Path, tmp_path: Path) -> None:
    where = run(installed / "python", "-c", "import webapp; print(webapp.__file__)", cwd=tmp_path).strip()
    assert Path(where).is_relative_to(installed.parent)


def test_the_installed_tool_serves_its_form(address: str) -> None:
    status, page, kind = ask(f"{address}/")
    assert (status, kind.split(";")[0]) == (200, "text/html")
    assert b"<form" in page
    style = page.decode().split('rel="stylesheet" href="')[1].split('"')[0]
    assert ask(f"{address}{style}")[2].startswith("text/css")


def test_the_installed_tool_saves_a_setup_and_prints_its_card(address: str) -> None:
    status, body, _ = ask(f"{address}/api/v1/setups", REQUEST)
    assert status == 201
    saved = json.loads(body)
    assert saved["front"]["pressure_low_psi"] < saved["front"]["pressure_psi"] < saved["front"]["pressure_high_psi"]
    status, card, kind = ask(address + urlsplit(saved["card_url"]).path)
    assert (status, kind) == (200, "application/pdf")
    assert card.startswith(b"%PDF-")
    status, page, _ = ask(f"{address}/s/{saved['code']}")
    assert status == 200
    assert f"{saved['front']['pressure_psi']:.0f}".encode() in page


def test_the_installed_doctor_finds_nothing_missing(installed: Path, tmp_path: Path) -> None:
    said = run(installed / "setup-card", "doctor", cwd=tmp_path, SETUP_CARD_DATA=str(tmp_path))
    assert "missing" not in said
