"""The history's lines and curves."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import pytest

from setup_rules import read_request, recommend
from setup_rules.messages.message import Message
from setup_rules.types.result import Note
from setup_rules.types.units import PSI_PA
from webapp.checks.pages.history_page import present_history
from webapp.setups.actions.list_revisions import PastRevision, RevisionEnd
from webapp.setups.revision import CardTexts, Revision


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


#: Any setup: the lines below bring the numbers of their ends themselves.
SETUP = recommend(
    read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140, "rebound_clicks": 16}})
)


def line(number: int, reason: str, kind: str, *ends: RevisionEnd, advice: tuple[Note, ...] = ()) -> PastRevision:
    """Return one revision of three."""
    revision = Revision(
        code="01110123456789ABCDEFGHJKMN",
        number=number,
        latest_number=3,
        base_number=number - 1 or None,
        created_at=datetime(2026, 3, number, 9, 30, tzinfo=UTC),
        kind=kind,
        reason=reason,
        setup=replace(SETUP, advice=advice),
    )
    return PastRevision(revision=revision, ends=ends)


@pytest.fixture
def saved(whole_request: dict[str, Any]) -> Revision:
    """The newest revision of a setup."""
    setup = recommend(read_request(whole_request))
    return Revision(
        code="01110123456789ABCDEFGHJKMN",
        number=3,
        latest_number=3,
        created_at=datetime(2026, 3, 3, tzinfo=UTC),
        texts=CardTexts("blue trail bike"),
        setup=setup,
        reason="",
    )


REVISIONS = (
    line(1, "First setup", "created", end()),
    line(
        2,
        "Sag check of the fork",
        "sag_check_front",
        end(pressure_pa=78 * PSI_PA, measured_sag_mm=24.3, measured_at_pa=84 * PSI_PA),
        advice=(Note("sag_let_out", Message("sag_let_out.fork")),),
    ),
    line(3, "Changed: kit weight", "what_if", end(pressure_pa=78 * PSI_PA)),
)


def test_the_newest_revision_comes_first_and_is_in_force(saved: Revision) -> None:
    lines = present_history(saved, REVISIONS).lines
    assert [(one.number, one.is_latest) for one in lines] == [(3, True), (2, False), (1, False)]


def test_a_line_says_what_changed_and_why(saved: Revision) -> None:
    newest, checked, first = present_history(saved, REVISIONS).lines
    assert first.changes == ("Fork: 84 psi; target sag 28 mm; rebound 8 out",)
    assert (checked.why, checked.outcome) == ("Sag check of the fork", "Let air out")
    assert checked.changes == ("Fork: measured 24.5 mm at 84 psi, target 28 mm; 84 → 78 psi",)
    assert checked.when == "2 March 2026, 09:30 UTC"
    assert (newest.why, newest.changes) == ("Changed: kit weight", ())


def test_clicks_spacers_target_and_travel_are_told_too(saved: Revision) -> None:
    changed = end(rebound_out=6, volume_spacers=1, sag_target_mm=30.0, travel_mm=150.0, compression_out=4)
    (newest, _first) = present_history(saved, (REVISIONS[0], line(2, "Changed", "what_if", changed))).lines
    assert newest.changes == (
        "Fork: target sag 28 → 30 mm; rebound 8 → 6 out; compression – → 4 out; volume spacers 0 → 1; "
        "travel 140 → 150 mm",
    )


def test_the_curves_have_every_revision_and_say_it_in_words(saved: Revision) -> None:
    (plot,) = present_history(saved, REVISIONS).plots
    assert (plot.revisions, plot.pressures) == ((1, 2, 3), (84, 78, 78))
    assert plot.measured_mm == (None, 24.3, None)
    assert plot.description == (
        "In 3 versions: pressure from 84 to 78 psi, expected sag 28 mm at the start and now. The target is 28 mm."
    )
    assert [row.measured for row in plot.rows] == ["–", "24.5", "–"]


def test_one_revision_alone_makes_no_curve(saved: Revision) -> None:
    assert present_history(saved, REVISIONS[:1]).plots == ()


def test_the_riders_weight_is_nowhere(saved: Revision) -> None:
    assert "78.0" not in repr(present_history(saved, (REVISIONS[0],)))
