"""A PostgreSQL and a Redis of the tests' own: on loopback, in a temporary folder, gone afterwards.

`python -m tests.servers COMMAND …` runs a command with both; the tests under it use PostgreSQL instead of SQLite.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

#: Set by the command line above: where every test makes a database of its own, and where limits are counted.
DATABASE_SWITCH = "SETUP_CARD_TEST_DATABASE_URL"
REDIS_SWITCH = "SETUP_CARD_TEST_REDIS_URL"
PATIENCE_S = 60.0
#: A PostgreSQL that loses what a power cut takes is as good for tests, and several times as fast.
_HASTY = ("fsync=off", "synchronous_commit=off", "full_page_writes=off")


def postgresql_programs() -> Path | None:
    """Return the folder of PostgreSQL's server programs, None where they are not installed."""
    versions = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    found = versions[-1] if versions else shutil.which("initdb")
    return None if found is None else Path(found).parent


def free_port() -> int:
    """Return a port on loopback that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _as_nobody_special(*command: str) -> list[str]:
    """Return a command that runs without root's rights: PostgreSQL refuses to run with them."""
    return ["runuser", "-u", "postgres", "--", *command] if os.geteuid() == 0 else [*command]


@contextlib.contextmanager
def _folder() -> Iterator[Path]:
    """Give a folder that the unprivileged user owns; /tmp, as what lies above a test's own folder may be private."""
    folder = Path(tempfile.mkdtemp(prefix="setup-card-servers-"))
    try:
        if os.geteuid() == 0:
            shutil.chown(folder, "postgres")
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _await_port(port: int, process: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), timeout=1):
            return
        if process.poll() is not None:
            break
        time.sleep(0.05)
    raise RuntimeError(f"{process.args!r} did not start")


def _run(process: subprocess.Popen[bytes], port: int, stop: list[str]) -> Iterator[None]:
    try:
        _await_port(port, process)
        yield
    finally:
        subprocess.run(stop, check=False, capture_output=True, cwd="/")
        try:
            process.wait(PATIENCE_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


@contextlib.contextmanager
def postgresql(*, durable: bool = True) -> Iterator[str]:
    """Run a PostgreSQL and give the address of its first database; `durable` False is faster and no worse for tests."""
    programs = postgresql_programs()
    if programs is None:
        raise RuntimeError("PostgreSQL is not installed (apt install postgresql)")
    port = free_port()
    with _folder() as folder:
        data = str(folder / "data")
        make = (str(programs / "initdb"), "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8")
        subprocess.run(_as_nobody_special(*make), check=True, capture_output=True, cwd="/")
        settings = ("listen_addresses=127.0.0.1", f"unix_socket_directories={folder}", "max_connections=200")
        options = [part for text in (*settings, *(() if durable else _HASTY)) for part in ("-c", text)]
        command = _as_nobody_special(str(programs / "postgres"), "-D", data, "-p", str(port), *options)
        with (folder / "log").open("wb") as log:
            process = subprocess.Popen(command, stdout=log, stderr=log, cwd="/")
        stop = _as_nobody_special(str(programs / "pg_ctl"), "-D", data, "-m", "immediate", "stop")
        with contextlib.contextmanager(_run)(process, port, stop):
            yield f"postgresql+psycopg://postgres@127.0.0.1:{port}/postgres"


@contextlib.contextmanager
def redis_server() -> Iterator[str]:
    """Run a Redis that keeps nothing on disk and give its address."""
    if shutil.which("redis-server") is None:
        raise RuntimeError("Redis is not installed (apt install redis-server)")
    port = free_port()
    with _folder() as folder:
        options = ("--port", str(port), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no", "--dir", str(folder))
        process = subprocess.Popen(
            _as_nobody_special("redis-server", *options),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            cwd="/",
        )
        stop = ["redis-cli", "-p", str(port), "shutdown", "nosave"]
        with contextlib.contextmanager(_run)(process, port, stop):
            yield f"redis://127.0.0.1:{port}/0"


def main(command: list[str]) -> int:
    """Run `command` with both servers and return its exit code."""
    with postgresql(durable=False) as database, redis_server() as redis:
        environment = {**os.environ, DATABASE_SWITCH: database, REDIS_SWITCH: redis}
        return subprocess.run(command, env=environment, check=False).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
