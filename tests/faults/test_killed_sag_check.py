"""Sag checks under a killed server and by two servers at once: told or saved, never half and never twice."""

from __future__ import annotations

import http.client
import json
import signal
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from tests.faults.test_killed_server import PATIENCE_S, check_whole, reopened, save, server
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.list_revisions import list_revisions

__all__ = ["reopened"]  # the fixture is the other module's

CHECK = {"end": "front", "pressure_psi": 84.0, "readings_mm": [36, 35, 36]}


def post(port: int, code: str, body: dict[str, Any], key: str | None = None) -> tuple[int, dict[str, Any]]:
    """Post a sag check; what a killed server breaks off is the caller's to catch."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    headers = {"Content-Type": "application/json"} | ({} if key is None else {"Idempotency-Key": key})
    try:
        connection.request("POST", f"/api/v1/setups/{code}/sag-checks", json.dumps(body), headers)
        answer = connection.getresponse()
        return answer.status, json.loads(answer.read())
    finally:
        connection.close()


def at_once(*actions: Callable[[], Any]) -> list[Any]:
    """Run actions at the same moment and return what each gave, in order."""
    barrier, got = threading.Barrier(len(actions)), [None] * len(actions)

    def act(place: int, action: Callable[[], Any]) -> None:
        barrier.wait()
        got[place] = action()

    threads = [threading.Thread(target=act, args=pair) for pair in enumerate(actions)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return got


@pytest.mark.parametrize("checks", [1, pytest.param(15, marks=pytest.mark.long)])
def test_a_server_killed_among_sag_checks_loses_none_that_it_acknowledged(
    tmp_path: Path, reopened: Callable[[], Flask], checks: int
) -> None:
    acknowledged: list[tuple[str, int]] = []
    asked: list[str] = []

    def keep_checking(port: int, code: str, name: str) -> None:
        for number in range(1_000):
            key = f"{name}-{number}"
            asked.append(key)
            try:
                status, answer = post(port, code, CHECK, key)
            except (OSError, http.client.HTTPException, ValueError):
                return
            # Others are busy on the same setup, so being told is as good an answer as being saved.
            assert status in (201, 409), answer
            if status == 201:
                acknowledged.append((key, answer["revision"]))

    with server(tmp_path) as (process, port):
        code = save(port, "first")["code"]
        clients = [threading.Thread(target=keep_checking, args=(port, code, f"client{i}")) for i in range(3)]
        for client in clients:
            client.start()
        until = time.monotonic() + PATIENCE_S
        while len(acknowledged) < checks and time.monotonic() < until:
            time.sleep(0.002)
        process.send_signal(signal.SIGKILL)  # in the middle: three clients never stop checking
        for client in clients:
            client.join()
    assert len(acknowledged) >= checks

    with reopened().app_context():
        lines = [past.revision for past in list_revisions(code)]
        # A chain without a gap; each revision holds one check more than the one before.
        assert [line.number for line in lines] == list(range(1, len(lines) + 1))
        assert [line.base_number for line in lines] == [None, *range(1, len(lines))]
        assert {number for _, number in acknowledged} <= {line.number for line in lines}
        assert len({number for _, number in acknowledged}) == len(acknowledged)
        counts = [len(find_setup(code, line.number).setup.checks) for line in lines]
        assert counts == [min(n, 30) for n in range(len(lines))]
        check_whole()

    # What was asked without an answer may be asked again under its key: it is saved now, or was, but never twice.
    with server(tmp_path) as (_, port):
        before = len(lines)
        answers = [post(port, code, CHECK, key) for key in dict.fromkeys(asked)]
        known = dict(acknowledged)
        assert all(status == 201 for status, _ in answers)
        for key, (_, answer) in zip(dict.fromkeys(asked), answers, strict=True):
            assert answer["revision"] == known.get(key, answer["revision"])
        assert len({answer["revision"] for _, answer in answers}) == len(answers)
    with reopened().app_context():
        assert before <= len(list_revisions(code)) == 1 + len(answers)


@pytest.mark.long
def test_of_two_servers_on_one_database_the_second_saver_is_told_and_nothing_is_lost(
    tmp_path: Path, reopened: Callable[[], Flask]
) -> None:
    with server(tmp_path) as (_, one), server(tmp_path) as (_, other):
        code = save(one, "first")["code"]
        for base in range(1, 6):
            body = {**CHECK, "base_revision": base}
            got = at_once(lambda body=body: post(one, code, body), lambda body=body: post(other, code, body))
            assert sorted(status for status, _ in got) == [201, 409]
            told = next(answer for status, answer in got if status == 409)
            assert [error["field"] for error in told["errors"]] == ["base_revision"]
    with reopened().app_context():
        assert [len(find_setup(code, n).setup.checks) for n in range(1, 7)] == [0, 1, 2, 3, 4, 5]
        assert len(list_revisions(code)) == 6


@pytest.mark.long
def test_a_double_tap_on_two_servers_at_once_makes_one_revision(tmp_path: Path, reopened: Callable[[], Flask]) -> None:
    with server(tmp_path) as (_, one), server(tmp_path) as (_, other):
        code = save(one, "first")["code"]
        for number in range(5):
            got = at_once(
                lambda n=number: post(one, code, CHECK, f"tap-{n}"),
                lambda n=number: post(other, code, CHECK, f"tap-{n}"),
            )
            assert [(status, answer.get("revision")) for status, answer in got] == [(201, number + 2)] * 2
    with reopened().app_context():
        assert len(list_revisions(code)) == 6
