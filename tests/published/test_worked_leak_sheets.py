"""Five leak checks done on paper in psi, K and hours: what is expected, lost, taken by the hose, and what is said.

Source: Gay-Lussac's law; JCGM 100:2008 for the uncertainty: √ of the sum of squares, a/√12 for a gauge's step of a,
coverage factor 2 (remembered, not opened). What is allowed (1.5 % a day, 3 % a week), 1 K for a temperature and the
hose that nobody entered (evenly 0 to 12 %) are our estimates, typed here.

Confirmed: every number is worked in the comments, in psi with the air's 14.696 psi, where the code works in Pa; the
figures were added up apart from it.

Tolerance: the typed digits, 0.001 psi and 0.01 h; none for what is said.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest

from setup_rules.workshop.leak_check import LeakReadings, check_leak

PSI_PA = 6894.757293168


@dataclass(frozen=True, kw_only=True)
class LeakSheet:
    """Readings [psi, °C, h], and from the paper: expected and lost [psi], a day and its uncertainty [psi], the rest."""

    first: float
    second: float
    cold: tuple[float, float] = (20.0, 20.0)
    hours: float
    step: float = 1.0
    hose: dict[str, Any]
    expected: float
    loss: float
    a_day: float
    uncertain: float
    allowed: float
    hours_needed: float
    hose_took: float = 0.0
    verdict: str


LEFT_ON = {"reattached": False}
SHEETS = {
    # 21 °C to 9 °C: (84 + 14.696)·282.15/294.15 − 14.696 = 79.974. The hose of 4 % took 79·0.04 = 3.16; 79.974 − 82.16
    # = −2.186 in 30 h, −1.749 a day. Gauge 0.2887·√(0.9592² + 1.04²) = 0.4084, temperatures 94.670·√(1/294.15² +
    # 1/282.15²) = 0.4649, hose 0.3·3.16 = 0.948: 2·√(0.1668 + 0.2162 + 0.8987) = 2.2642, 1.811 a day. −1.749 + 1.811 is
    # below 1.26, 1.5 % of 84: tight. 24·1.5·2.2642/1.26 = 64.69 h.
    "colder, hose entered": LeakSheet(
        first=84, second=79, cold=(21, 9), hours=30, hose={"hose_share": 0.04}, expected=79.974, loss=-2.186,
        a_day=-1.749, uncertain=1.811, allowed=1.26, hours_needed=64.69, hose_took=3.16, verdict="tight",
    ),
    # A pump left on: 79.974 − 79 = 0.974 in 72 h, 0.325 a day. Gauge 0.2887·√(0.9592² + 1) = 0.4000, temperatures
    # 0.4649: 2·0.6133 = 1.2267, 0.409 a day. 0.325 + 0.409 is below 1.26: tight. 36·1.2267/1.26 = 35.05 h.
    "colder, left on": LeakSheet(
        first=84, second=79, cold=(21, 9), hours=72, hose=LEFT_ON, expected=79.974, loss=0.974,
        a_day=0.325, uncertain=0.409, allowed=1.26, hours_needed=35.05, verdict="tight",
    ),
    # 12 psi of 170 in 48 h, 6 a day. Gauge 0.2887·√2 = 0.4082, temperatures 184.696·√2/293.15 = 0.8910: 2·0.9801 =
    # 1.9602, 0.980 a day. 6 − 0.980 is above 2.55, 1.5 % of 170: leaks. 36·1.9602/2.55 = 27.67 h.
    "a shock that leaks": LeakSheet(
        first=170, second=158, hours=48, hose=LEFT_ON, expected=170, loss=12,
        a_day=6, uncertain=0.980, allowed=2.55, hours_needed=27.67, verdict="leaks",
    ),
    # 3.5 psi in a week, 0.5 a day, 3.5 a week. Gauge 0.1443·√2 = 0.2041, temperatures 98.696·√2/293.15 = 0.4761:
    # 2·0.5180 = 1.0361, 0.148 a day. 0.5 − 0.148 is not above 1.26, but above nothing, and 3.5 a week above 2.52, 3 %
    # of 84: slow.
    "a slow loss": LeakSheet(
        first=84, second=80.5, hours=168, step=0.5, hose=LEFT_ON, expected=84, loss=3.5,
        a_day=0.5, uncertain=0.148, allowed=1.26, hours_needed=29.60, verdict="slow",
    ),
    # After 4 h with the pump put on again and its hose not known: 0.06·81 = 4.86 taken, 84 − 85.86 = −1.86, −11.16 a
    # day. Gauge 0.2887·√(1 + 1.06²) = 0.4207, temperatures 0.4761, hose 81·0.12/√12 = 2.8059: 2·2.8770 = 5.7539, 34.523
    # a day. −11.16 + 34.523 is above 1.26: nobody can tell. 36·5.7541/1.26 = 164.40 h.
    "hose not known": LeakSheet(
        first=84, second=81, hours=4, hose={}, expected=84, loss=-1.86,
        a_day=-11.16, uncertain=34.523, allowed=1.26, hours_needed=164.40, hose_took=4.86, verdict="cannot_tell",
    ),
}  # fmt: skip


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_a_leak_check_says_what_the_sheet_says(sheet: LeakSheet) -> None:
    found = check_leak(
        LeakReadings(
            first_pa=sheet.first * PSI_PA,
            second_pa=sheet.second * PSI_PA,
            first_c=sheet.cold[0],
            second_c=sheet.cold[1],
            hours=sheet.hours,
            resolution_pa=sheet.step * PSI_PA,
            **sheet.hose,
        )
    )
    numbers = (
        *(found.expected_pa, found.loss_pa, found.loss_a_day_pa, found.uncertainty_a_day_pa),
        *(found.allowed_a_day_pa, found.hose_pa, found.loss_a_week_pa),
    )
    typed = (
        *(sheet.expected, sheet.loss, sheet.a_day, sheet.uncertain),
        *(sheet.allowed, sheet.hose_took),
    )
    assert tuple(pa / PSI_PA for pa in numbers[:-1]) == pytest.approx(typed, abs=1e-3)
    assert numbers[-1] / PSI_PA == pytest.approx(7 * sheet.a_day, abs=7e-3)
    assert found.hours_needed == pytest.approx(sheet.hours_needed, abs=0.01)
    assert (found.verdict, found.hose_assumed) == (sheet.verdict, not sheet.hose)


def test_a_hose_is_known_to_three_tenths_of_itself_and_an_unknown_one_as_an_even_spread() -> None:
    # 0.3·0.04 = 0.012 as entered; evenly 0 to 0.12: 0.06, and 0.12/√12 = 0.03464.
    hose = LeakReadings(first_pa=5e5, second_pa=5e5, hours=24, hose_share=0.04).hose()
    assert hose == pytest.approx((0.04, 0.012), abs=1e-9)
    assert LeakReadings(first_pa=5e5, second_pa=5e5, hours=24).hose() == pytest.approx((0.06, 0.03464), abs=5e-6)
