"""A small size of `tests.kills` and `tests.two_instances`, and that their ledger notices what it is there to notice."""

from __future__ import annotations

from pathlib import Path

import pytest
from flask import Flask

from tests.databases import storage
from tests.faults.ledger import CHECK, REQUEST, Judgement, Ledger, ask, judge
from tests.kills import Kill, Run, kill_often
from tests.servers import free_port
from tests.two_instances import run_two
from webapp.ground.database.engine import database


def test_nothing_is_lost_doubled_or_half_written_by_kills(tmp_path: Path) -> None:
    run = kill_often(2, {"DATA": str(tmp_path), "SECRET_KEY": "only-for-tests-0123456789", **storage(tmp_path)}, seed=7)
    assert run.in_saves >= 1
    assert all(one.acknowledged for one in run.kills)
    assert run.ledger.acknowledged > run.kills[-1].acknowledged  # those that were broken off came through in the end
    assert run.judgement.setups > len(run.ledger.created) > 0
    assert run.judgement.revisions >= run.judgement.setups + len(run.ledger.checked) > run.judgement.setups
    assert run.faults == []


def test_kills_that_fell_between_saves_are_a_fault_of_the_run() -> None:
    ledger, nothing = Ledger(broken_saves=[(1.0, 2.0), (5.0, 5.1)]), Judgement(1, 1, [], [], [])
    kills = [Kill(1.5, early=False, acknowledged=3), Kill(3.0, early=False, acknowledged=4), Kill(4.0, True, 5)]
    assert Run(kills, ledger, nothing, 1.0).faults == []
    assert Run(kills, ledger, nothing, 1.0).in_saves == 1
    assert Run(kills[1:], ledger, nothing, 1.0).faults == ["0 of 1 kills fell into a save"]
    assert Run(kills[2:], ledger, nothing, 1.0).faults
    early = [kills[0], Kill(5.05, early=False, acknowledged=0)]
    assert Run(early, ledger, nothing, 1.0).faults == ["kill 1: nothing was saved yet"]


def test_a_save_counts_as_broken_off_once_it_was_sent_and_not_before(app: Flask) -> None:
    ledger = Ledger()
    with pytest.raises(OSError, match="refused"):
        ask(free_port(), "POST", "/api/v1/setups", REQUEST, None, ledger)
    assert ledger.broken_saves == []
    with pytest.raises(ConnectionResetError):
        _break_off(ledger)
    assert (ledger.saving, len(ledger.broken_saves)) == (0, 1)


def _break_off(ledger: Ledger) -> None:
    with ledger.a_save():
        assert ledger.saving == 1
        raise ConnectionResetError


@pytest.mark.postgresql
def test_of_two_instances_one_is_killed_and_the_other_goes_on() -> None:
    outcome = run_two(1, together_s=0.5, alone_s=1.0)
    assert outcome.ledger.counts["broken off"] > 0
    assert outcome.faults == []


@pytest.fixture
def told(app: Flask) -> Ledger:
    """A ledger of one setup with two checks, kept by hand, beside a shared one that only exists."""
    client, ledger = app.test_client(), Ledger()
    for key in ("shared", "own"):
        answer = client.post("/api/v1/setups", json=REQUEST, headers={"Idempotency-Key": key})
        ledger.created[key] = answer.get_json()["code"]
    ledger.asked_creations.add("own")
    code = ledger.created["own"]
    for key in ("one", "two"):
        path = f"/api/v1/setups/{code}/sag-checks"
        answer = client.post(path, json=CHECK, headers={"Idempotency-Key": key})
        ledger.asked_checks[code].add(key)
        ledger.checked[key] = (code, answer.get_json()["revision"])
    return ledger


def test_a_ledger_that_holds_is_without_faults(app: Flask, told: Ledger) -> None:
    assert judge(told, app, told.created["shared"]).faults == []


@pytest.mark.parametrize(
    ("spoil", "kind"),
    [
        ("DELETE FROM revision WHERE number = 3", "lost"),
        ("DELETE FROM revision WHERE number = 2", "half"),
        ("UPDATE revision SET checks = '[]' WHERE number = 3", "half"),
        ("UPDATE revision SET idempotency_key = 'x' WHERE number = 2", "doubled"),
        ("UPDATE setup SET code = '00000000000000000000000000' WHERE id = (SELECT max(id) FROM setup)", "lost"),
    ],
)
def test_what_is_missing_half_or_twice_is_noticed(app: Flask, told: Ledger, spoil: str, kind: str) -> None:
    with app.app_context(), database.write() as connection:
        connection.exec_driver_sql(spoil)
    assert getattr(judge(told, app, told.created["shared"]), kind)


def test_a_setup_that_nobody_asked_for_is_noticed(app: Flask, told: Ledger) -> None:
    app.test_client().post("/api/v1/setups", json=REQUEST)
    assert judge(told, app, told.created["shared"]).doubled
