"""What the sag checks of one end say of the bike: a sticky spring, answers that disagree, something that changed."""

from __future__ import annotations

from typing import Final

from setup_rules.advice.coil_cautions import fitted_cautions
from setup_rules.advice.sag_check import STICKY_SPREAD, learned_of, likelihoods_of
from setup_rules.advice.wording import VARIANT, is_above, whole_psi
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import expect, learn
from setup_rules.inference.pressure_chart import chart_likelihoods
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed, whole
from setup_rules.types.result import EndSetup, Note, SagCheck, TakenCheck

#: A newest check that misses what the earlier ones led to expect by more than this is a change, not chance [standard
#: deviations] (our estimate).
SURPRISE: Final = 3.0
#: So many newest checks are held against the earlier ones together, where there are as many of these.
TOGETHER: Final = 5
#: Their mean miss from which on something changed: a habit repeats, so it is hardly smaller than that of one [standard
#: deviations] (our estimate).
MEAN_SURPRISE: Final = 2.0


def check_cautions(
    model: EndModel, checks: tuple[TakenCheck, ...], result: EndSetup, *, now: bool = False
) -> tuple[Note, ...]:
    """Return what the checks of one end that were not struck out call for; `now`: the newest was just taken."""
    name = model.name
    taken = tuple(one for one in checks if one.check.end == name and not one.struck)
    if not taken:
        return ()
    notes, variant = list(_sticky(taken[-1].check, result)), VARIANT[name]
    # A pressure of the time before a coil was fitted says nothing against the coil.
    if not model.has_coil and is_above(taken[-1].check.pressure_pa, result.max_pressure_pa):
        limit, psi = whole_psi(result.max_pressure_pa), whole_psi(taken[-1].check.pressure_pa)
        said = Message.of(f"caution.pumped_above_maximum.{variant}", psi=psi, limit=limit)
        notes.append(Note("pumped_above_maximum", said, end=name))
    swings = _swings(model, taken, result)
    notes += fitted_cautions(taken[-1].check, result, now=now)
    if result.answers_disagree or swings:
        notes.append(Note("answers_disagree", Message.of(f"caution.answers_disagree.{variant}"), end=name))
    if not swings and _changed(model, taken, result):
        what = "coil" if result.coil else variant
        notes.append(Note("something_changed", Message.of(f"caution.something_changed.{what}"), end=name))
    return tuple(notes)


def _sticky(check: SagCheck, result: EndSetup) -> tuple[Note, ...]:
    """Return the caution that readings lie far apart: within one row, or from above and from below."""
    above, below = check.readings_from_above_mm, check.readings_from_below_mm
    apart = max(max(row) - min(row) for row in (check.readings_mm, above, below) if row)
    if above and below:
        apart = max(apart, sum(below) / len(below) - sum(above) / len(above))
    if apart <= STICKY_SPREAD * result.travel_mm:
        return ()
    percent = whole(100 * apart / result.travel_mm)
    said = Message.of(f"caution.sticky.{VARIANT[check.end]}", apart=as_typed(apart), percent=percent)
    return (Note("sticky", said, end=check.end),)


def _swings(model: EndModel, taken: tuple[TakenCheck, ...], result: EndSetup) -> bool:
    """Return whether the two newest checks surprise in opposite ways: no change of the bike goes to and fro."""
    newest = result.newest_surprise
    if len(taken) <= 2 or abs(newest) <= SURPRISE:
        return False
    before = learned_of(model, taken[:-1]).surprise
    return abs(before) > SURPRISE and before * newest < 0


def _changed(model: EndModel, taken: tuple[TakenCheck, ...], result: EndSetup) -> bool:
    if len(taken) > 1 and abs(result.newest_surprise) > SURPRISE:
        return True
    return len(taken) >= 2 * TOGETHER and abs(_mean_surprise(model, taken)) > MEAN_SURPRISE


def _mean_surprise(model: EndModel, taken: tuple[TakenCheck, ...]) -> float:
    """Return the mean miss of the newest checks, of what those before led to expect [standard deviations]."""
    ready = likelihoods_of(model.name, taken)
    earlier = learn((*chart_likelihoods(model), *ready[:-TOGETHER]), model)
    return sum(expect(earlier, one).surprise for one in ready[-TOGETHER:]) / TOGETHER
