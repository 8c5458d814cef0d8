"""What a turned adjuster and an end whose spring did not change leave as it was, with made-up answers."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice import corrections as module
from setup_rules.advice.corrections import (
    _keep_all_but_clicks,
    _only_clicks,
    _set_clicks,
)
from setup_rules.types.request import SetupRequest
from setup_rules.types.result import Note, Setup
from tests.setup_rules.advice.test_corrections_parts import BOTH, FORK, FRONT, REAR, clicks, note, setup_of

WORDS = ("front_load", "front_rebound", "front_compression", "rear_rebound", "front_sag")


def words(text: str, *codes: str) -> tuple[Note, ...]:
    """Return reasons that can be told by their words."""
    return tuple(note(code, code.split("_")[0], text) for code in codes)


@pytest.mark.parametrize(("kind", "other"), [("rebound", "compression"), ("compression", "rebound")])
def test_one_adjuster_is_turned_and_nothing_else_moves(kind: Any, other: str) -> None:
    before = setup_of(reasons=words("old", *WORDS), settled=True)
    turned = replace(FRONT, pressure_pa=1.0, rebound=clicks(3, 16), compression=clicks(2, 12))
    asked = replace(BOTH, kit_mass_kg=5.0)
    after = setup_of(request=asked, front=turned, rear=None, reasons=words("new", *WORDS))
    found = _only_clicks(before, after, "front", kind)
    assert found.request == asked
    assert found.front == replace(FRONT, **{kind: getattr(turned, kind)})
    assert found.rear is REAR
    assert found.settled is None
    assert [one.said.key for one in found.reasons] == ["new" if one == f"front_{kind}" else "old" for one in WORDS]


def test_the_rear_adjuster_is_its_own() -> None:
    before = setup_of(reasons=words("old", *WORDS))
    after = setup_of(front=None, rear=replace(REAR, rebound=clicks(3, 14)), reasons=words("new", *WORDS))
    found = _only_clicks(before, after, "rear", "rebound")
    assert (found.front, found.rear) == (FRONT, replace(REAR, rebound=clicks(3, 14)))
    assert [one.said.key for one in found.reasons] == ["new" if one == "rear_rebound" else "old" for one in WORDS]


@pytest.mark.parametrize("name", ["front", "rear"])
def test_an_end_whose_spring_did_not_change_is_kept_but_for_its_clicks(name: Any) -> None:
    old, kept = (FRONT, REAR) if name == "front" else (REAR, FRONT)
    new = replace(old, pressure_pa=1.0, rebound=clicks(3, 20), compression=clicks(1, 10))
    codes = (f"{name}_load", f"{name}_rebound")
    before = setup_of(reasons=words("old", *codes))
    after = setup_of(**{name: new}, reasons=words("new", f"{name}_load", f"{name}_rebound", f"{name}_compression"))
    found = _keep_all_but_clicks(before, after, name)
    assert getattr(found, name) == replace(old, rebound=new.rebound, compression=new.compression)
    assert {found.front, found.rear} >= {kept}
    told = [(one.code, one.said.key) for one in found.reasons]
    # What is said of the clicks is new, what is said of the rest as it was; a word that is new comes last.
    assert told == [(f"{name}_load", "old"), (f"{name}_rebound", "new"), (f"{name}_compression", "new")]


def test_a_word_on_clicks_that_are_no_longer_there_goes() -> None:
    before = setup_of(reasons=words("old", "front_load", "front_rebound", "front_compression"))
    after = setup_of(front=replace(FRONT, compression=None), reasons=words("new", "front_load", "front_rebound"))
    found = _keep_all_but_clicks(before, after, "front")
    assert [(one.code, one.said.key) for one in found.reasons] == [("front_load", "old"), ("front_rebound", "new")]


@pytest.mark.parametrize(
    ("kind", "out", "offset"),
    [
        # The request gives 8 and 6 clicks out, with an offset of 1 each.
        ("rebound", 12, 5),
        ("rebound", 8, 1),
        ("compression", 3, -2),
    ],
)
def test_clicks_are_set_by_an_offset_from_what_the_request_gives(
    monkeypatch: pytest.MonkeyPatch, kind: Any, out: int, offset: int
) -> None:
    front = replace(FORK, rebound_offset_clicks=1, compression_offset_clicks=1)
    asked: list[SetupRequest] = []

    def answer(request: SetupRequest, _checks: Any) -> Setup:
        asked.append(request)
        return setup_of(request=request)

    monkeypatch.setattr(module, "recommend", answer)
    found = _set_clicks(setup_of(request=replace(BOTH, front=front)), "front", kind, out)
    turned: Any = {f"{kind}_offset_clicks": offset}
    assert found.request.front == replace(front, **turned)
    assert len(asked) == (1 if offset == 1 else 2)


@pytest.mark.parametrize("kind", ["rebound", "compression"])
def test_an_adjuster_that_is_not_there_is_not_set(monkeypatch: pytest.MonkeyPatch, kind: Any) -> None:
    bare = setup_of(front=replace(FRONT, rebound=None, compression=None))
    monkeypatch.setattr(module, "recommend", lambda request, _checks: replace(bare, request=request))
    assert _set_clicks(bare, "front", kind, 3) == bare
