"""The page after a check, a ride or a change."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

import setup_rules
from setup_rules import (
    BounceCheck,
    RideReport,
    SagCheck,
    Setup,
    apply_bounce_check,
    apply_ride,
    apply_sag_check,
    read_request,
    recommend,
    what_if,
)
from setup_rules.messages.message import Message
from setup_rules.types.result import Note
from setup_rules.types.units import PSI_PA
from webapp.checks.pages.answer_page import AnswerPage, EndAnswer, headline, present_answer
from webapp.ground.text import numbers
from webapp.setups.revision import CardTexts, Revision


@pytest.fixture
def setup(whole_request: dict[str, Any]) -> Setup:
    """A setup for both ends, its front with a compression adjuster."""
    whole_request["front"]["compression_clicks"] = 12
    return recommend(read_request(whole_request))


def answer(before: Setup, after: Setup, kind: str, **changes: Any) -> AnswerPage:
    """Return the page of `after`, saved on top of `before`."""
    common: dict[str, Any] = {
        "code": "01110123456789ABCDEFGHJKMN",
        "latest_number": 2,
        "created_at": datetime(2026, 3, 7, 9, 0, tzinfo=UTC),
        "texts": CardTexts("blue trail bike"),
    }
    first = Revision(number=1, setup=before, reason="First setup", **common)
    then = Revision(number=2, setup=after, reason="Something", kind=kind, base_number=1, **(common | changes))
    return present_answer(then, first)


def only(page: AnswerPage) -> EndAnswer:
    """Return the one part of an answer."""
    (part,) = page.parts
    return part


def moved(before: Setup, after: Setup) -> Iterator[tuple[str, str]]:
    """Yield every number to set that two setups show differently, with what it is called."""
    for old, new, word in zip(before.ends(), after.ends(), ("fork", "shock"), strict=True):
        if numbers.psi(old.pressure_pa) != numbers.psi(new.pressure_pa):
            yield f"Pressure of the {word}", numbers.psi(new.pressure_pa)
        for name, was, now in (
            ("Rebound", old.rebound, new.rebound),
            ("Compression", old.compression, new.compression),
        ):
            if was and now and was.out != now.out:
                yield f"{name} of the {word}", str(now.out)
        if old.volume_spacers != new.volume_spacers:
            yield f"Volume spacers of the {word}", str(new.volume_spacers)


def checked(setup: Setup, *readings: float) -> Setup:
    """Return the setup after a sag check of the front at its own pressure."""
    assert setup.front is not None
    return apply_sag_check(setup, SagCheck(end="front", pressure_pa=setup.front.pressure_pa, readings_mm=readings))


def test_a_sag_check_leads_with_the_pressure_and_the_sag_it_should_give(setup: Setup) -> None:
    after = checked(setup, 38, 39, 38)
    page = answer(setup, after, "sag_check_front")
    part = only(page)
    assert after.front is not None
    assert (page.headline, part.done, part.end) == ("Add air", False, "front")
    assert after.front.rebound is not None
    assert after.front.compression is not None
    assert [(figure.label, figure.big) for figure in part.figures] == [
        ("Pressure of the fork", numbers.psi(after.front.pressure_pa)),
        ("Expected sag", numbers.halves(after.front.sag_expected_mm)),
        ("Rebound", str(after.front.rebound.out)),
        ("Compression", str(after.front.compression.out)),
    ]
    assert numbers.mm_range(after.front.sag_low_mm, after.front.sag_high_mm) in part.figures[1].line
    assert part.advice == after.advice[0].message
    assert "more pressure than was first assumed" in part.learned
    assert [group.name for group in page.changed] == ["front"]


def test_too_little_sag_lets_air_out(setup: Setup) -> None:
    assert answer(setup, checked(setup, 17, 18), "sag_check_front").headline == "Let air out"


def test_a_settled_sag_is_done(setup: Setup) -> None:
    once = checked(setup, 36, 36, 36)
    assert once.front is not None
    target = once.front.sag_target_mm
    page = answer(once, checked(once, target, target, target), "sag_check_front")
    part = only(page)
    assert (page.headline, part.done) == ("Done: go for a ride", True)


@pytest.mark.parametrize(("seen", "words"), [("more", "rebound in"), ("less", "rebound out")])
def test_a_bounce_check_leads_with_the_clicks_and_the_way_to_turn(setup: Setup, seen: str, words: str) -> None:
    after = apply_bounce_check(setup, BounceCheck(end="front", clicks_out=8, seen=seen))
    page = answer(setup, after, "bounce_check_front")
    part = only(page)
    assert after.front is not None
    assert after.front.rebound is not None
    assert words in page.headline
    assert [figure.big for figure in part.figures] == [str(after.front.rebound.out)]
    assert part.learned == ""


@pytest.mark.parametrize(
    ("felt", "words"),
    [("kicks_back", "slower rebound"), ("packs_down", "faster rebound"), ("feels_right", "Nothing to change")],
)
def test_a_ride_leads_with_its_one_change_and_why(setup: Setup, felt: str, words: str) -> None:
    page = answer(setup, apply_ride(setup, RideReport(end="front", felt=(felt,))), "ride_front")
    part = only(page)
    assert words in page.headline
    assert bool(part.why) == (felt != "feels_right")
    assert part.source == "common practice, no source"


@pytest.mark.parametrize(
    ("felt", "words"),
    [
        ("hits_the_end", "add one volume spacer"),
        ("dives", "more pressure, less sag"),
        ("harsh_small_hits", "less pressure, more sag"),
    ],
)
def test_pressure_and_spacers_are_shown_with_the_pressure_to_pump(setup: Setup, felt: str, words: str) -> None:
    measured = checked(setup, 28, 28, 28)
    after = apply_ride(measured, RideReport(end="front", felt=(felt,)))
    page = answer(measured, after, "ride_front")
    part = only(page)
    assert after.front is not None
    assert words in page.headline
    assert part.why
    assert numbers.psi(after.front.pressure_pa) in [figure.big for figure in part.figures]


def test_pressure_is_only_changed_from_a_measured_sag(setup: Setup) -> None:
    page = answer(setup, apply_ride(setup, RideReport(end="front", felt=("dives",))), "ride_front")
    part = only(page)
    assert (page.headline, part.asks_sag, part.figures) == ("Measure sag first", True, ())


def test_a_changed_circumstance_shows_every_number_that_moved(setup: Setup) -> None:
    after = what_if(setup, {"kit_mass_kg": 12})
    page = answer(setup, after, "what_if")
    part = only(page)
    assert page.headline == "Saved. Now set these numbers"
    assert [(figure.label, figure.big) for figure in part.figures] == list(moved(setup, after))
    assert "Rebound of the fork" in {figure.label for figure in part.figures}
    assert part.advice == ""


def test_old_advice_is_not_repeated_after_a_restore(setup: Setup) -> None:
    assert answer(setup, checked(setup, 38), "restored").parts[0].advice == ""


def test_a_limit_stands_above_the_numbers_and_other_cautions_below(whole_request: dict[str, Any]) -> None:
    whole_request["front"]["max_pressure_psi"] = 60
    held = recommend(read_request(whole_request))
    page = answer(held, apply_ride(held, RideReport(end="front", felt=("kicks_back",))), "ride_front")
    part = only(page)
    assert any("maximum" in warning for warning in part.warnings)
    assert not set(part.warnings) & set(part.cautions)


def test_every_advice_that_the_rules_can_give_has_a_headline(setup: Setup) -> None:
    sources = [Path(setup_rules.__file__).parent / name for name in ("advice/corrections.py", "advice/reasons.py")]
    text = "".join(path.read_text(encoding="utf-8") for path in sources)
    codes = set(re.findall(r'"((?:sag|rebound)_(?:settled|again|at_limit|pump|let_out|right|turn|at_end))"', text))
    assert len(codes) >= 8
    for code in codes:
        note = Note(code, Message(code), way="in" if code == "rebound_turn" else "")
        assert headline(note), code


def test_a_reading_that_contradicts_earlier_checks_asks_to_measure_again_and_offers_the_leak_check() -> None:
    front = {"travel_mm": 140, "stanchion_mm": 34, "max_pressure_psi": 150}
    setup = recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": front}))
    for reading in (31.0, 31.0, 31.0, 31.0, 60.0):
        before = setup
        check = SagCheck(end="front", pressure_pa=84 * PSI_PA, readings_mm=(reading,), confirm=True)
        setup = apply_sag_check(setup, check)
    page = answer(before, setup, "sag_check_front")
    assert only(page).headline == "Measure again before you pump"
    assert "measure again" in only(page).advice
    assert not only(page).done
    assert page.asks_leak
