"""What is said of a coil main spring, each sentence for made-up numbers: its key, and the numbers that fill it.

1 lb/in is 0.175127 N/mm (exact pound, inch and standard gravity): 80 N/mm are 456.8 lb/in, told as 457.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice import coil_reasons as coil_reasons_module
from setup_rules.advice.coil_reasons import coil_check_advice, coil_reasons, in_part_note, no_spring_said
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Learned
from setup_rules.inference.start_setting import Banded
from setup_rules.messages.catalogue import sources
from setup_rules.types import constants as c
from setup_rules.types.request import FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import ClickStart, CoilSetup, Curve, EndSetup, Note, SagCheck

SHOCK = RearEnd(stroke_mm=55.0, leverage_start=2.8, spring="coil", coil_stroke_mm=60.0, preload_mm_max=4.0)
FORK = FrontEnd(travel_mm=150.0, spring="coil", coil_stroke_mm=170.0, preload_mm_max=8.0)


def coil_with(**changed: Any) -> CoilSetup:
    """Return a coil of 80 N/mm with 2 mm of preload, of 1 to 4 mm."""
    usual: dict[str, Any] = {
        "rate_n_per_m": 80_000.0,
        "rate_wanted_n_per_m": 82_040.0,
        "rate_low_n_per_m": 70_060.0,
        "rate_high_n_per_m": 95_000.0,
        "origin": "stocked",
        "preload_mm": 2.0,
        "preload_turns": None,
        "preload_min_mm": 1.0,
        "preload_max_mm": 4.0,
        "preload_max_assumed": False,
    }
    return CoilSetup(**{**usual, **changed})


def end_with(coil: CoilSetup | None = None, **changed: Any) -> EndSetup:
    """Return an end of 55 mm, aimed at 17.5 mm of sag (tolerance 2 mm), with a coil of 80 N/mm."""
    usual: dict[str, Any] = {
        **dict.fromkeys(("pressure_pa", "pressure_low_pa", "pressure_high_pa", "ride_pressure_pa"), 0.0),
        "max_pressure_pa": 0.0,
        "max_pressure_assumed": False,
        "min_pressure_pa": 0.0,
        "min_pressure_assumed": False,
        "end": "rear",
        "travel_mm": 55.0,
        "sag_target_mm": 17.5,
        "sag_target_percent": 31.8,
        "sag_expected_mm": 18.5,
        "sag_low_mm": 14.1,
        "sag_high_mm": 22.6,
        "wheel_travel_mm": 154.0,
        "wheel_sag_mm": 49.0,
        "load_n": 1400.0,
        "rate_n_per_m": 80_000.0,
        "full_force_n": 4000.0,
        "volume_spacers": 0,
        "rebound": None,
        "compression": None,
        "curve": Curve(compression_mm=(), force_n=(), load_n=()),
        "coil": coil or coil_with(),
    }
    return EndSetup(**{**usual, **changed})


def model_of(end: FrontEnd | RearEnd = SHOCK, **request: Any) -> EndModel:
    """Return an end of a rider of 78 kg."""
    name: Any = "front" if isinstance(end, FrontEnd) else "rear"
    given: Any = {"rider_mass_kg": 78.0, "riding_style": "trail", name: end, **request}
    return EndModel(name, end, SetupRequest(**given))


def check_of(**given: Any) -> SagCheck:
    """Return a check with the spring of `coil_with` in it."""
    return SagCheck(**{"end": "rear", "spring_rate_n_per_mm": 80.0, "preload_mm": 2.0, "readings_mm": (19.0,), **given})


def said(note: Note) -> tuple[str, dict[str, Any]]:
    """Return key and values of a note."""
    return note.said.key, dict(note.said.values)


def reasons(coil: CoilSetup | None = None, **changed: Any) -> dict[str, Note]:
    """Return the reasons of the rear end by their codes."""
    return {note.code: note for note in coil_reasons(model_of(), end_with(coil, **changed), 0.62)}


# Reasons


def test_each_number_of_a_coil_has_its_reason_in_the_order_of_the_page() -> None:
    start = ClickStart(out=7, total=14, clamped=False, damping_n_s_per_m=900.4)
    found = reasons(rebound=start, compression=start)
    assert list(found) == [
        *("rear_load", "rear_spring", "rear_rate", "rear_preload", "rear_sag", "rear_gap"),
        *("rear_rebound", "rear_compression"),
    ]
    assert {note.end for note in found.values()} == {"rear"}
    assert (found["rear_spring"].said.key, found["rear_spring"].source) == ("coil.spring.shock", sources.COIL)
    assert (found["rear_gap"].said.key, found["rear_gap"].source) == ("gap.bike_at_rest", c.PRACTICE)
    assert found["rear_load"].said.values["share"] == 62


def test_an_end_with_air_has_no_reasons_of_a_coil() -> None:
    assert coil_reasons(model_of(), replace(end_with(), coil=None), 0.6) == ()


@pytest.mark.parametrize(
    ("origin", "used", "key"),
    [
        ("exact", 0, "coil.rate.first"),
        ("exact", 1, "coil.rate.checked"),
        ("stocked", 0, "coil.rate.first.stocked"),
        ("stocked", 2, "coil.rate.checked.stocked"),
        ("fitted", 0, "coil.rate.first.fitted"),
        ("fitted", 1, "coil.rate.checked.fitted"),
    ],
)
def test_the_rate_says_what_would_be_exact_and_what_was_taken(origin: Any, used: int, key: str) -> None:
    note = reasons(coil_with(origin=origin), checks_used=used)["rear_rate"]
    # 82.04 N/mm are 468.46 lb/in.
    values = {"rate": 82, "pounds": 468, "low": 70.1, "high": 95}
    chosen = {} if origin == "exact" else {"chosen_rate": 80, "chosen_pounds": 457}
    assert said(note) == (key, values | chosen)
    assert note.source == sources.COIL


def test_a_spring_that_is_too_short_has_a_wanted_rate_and_no_preload() -> None:
    found = reasons(coil_with(stroke_needed_mm=56.0))
    assert said(found["rear_rate"]) == ("coil.rate.no_spring", {"rate": 82, "pounds": 468, "low": 70.1, "high": 95})
    assert found["rear_rate"].source == sources.COIL
    assert "rear_preload" not in found


@pytest.mark.parametrize(("preload", "key"), [(0.9, "least"), (1.0, "least"), (1.1, "set")])
def test_preload_at_its_least_is_a_rule_of_the_trade_and_above_it_brings_the_sag(preload: float, key: str) -> None:
    note = reasons(coil_with(preload_mm=preload))["rear_preload"]
    values = {"preload": preload} | ({"sag": 18.5} if key == "set" else {})
    assert said(note) == (f"coil.preload.{key}", values)
    assert note.source == (sources.COIL if key == "set" else c.PRACTICE)


@pytest.mark.parametrize(
    ("factor", "key", "percent"),
    [
        (1.0099, "learned.as_assumed.shock", None),
        (0.9901, "learned.as_assumed.shock", None),
        (1.125, "learned.more.coil", 12),
        (0.9, "learned.less.coil", 10),
    ],
)
def test_what_the_checks_taught_is_told_from_one_per_cent_on(factor: float, key: str, percent: int | None) -> None:
    note = reasons(checks_used=3, force_factor=factor, friction_n=61.6)["rear_learned"]
    assert said(note) == (key, {"count": 3, "friction": 62} | ({} if percent is None else {"percent": percent}))
    assert note.source == sources.LEARNED


@pytest.mark.parametrize(
    "missing", [{"checks_used": 0}, {"force_factor": None}, {"friction_n": None}], ids=lambda one: next(iter(one))
)
def test_without_checks_nothing_was_learned(missing: dict[str, Any]) -> None:
    assert "rear_learned" not in reasons(**{"checks_used": 1, "force_factor": 1.1, "friction_n": 60.0, **missing})


# After a sag check


def advised(check: SagCheck, coil: CoilSetup | None = None, *, settled: bool = False, **changed: Any) -> Note:
    """Return what to do after a check."""
    after = end_with(coil, **changed)
    assert after.coil is not None
    return coil_check_advice(check, after, after.coil, settled=settled)


SPRING = {"rate": 80, "pounds": 457, "preload": 2.0}


@pytest.mark.parametrize("settled", [True, False])
def test_nobody_is_to_ride_with_a_spring_that_is_too_short(settled: bool) -> None:
    note = advised(check_of(), coil_with(stroke_needed_mm=56.5), settled=settled)
    assert (note.code, note.source, note.end) == ("sag_no_spring", sources.COIL, "rear")
    assert said(note) == ("sag_no_spring", {"rate": 82, "pounds": 468, "needed": 56.5})
    assert no_spring_said(coil_with(stroke_needed_mm=56.5)) == note.said


def test_done_at_a_limit_says_which_sag_is_left() -> None:
    note = advised(check_of(), settled=True, sag_expected_mm=20.1)
    assert (note.code, note.source, note.end) == ("sag_at_limit", sources.COIL, "rear")
    assert said(note) == ("sag_at_limit.coil", SPRING | {"sag": 20.0, "target": 17.5})


def test_done_on_target_says_the_sag_with_its_range() -> None:
    note = advised(check_of(), settled=True)
    assert (note.code, note.source, note.end) == ("sag_settled", sources.TOLERANCE, "rear")
    values = {"sag": 18.5, "target": 17.5, "low": 14.0, "high": 22.5}
    assert said(note) == ("sag_settled.coil", SPRING | values)


@pytest.mark.parametrize(("turns", "key", "counted"), [(None, "", {}), (1.6, ".turns", {"turns": 1.6})])
@pytest.mark.parametrize("fitted", [70.0, 80.1, None])
def test_another_spring_is_named_with_its_preload(turns: Any, key: str, counted: dict[str, Any], fitted: Any) -> None:
    note = advised(check_of(spring_rate_n_per_mm=fitted), coil_with(preload_turns=turns))
    assert (note.code, note.source, note.end) == ("sag_spring", "", "rear")
    assert said(note) == (f"sag_spring{key}", SPRING | counted | {"sag": 18.5, "low": 14.0, "high": 22.5})


def test_a_rate_that_shows_alike_is_the_same_spring() -> None:
    # 456.9 lb/in as it was printed, 80.01 N/mm, shows as the 80 N/mm asked for.
    assert advised(check_of(spring_rate_n_per_mm=80.01)).code == "sag_again"


@pytest.mark.parametrize(("turns", "key", "counted"), [(None, "", {}), (1.26, ".turns", {"turns": 1.25})])
@pytest.mark.parametrize(("before", "code"), [(1.0, "sag_preload_more"), (3.0, "sag_preload_less")])
def test_preload_is_turned_in_or_out(turns: Any, key: str, counted: dict[str, Any], before: float, code: str) -> None:
    note = advised(check_of(preload_mm=before), coil_with(preload_turns=turns))
    assert (note.code, note.source, note.end) == (code, "", "rear")
    assert said(note) == (f"{code}{key}", {"preload": 2.0} | counted | {"sag": 18.5, "low": 14.0, "high": 22.5})


@pytest.mark.parametrize(
    ("before", "code"),
    [
        (2.0, "sag_again"),
        (2.04, "sag_again"),
        (1.96, "sag_again"),
        (2.1, "sag_preload_less"),
        (1.9, "sag_preload_more"),
    ],
)
def test_preload_that_shows_alike_is_measured_again(before: float, code: str) -> None:
    note = advised(check_of(preload_mm=before))
    assert (note.code, note.source, note.end) == (code, "", "rear")
    if code == "sag_again":
        assert said(note) == ("sag_again.coil", SPRING | {"target": 17.5})


def test_preload_above_the_limit_is_turned_back_though_it_shows_alike() -> None:
    # 4.04 mm shows as 4.0, and is more than a ruler (0.02 mm) above the limit of 4 mm.
    note = advised(check_of(preload_mm=4.04), coil_with(preload_mm=4.0))
    assert note.code == "sag_preload_less"
    assert advised(check_of(preload_mm=4.02), coil_with(preload_mm=4.0)).code == "sag_again"


def test_one_reading_far_from_what_is_likely_counts_in_part_only() -> None:
    model, learned = model_of(), Learned.nothing()
    # m·g·LR/k − preload: about 43 kg on the wheel are 420 N, at 80 N/mm and 2.8 to 1 some 15 mm; 25 mm lie far off.
    (note,) = in_part_note(model, learned, check_of(readings_mm=(25.0,)), end_with())
    assert (note.code, note.source, note.end) == ("sag_in_part", sources.LEARNED, "rear")
    assert note.said.key == "sag_in_part"
    likely = note.said.values["expected"]
    assert isinstance(likely, float)
    assert note.said.values["read"] == 25.0
    assert 6.0 < likely < 16.0
    # Half of the tolerance, 1 mm, counts as the same.
    assert in_part_note(model, learned, check_of(readings_mm=(likely + 0.5,)), end_with()) == ()
    assert in_part_note(model, learned, check_of(readings_mm=(likely - 0.5,)), end_with()) == ()
    assert in_part_note(model, learned, check_of(readings_mm=(likely + 1.5,)), end_with())
    assert in_part_note(model, learned, check_of(readings_mm=(likely - 1.5,)), end_with())
    # On a longer travel half of 2 % are more: 2 mm of 200.
    assert in_part_note(model, learned, check_of(readings_mm=(likely + 1.5,)), end_with(travel_mm=200.0)) == ()


@pytest.mark.parametrize(("reading", "told"), [(16.0, False), (14.0, False), (16.5, True), (13.5, True)])
def test_half_of_the_tolerance_is_no_part(monkeypatch: pytest.MonkeyPatch, reading: float, told: bool) -> None:
    # 15 mm are likely; half of the tolerance of 2 mm is 1 mm.
    monkeypatch.setattr(coil_reasons_module, "expected_sag_m", lambda *_: Banded(0.01, 0.015, 0.02))
    notes = in_part_note(model_of(), Learned.nothing(), check_of(readings_mm=(reading,)), end_with())
    assert [dict(note.said.values) for note in notes] == [{"read": reading, "expected": 15.0}] * told


@pytest.mark.parametrize(("carried", "told"), [(4.0, True), (-4.0, True), (0.0, False)])
def test_what_is_likely_is_told_as_it_reads_where_it_was_measured(
    monkeypatch: pytest.MonkeyPatch, carried: float, told: bool
) -> None:
    monkeypatch.setattr(coil_reasons_module, "expected_sag_m", lambda *_: Banded(0.01, 0.015, 0.02))
    monkeypatch.setattr(coil_reasons_module, "check_carried_mm", lambda *_: carried)
    notes = in_part_note(model_of(), Learned.nothing(), check_of(readings_mm=(15.0,)), end_with())
    assert [dict(note.said.values) for note in notes] == [{"read": 15.0, "expected": 15.0 + carried}] * told


def test_more_preload_or_a_firmer_spring_makes_the_likely_sag_smaller() -> None:
    def likely(**given: Any) -> Any:
        (note,) = in_part_note(model_of(), Learned.nothing(), check_of(readings_mm=(40.0,), **given), end_with())
        return note.said.values["expected"]

    # The shock always gives under the bike alone or is pressed together by preload: 4 mm more lift it by up to 4 mm.
    assert likely(preload_mm=4.0) <= likely(preload_mm=0.0)
    assert likely(spring_rate_n_per_mm=160.0) < 0.8 * likely()


def test_a_check_of_air_has_no_coil_to_count_in_part() -> None:
    assert in_part_note(model_of(), Learned.nothing(), check_of(spring_rate_n_per_mm=None), end_with()) == ()
