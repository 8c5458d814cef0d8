"""The history's lines and curves."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from setup_rules import read_request, recommend
from setup_rules.types.result import Note
from setup_rules.types.units import PSI_PA
from webapp.checks.pages.history_page import present_history
from webapp.setups.actions.list_revisions import RevisionEnd, RevisionLine
from webapp.setups.saved import SavedSetup


def end(**changes: Any) -> RevisionEnd:
    """Return a front of a revision."""
    given: dict[str, Any] = {
        "end": "front",
        "pressure_pa": 84 * PSI_PA,
        "sag_target_mm": 28.0,
        "sag_expected_mm": 28.0,
        "sag_low_mm": 22.0,
        "sag_high_mm": 35.0,
        "measured_sag_mm": None,
        "measured_at_pa": None,
        "rebound_out": 8,
        "compression_out": None,
        "volume_spacers": 0,
        "travel_mm": 140.0,
    }
    return RevisionEnd(**(given | changes))


def line(number: int, reason: str, kind: str, *ends: RevisionEnd, advice: tuple[Note, ...] = ()) -> RevisionLine:
    """Return one revision."""
    return RevisionLine(
        number=number,
        base_number=number - 1 or None,
        created_at=datetime(2026, 3, number, 9, 30, tzinfo=UTC),
        kind=kind,
        reason=reason,
        advice=advice,
        settled=None,
        rider_mass_kg=78.0,
        kit_mass_kg=4.0,
        ends=ends,
    )


@pytest.fixture
def saved(whole_request: dict[str, Any]) -> SavedSetup:
    """The newest revision of a setup."""
    setup = recommend(read_request(whole_request))
    return SavedSetup(
        code="01110123456789ABCDEFGHJKMN",
        revision=3,
        latest_revision=3,
        created_at=datetime(2026, 3, 3, tzinfo=UTC),
        bike_label="blue trail bike",
        service_note="",
        setup=setup,
        reason="",
        rules_version="1",
    )


REVISIONS = (
    line(1, "First setup", "created", end()),
    line(
        2,
        "Sag check of the fork",
        "sag_check_front",
        end(pressure_pa=78 * PSI_PA, measured_sag_mm=24.3, measured_at_pa=84 * PSI_PA),
        advice=(Note("sag_let_out", "", {}),),
    ),
    line(3, "Changed: kit weight", "what_if", end(pressure_pa=78 * PSI_PA)),
)


def test_the_newest_revision_comes_first_and_is_in_force(saved: SavedSetup) -> None:
    lines = present_history(saved, REVISIONS).lines
    assert [(one.number, one.is_latest) for one in lines] == [(3, True), (2, False), (1, False)]


def test_a_line_says_what_changed_and_why(saved: SavedSetup) -> None:
    newest, checked, first = present_history(saved, REVISIONS).lines
    assert first.changes == ("Fork: 84 psi; target sag 28 mm; rebound 8 out",)
    assert (checked.why, checked.outcome) == ("Sag check of the fork", "Let air out")
    assert checked.changes == ("Fork: measured 24.5 mm at 84 psi, target 28 mm; 84 → 78 psi",)
    assert checked.when == "2 March 2026, 09:30 UTC"
    assert (newest.why, newest.changes) == ("Changed: kit weight", ())


def test_clicks_spacers_target_and_travel_are_told_too(saved: SavedSetup) -> None:
    changed = end(rebound_out=6, volume_spacers=1, sag_target_mm=30.0, travel_mm=150.0, compression_out=4)
    (newest, _first) = present_history(saved, (REVISIONS[0], line(2, "Changed", "what_if", changed))).lines
    assert newest.changes == (
        "Fork: target sag 28 → 30 mm; rebound 8 → 6 out; compression – → 4 out; volume spacers 0 → 1; "
        "travel 140 → 150 mm",
    )


def test_the_curves_have_every_revision_and_say_it_in_words(saved: SavedSetup) -> None:
    (plot,) = present_history(saved, REVISIONS).plots
    assert (plot.revisions, plot.pressure_psi) == ((1, 2, 3), (84, 78, 78))
    assert plot.measured_mm == (None, 24.3, None)
    assert plot.description == (
        "In 3 versions: pressure from 84 to 78 psi, expected sag 28 mm at the start and now. The target is 28 mm."
    )
    assert [row.measured for row in plot.rows] == ["–", "24.5", "–"]


def test_one_revision_alone_makes_no_curve(saved: SavedSetup) -> None:
    assert present_history(saved, REVISIONS[:1]).plots == ()


def test_the_riders_weight_is_nowhere(saved: SavedSetup) -> None:
    assert "78.0" not in repr(present_history(saved, (REVISIONS[0],)))
