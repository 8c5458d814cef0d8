"""What is offered after a check of a coil, with made-up springs: 80 N/mm at 2 mm of preload, aimed at 15 mm of 50."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from setup_rules.advice import coil_setup as module
from setup_rules.advice.coil_setup import _settle
from setup_rules.types.result import SagCheck
from tests.setup_rules.advice.test_recommend_parts import COIL
from tests.setup_rules.advice.test_spring_choice import model_of
from tests.setup_rules.advice.test_stop_rule import end_with


def offered(monkeypatch: pytest.MonkeyPatch, moved_rate: float, moved_preload: float = 2.0, **given: Any) -> Any:
    """Return (offer or what was moved to, settled) for another rate [N/mm] and preload [mm]."""
    coil = replace(COIL, rate_n_per_m=1000 * moved_rate, preload_mm=moved_preload)
    moved = end_with(end="rear", travel_mm=50.0, coil=coil, sag_expected_mm=15.0)
    kept = end_with(end="rear", travel_mm=50.0, coil=COIL, sag_target_mm=15.0, sag_expected_mm=16.0)
    monkeypatch.setattr(module, "_end_setup", lambda _model, _learned, _used, spring: replace(kept, load_n=spring))
    monkeypatch.setattr(module, "DrawnEnd", SimpleNamespace(of=lambda *_: "drawn"))
    monkeypatch.setattr(module, "with_preload", lambda drawn, mm: (drawn, mm))
    monkeypatch.setattr(module, "chance_near", lambda drawn, rate, target, near: (drawn[1], rate, target, near))
    monkeypatch.setattr(module, "choose_offer", lambda _model, _check, offer: (offer, True))
    check = SagCheck(end="rear", spring_rate_n_per_mm=80.0, preload_mm=2.0, readings_mm=(16.0,))
    known: Any = SimpleNamespace(posterior=None)
    return _settle(model_of(), known, 1, replace(check, **given), moved, 0.25)


@pytest.mark.parametrize(
    ("rate", "preload", "same"),
    [
        (80.4, 2.0, True),  # half a per cent of 80 N/mm is 0.4
        (80.41, 2.0, False),
        (79.6, 2.0, True),
        (79.59, 2.0, False),
        (80.0, 2.5, True),  # one step of half a millimetre
        (80.0, 2.6, False),
        (80.0, 1.5, True),
        (80.0, 1.4, False),
    ],
)
def test_the_same_print_and_one_step_of_preload_are_no_other_spring(
    monkeypatch: pytest.MonkeyPatch, rate: float, preload: float, same: bool
) -> None:
    assert offered(monkeypatch, rate, preload)[0].same is same


def test_chances_are_of_the_spring_as_it_was_and_as_it_would_be(monkeypatch: pytest.MonkeyPatch) -> None:
    offer, settled = offered(monkeypatch, 85.0, 3.0)
    # Near is within 2.5 % of 50 mm, 1.25 mm, where the tolerance is 2 mm.
    assert offer.kept_chance == (2.0, 80_000.0, pytest.approx(0.015), pytest.approx(0.00125))
    assert offer.moved_chance == (3.0, 85_000.0, pytest.approx(0.015), pytest.approx(0.00125))
    assert offer.kept.load_n == (80_000.0, 2.0)
    assert offer.carried_mm == 0.25
    assert (offer.firmer, settled) == (True, True)


def test_more_preload_than_the_end_may_have_is_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    # 5 mm are the most; a ruler leaves 0.02 mm open.
    assert offered(monkeypatch, 80.0, preload_mm=5.02)[1] is True
    moved, settled = offered(monkeypatch, 80.0, preload_mm=5.03)
    assert (moved.sag_expected_mm, settled) == (15.0, False)
