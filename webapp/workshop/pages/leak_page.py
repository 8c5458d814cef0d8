"""A leak check as sentences: the verdict, the loss with its uncertainty, and how long to wait for a better answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from setup_rules.types.units import PSI_PA
from setup_rules.workshop.leak_check import ALLOWED_A_DAY, LeakReadings, LeakResult
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l

VERDICTS: Final = {"tight": _l("It holds its air"), "leaks": _l("It leaks"), "cannot_tell": _l("Too early to say")}


@dataclass(frozen=True, slots=True)
class LeakPage:
    """The answer to a leak check, every string ready to show."""

    verdict: str
    heading: str
    what_to_do: str
    facts: tuple[tuple[str, str], ...]


def present_leak(readings: LeakReadings, result: LeakResult) -> LeakPage:
    """Return the answer that `result` gives to `readings`."""
    return LeakPage(
        verdict=result.verdict,
        heading=str(VERDICTS[result.verdict]),
        what_to_do=_what_to_do(readings, result),
        facts=(
            (_("Second reading, expected"), _both(result.expected_pa)),
            (_("Lost between the readings"), _format_signed(result.loss_pa)),
            (_("Lost in a day"), f"{_format_signed(result.loss_a_day_pa)} ± {_psi(result.uncertainty_a_day_pa)}"),
            (_("Counts as tight up to"), _("%(loss)s a day", loss=_format_signed(result.allowed_a_day_pa))),
        ),
    )


def how_sure() -> str:
    """Return what the uncertainty is made of and what the bound is."""
    return _(
        "The expected reading is the first one carried to the second temperature (Gay-Lussac's law, absolute "
        "pressures). ± covers 95 %%: the gauge's step at both readings, 1 °C in each temperature and a third of the "
        "hose's share, added in squares (JCGM 100). Up to %(percent)s %% of the pressure a day counts as tight: our "
        "estimate, the unit's manual comes first.",
        percent=f"{100 * ALLOWED_A_DAY:g}",
    )


def _what_to_do(readings: LeakReadings, result: LeakResult) -> str:
    if result.verdict == "tight":
        return _("Less is lost than would matter from one ride to the next. Nothing to do.")
    if result.verdict == "leaks":
        return _(
            "More is lost than the readings can be wrong by. Look at the valve core first. Before anything else is "
            "opened: release all air, cycle, release again, protect your eyes, and follow the unit's manual."
        )
    hours = max(result.hours_needed, 1.5 * readings.hours)
    return _(
        "With this gauge and this time between them, the readings can be wrong by more than a leak would show. Leave "
        "the spring alone and read again %(time)s after the first reading; a finer gauge needs less time.",
        time=duration(hours),
    )


def duration(hours: float) -> str:
    """Return a time in hours up to two days, in days beyond, rounded up to what one would plan by.

    Examples
    --------
    >>> duration(6.2), duration(70.0)
    ('7 hours', '3 days')
    """
    if hours <= 1:
        return _("1 hour")
    whole = int(-(-hours // 1))
    return _("%(n)d hours", n=whole) if hours <= 48 else _("%(n)d days", n=-(-whole // 24))


def _both(pressure_pa: float) -> str:
    return f"{_psi(pressure_pa)} ({numbers.bar(pressure_pa)} bar)"


def _psi(pressure_pa: float) -> str:
    return f"{numbers.number(pressure_pa / PSI_PA, 1)} psi".replace("-", "−")


def _format_signed(pressure_pa: float) -> str:
    return f"{_psi(pressure_pa)} ({numbers.bar(pressure_pa)} bar)".replace("-", "−")
