"""Judges the first sag check of each setup of a shop against what was expected of it."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Any, Final

from setup_rules import SetupRulesError
from setup_rules.advice.sag_check import MOST_KEPT
from setup_rules.inference.checked_guess import CheckedGuess, judge_guess
from setup_rules.types.request import EndName
from setup_rules.types.result import TakenCheck
from webapp.calibration import queries
from webapp.calibration.tally import Tally, tally_of
from webapp.ground.database.engine import database
from webapp.setups.documents import taken_checks

#: A shop's newest setups that are looked at: springs of long ago say little of today's.
MOST_SETUPS: Final = 200
#: How long one look at a page may judge checks that were not judged before [s].
PAGE_SECONDS: Final = 1.5


def judge_shop(shop_id: int, seconds: float | None = PAGE_SECONDS) -> Tally:
    """Return what the first checks of a shop's setups say; with a limit in seconds, of those that it is enough for."""
    with database.read() as connection:
        stored = queries.checks_of_setups(connection, shop_id, MOST_SETUPS)
    first = [one for checks in stored for one in first_checks(checks)]
    ends_at = None if seconds is None else time.monotonic() + seconds
    judged: list[CheckedGuess] = []
    for place, taken in enumerate(first):
        if ends_at is not None and time.monotonic() > ends_at:
            return tally_of(judged, waiting=len(first) - place)
        judged += _judge(taken)
    return tally_of(judged)


def first_checks(stored: Sequence[Any]) -> list[TakenCheck]:
    """Return the first check of each end of a setup that was not struck out: none where its first may be gone."""
    ends: tuple[EndName, ...] = ("front", "rear")
    by_end = [[one for one in taken_checks(stored) if one.check.end == end] for end in ends]
    left = [next((one for one in those if not one.struck), None) for those in by_end if len(those) < MOST_KEPT]
    return [one for one in left if one is not None]


def _judge(taken: TakenCheck) -> list[CheckedGuess]:
    try:
        found = judge_guess(taken)
    except SetupRulesError:
        return []  # stored by earlier rules, which took what today's refuse
    return [] if found is None else [found]
