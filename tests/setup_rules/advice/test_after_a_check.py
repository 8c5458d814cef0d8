"""What a sag check makes of an answer, with made-up answers: what is offered, kept, turned back and told."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from setup_rules.advice import recommend as module
from setup_rules.advice.recommend import (
    _answer_air,
    _check_advice,
    _settle,
    apply_sag_check,
)
from setup_rules.inference.start_setting import Banded
from setup_rules.types.request import SetupRequest
from setup_rules.types.result import ClickStart, CoilSetup, EndSetup, SagCheck, Setup
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_recommend_parts import BOTH, CHECK, COIL, model_of, note, setup_of, told
from tests.setup_rules.advice.test_stop_rule import end_with


def offered(monkeypatch: pytest.MonkeyPatch, kept_psi: float, moved_psi: float = 100.0, most_psi: float = 150.0) -> Any:
    """Return what is offered after a check at a pressure, of 50 psi on, or what was moved to where nothing is."""

    def pumped(pa: float) -> Any:
        return SimpleNamespace(pumped_to=pa)

    def end_setup(_model: Any, _learned: Any, _used: int, kept_pa: float) -> tuple[EndSetup, None]:
        return end_with(pressure_pa=kept_pa), None

    monkeypatch.setattr(module, "_at_bench", lambda *_: kept_psi * PSI_PA)
    monkeypatch.setattr(module, "pumping_limits_pa", lambda _model: (50 * PSI_PA, most_psi * PSI_PA))
    monkeypatch.setattr(module, "_end_setup", end_setup)
    monkeypatch.setattr(module, "DrawnEnd", SimpleNamespace(of=lambda *_: SimpleNamespace(pumped=pumped)))
    monkeypatch.setattr(module, "chance_near", lambda drawn, pa, target, near: (drawn.pumped_to, pa, target, near))
    monkeypatch.setattr(module, "choose_offer", lambda _model, _check, offer: (offer, True))
    learned: Any = SimpleNamespace(posterior=None)
    return _settle(model_of(), learned, 1, CHECK, end_with(pressure_pa=moved_psi * PSI_PA), 0.25)


@pytest.mark.parametrize(
    ("psi", "kept"),
    [
        (80.0, 80.0),
        # A gauge may be off by 0.6 %: 49.7 and 150.9 psi are as good as the limits, and answered as such.
        (49.71, 50.0),
        (49.69, None),
        (150.89, 150.0),
        (150.91, None),
    ],
)
def test_a_pressure_is_kept_inside_the_limits_as_a_gauge_reads_them(
    monkeypatch: pytest.MonkeyPatch, psi: float, kept: float | None
) -> None:
    offer, settled = offered(monkeypatch, psi)
    if kept is None:
        assert (offer.pressure_pa, settled) == (pytest.approx(100 * PSI_PA), False)
    else:
        assert offer.kept.pressure_pa == pytest.approx(kept * PSI_PA)
        # The chances are of the pressure as it was set: within 2.8 mm of 30 mm, 2 % of 140 mm.
        set_pa = pytest.approx(psi * PSI_PA)
        assert offer.kept_chance == (set_pa, set_pa, 0.03, pytest.approx(0.0028))
        moved_pa = pytest.approx(100 * PSI_PA)
        assert offer.moved_chance == (moved_pa, moved_pa, 0.03, pytest.approx(0.0028))
        assert offer.carried_mm == 0.25


@pytest.mark.parametrize(
    ("kept", "moved", "same"),
    [
        (80.0, 80.99, True),  # less than 1 psi
        (80.0, 81.01, False),
        (80.0, 79.01, True),
        (64.0, 65.0, True),
        (300.0, 301.79, True),  # of 300 psi a gauge shows no step below 1.8
        (300.0, 301.81, False),
    ],
)
def test_a_step_that_a_gauge_hardly_shows_is_none(
    monkeypatch: pytest.MonkeyPatch, kept: float, moved: float, same: bool
) -> None:
    offer, _ = offered(monkeypatch, kept, moved, most_psi=400.0)
    assert (offer.same, offer.firmer) == (same, moved > kept)


@pytest.mark.parametrize(
    ("kept_pa", "moved_pa", "same"),
    [
        # The gauge's 0.6 % of 2,000,000 Pa are 12,000 Pa.
        (2e6, 2_012_000.0, True),
        (2e6, 2_012_001.0, False),
        (994_000.0, 1.5e6, False),  # 0.6 % below the least of 1,000,000 Pa
        (4_024_000.0, 3.5e6, False),  # 0.6 % above the most of 4,000,000 Pa
    ],
)
def test_what_a_gauge_shows_counts_to_its_last_pascal(
    monkeypatch: pytest.MonkeyPatch, kept_pa: float, moved_pa: float, same: bool
) -> None:
    offered(monkeypatch, 100.0)
    monkeypatch.setattr(module, "_at_bench", lambda *_: kept_pa)
    monkeypatch.setattr(module, "pumping_limits_pa", lambda _model: (1e6, 4e6))
    known: Any = SimpleNamespace(posterior=None)
    offer: Any = _settle(model_of(), known, 1, CHECK, end_with(pressure_pa=moved_pa), 0.25)[0]
    assert (offer.same, offer.firmer) == (same, moved_pa > kept_pa)


def test_a_pressure_that_stays_is_no_firmer(monkeypatch: pytest.MonkeyPatch) -> None:
    offer, _ = offered(monkeypatch, 80.0, 80.0)
    assert (offer.same, offer.firmer) == (True, False)


def corrected(monkeypatch: pytest.MonkeyPatch, *, share: float, out: int, name: Any = "front") -> tuple[Setup, int]:
    """Return the setup after a check that moves the pressure by a share, and how often it was worked out.

    The adjuster stood at 8 of 16 clicks; the new pressure alone would set it to `out`.
    """
    calls: list[SetupRequest] = []

    def answer(request: SetupRequest, checks: Any, latest: SagCheck) -> Setup:
        calls.append(request)
        own = end_with(end=name, pressure_pa=share * 500_000.0, rebound=at_click(out if len(calls) == 1 else 8))
        return replace(setup_of("new", {name: own, OTHER[name]: None}), request=request, checks=checks, settled=True)

    monkeypatch.setattr(module, "compose", answer)
    monkeypatch.setattr(module, "with_check", lambda *_: ("kept",))
    monkeypatch.setattr(module, "_check_advice", lambda *_, settled: note("done" if settled else "pump"))
    before = setup_of("old", {name: end_with(end=name, rebound=at_click(8)), OTHER[name]: end_with(end=OTHER[name])})
    return apply_sag_check(before, replace(CHECK, end=name)), len(calls)


OTHER: dict[Any, Any] = {"front": "rear", "rear": "front"}


def at_click(out: int) -> ClickStart:
    """Return a rebound adjuster at so many of 16 clicks out."""
    return ClickStart(out=out, total=16, clamped=False, damping_n_s_per_m=900.0)


@pytest.mark.parametrize("name", ["front", "rear"])
def test_after_a_check_the_other_end_is_kept_and_the_clicks_stay(monkeypatch: pytest.MonkeyPatch, name: Any) -> None:
    # 8 % more: what would turn the adjuster by two is taken back by an offset, worked out anew.
    after, calls = corrected(monkeypatch, share=1.08, out=6, name=name)
    assert calls == 2
    asked = getattr(after.request, name)
    assert asked.rebound_offset_clicks == 2
    assert getattr(after, name).rebound.out == 8
    assert getattr(after, OTHER[name]) == end_with(end=OTHER[name])
    assert ("old", OTHER[name]) in told(after.reasons)
    assert ("new", name) in told(after.reasons)
    checks: Any = after.checks
    assert (checks, after.settled, after.advice[0].code) == (("kept",), True, "done")


def test_clicks_that_stand_or_follow_are_worked_out_once(monkeypatch: pytest.MonkeyPatch) -> None:
    after, calls = corrected(monkeypatch, share=1.08, out=8)
    assert (calls, after.request) == (1, BOTH)
    # 12 % more: the clicks follow.
    after, calls = corrected(monkeypatch, share=1.12, out=6)
    assert after.front is not None
    assert after.front.rebound is not None
    assert (calls, after.request, after.front.rebound.out) == (1, BOTH, 6)


def test_rides_and_what_was_bounced_stay_after_a_check(monkeypatch: pytest.MonkeyPatch) -> None:
    after, _ = corrected(monkeypatch, share=1.0, out=8)
    assert (after.rides, after.bounces) == ((), ())


@pytest.mark.parametrize("latest", [None, CHECK])
def test_air_is_answered_as_wanted_or_after_its_check(monkeypatch: pytest.MonkeyPatch, latest: SagCheck | None) -> None:
    wanted, moved, kept = Banded(1.0, 2.0, 3.0), end_with(pressure_pa=1.0), end_with(pressure_pa=2.0)
    monkeypatch.setattr(module, "_end_setup", lambda *_: (moved, wanted))
    monkeypatch.setattr(
        module,
        "_settle",
        lambda _model, _learned, _used, check, was, carried: (kept, (check, was, carried) == (CHECK, moved, 0.5)),
    )
    monkeypatch.setattr(
        module, "check_carried_mm", lambda _model, check, known: 0.5 if (check, known) == (CHECK, 7) else 0
    )
    monkeypatch.setattr(module, "pumping_limits_pa", lambda _model: (50.0, 150.0))
    monkeypatch.setattr(module, "end_cautions", lambda _model, end, band, most: ((end, band, most),))
    monkeypatch.setattr(module, "second_cautions", lambda _model, _end: ("second",))
    monkeypatch.setattr(module, "end_reasons", lambda _model, end, share: (end, share))
    known: Any = SimpleNamespace(posterior=7)
    answer: Any = _answer_air(model_of(), known, 1, latest)
    result = moved if latest is None else kept
    assert (answer.result, answer.settled) == (result, None if latest is None else True)
    assert answer.carried_mm == (None if latest is None else 0.5)
    assert answer.cautions == ((result, wanted, 150.0), "second")
    assert answer.reasons(0.4) == (result, 0.4)


@pytest.mark.parametrize(("coil", "kind"), [(None, "air"), (COIL, "coil")])
def test_what_to_do_next_is_told_for_the_spring_that_is_in_it(
    monkeypatch: pytest.MonkeyPatch, coil: CoilSetup | None, kind: str
) -> None:
    monkeypatch.setattr(module, "_at_bench", lambda *_: 500_000.0)
    monkeypatch.setattr(module, "sag_check_advice", lambda _check, _after, pa, *, settled: ("air", pa, settled))
    monkeypatch.setattr(module, "coil_check_advice", lambda _check, _after, of, *, settled: ("coil", of, settled))
    for settled in (True, False):
        found: Any = _check_advice(BOTH, CHECK, end_with(coil=coil), settled=settled)
        assert found == (kind, coil or 500_000.0, settled)
