"""A leak check as sentences: the verdict, the loss with its uncertainty, and how long to wait for a better answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from setup_rules.types.units import PSI_PA
from setup_rules.workshop.leak_check import ALLOWED_A_DAY, LeakReadings, LeakResult
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.workshop.waiting import duration

VERDICTS: Final = {
    "tight": _l("No leak"),
    "slow": _l("Slow loss"),
    "leaks": _l("Losing air"),
    "cannot_tell": _l("Too early to tell"),
}


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
            (_("Expected second reading"), _both(result.expected_pa)),
            *_hose_facts(result),
            (_("Pressure lost between the readings"), _format_signed(result.loss_pa)),
            (
                _("Pressure lost per day"),
                f"{_format_signed(result.loss_a_day_pa)} ± {_psi(result.uncertainty_a_day_pa)}",
            ),
            (_("Limit for “no leak”"), _("%(loss)s per day", loss=_format_signed(result.allowed_a_day_pa))),
        ),
    )


def _hose_facts(result: LeakResult) -> tuple[tuple[str, str], ...]:
    if not result.hose_assumed:
        return ()
    taken = _("about %(loss)s", loss=_psi(result.hose_pa))
    return ((_("Air that went into the pump hose (our estimate)"), taken),)


def how_sure() -> str:
    """Return what the uncertainty is made of and what the bound is."""
    return _(
        "The expected reading is the first reading at the second temperature (Gay-Lussac's law, absolute "
        "pressures). ± covers 95 %%: the gauge step of both readings, 1 °C in each temperature and a "
        "third of the hose correction, added in squares (JCGM 100). A loss of up to %(percent)s %% of "
        "the pressure per day counts as no leak. This limit is our estimate. Follow the manufacturer's "
        "manual.",
        percent=f"{100 * ALLOWED_A_DAY:g}",
    )


def _what_to_do(readings: LeakReadings, result: LeakResult) -> str:
    said = _verdict_words(readings, result)
    if result.verdict == "tight" or not result.hose_assumed:
        return said
    hose = _("The pump hose is only estimated. Enter the air volumes of hose and spring for a surer answer.")
    return f"{said} {hose}"


def _verdict_words(readings: LeakReadings, result: LeakResult) -> str:
    if result.verdict == "tight":
        return _("The loss is too small to matter between two rides. Nothing to do.")
    if result.verdict == "slow":
        return _(
            "Slow loss, about %(loss)s a week: top up weekly. If it gets faster, check the valve core first.",
            loss=_psi(result.loss_a_week_pa),
        )
    if result.verdict == "leaks":
        return _(
            "The loss is larger than the measurement error. Check the valve core first. Before you open "
            "anything else, release all air, cycle, release again, wear eye protection, and follow the "
            "manufacturer's manual."
        )
    hours = max(result.hours_needed, 1.5 * readings.hours)
    return _(
        "The measurement error is still larger than a leak would be. Do not add or release air. Measure "
        "again %(time)s after the first reading. A finer gauge needs less time.",
        time=duration(hours),
    )


def _both(pressure_pa: float) -> str:
    return f"{_psi(pressure_pa)} ({numbers.fine_bar(pressure_pa)} bar)"


def _psi(pressure_pa: float) -> str:
    return f"{numbers.number(pressure_pa / PSI_PA, 1)} psi".replace("-", "−")


def _format_signed(pressure_pa: float) -> str:
    return f"{_psi(pressure_pa)} ({numbers.fine_bar(pressure_pa)} bar)".replace("-", "−")
