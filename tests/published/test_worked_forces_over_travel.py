"""Force over the whole travel, rate in the sag, full compression and a volume spacer's work, chamber by chamber.

Source: Boyle's and the polytropic law, force balance on a piston, work as force times travel (any text), put together
in `on_paper` in N, mm and MPa; the springs are those of the worked sheets, with air and coil negatives, lower legs and
gas.

Confirmed: recomputed here, rates as differences and work in strips.

Tolerance: 0.3 N of the sheets' digits beside 0.1 % for the end of the travel, whose steep air multiplies them.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from setup_rules import EndSetup, read_request, recommend
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.likelihood import Learned
from setup_rules.inference.volume_spacer import spacer_effect
from tests.published import worked_classes, worked_forks, worked_forks_elsewhere, worked_shocks
from tests.published.on_paper import RIDING, force, pushed_through, stored
from tests.published.worked_forks import REBOUND_OF_TWO_KNOWN_POINTS as FORK
from tests.published.worked_sheet import Sheet
from tests.published.worked_shocks import LEVERAGE_FALLING as SHOCK

PSI_PA = 6894.757293168
SHEETS = {
    name.lower(): sheet
    for module in (worked_forks, worked_forks_elsewhere, worked_shocks, worked_classes)
    for name, sheet in vars(module).items()
    if isinstance(sheet, Sheet)
}


def answer_to(sheet: Sheet) -> EndSetup:
    """Return what the product answers for the one end that a worked request has."""
    (end,) = recommend(read_request(sheet.body)).ends()
    return end


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
@pytest.mark.usefixtures("central_values")
def test_the_drawn_curve_is_the_springs_and_the_loads(sheet: Sheet) -> None:
    found = answer_to(sheet)
    assert len(found.curve.compression_mm) == len(found.curve.force_n) == len(found.curve.load_n)
    assert (found.curve.compression_mm[0], found.curve.compression_mm[-1]) == (0.0, sheet.chambers.travel)
    for x, newtons, load in zip(found.curve.compression_mm, found.curve.force_n, found.curve.load_n, strict=True):
        on_paper = force(sheet.chambers, sheet.places, sheet.answer.psi, x)
        assert newtons == pytest.approx(on_paper, rel=1e-3, abs=0.3)
        assert load == pytest.approx(sheet.along(sheet.answer.mass) * sheet.leverage(x), abs=0.1)


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
@pytest.mark.usefixtures("central_values")
def test_full_compression_on_the_ride_is_polytropic_and_the_rate_in_the_sag_settled(sheet: Sheet) -> None:
    found, x, step = answer_to(sheet), sheet.answer.rest + sheet.answer.sag, 1e-3
    psi, travel = sheet.answer.psi, sheet.chambers.travel
    full = pushed_through(sheet.chambers, sheet.places, psi, travel, RIDING)
    assert found.full_force_n == pytest.approx(full, rel=1e-3)
    slow = [force(sheet.chambers, sheet.places, psi, x + side * step) for side in (-1, 1)]
    assert found.rate_n_per_m == pytest.approx((slow[1] - slow[0]) / (2 * step) * 1000, rel=1e-3)


@pytest.mark.parametrize(("sheet", "count", "cm3"), [(FORK, 2, 8.0), (SHOCK, 1, 6.0)], ids=["fork", "shock"])
@pytest.mark.usefixtures("central_values")
def test_volume_spacers_keep_the_sag_and_add_the_work_of_the_strips(sheet: Sheet, count: int, cm3: float) -> None:
    # Spacers of 8 and 6 cm³ where nobody entered them: our estimate.
    request = read_request(sheet.body)
    ((name, end),) = request.ends()
    effect = spacer_effect(EndModel(name, end, request), Learned.nothing().posterior, count, sheet.answer.sag / 1000)
    before, after = effect.pressure_before_pa / PSI_PA, effect.pressure_after_pa / PSI_PA
    assert before == pytest.approx(sheet.answer.psi, abs=0.02)
    tight = replace(sheet.chambers, volume=sheet.chambers.volume - count * cm3 * 1000)
    # The same sag with the spacers in: both loads are held again, resting places found by halving.
    bare = sheet.along(sheet.bike_share * sheet.body["bike_mass_kg"] - sheet.unsprung)
    low, high = 0.0, tight.travel
    for _ in range(60):
        rest = 0.5 * (low + high)
        low, high = (
            (rest, high) if force(tight, sheet.places, after, rest) < bare * sheet.leverage(rest) else (low, rest)
        )
    x = rest + sheet.answer.sag
    assert force(tight, sheet.places, after, x) == pytest.approx(
        sheet.along(sheet.answer.mass) * sheet.leverage(x), abs=0.3
    )
    assert after < before
    work = [stored(s, sheet.places, psi, RIDING) for s, psi in ((sheet.chambers, before), (tight, after))]
    full = [
        pushed_through(s, sheet.places, psi, s.travel, RIDING) for s, psi in ((sheet.chambers, before), (tight, after))
    ]
    assert effect.work_factor == pytest.approx(work[1] / work[0], rel=1e-4)
    assert effect.full_force_factor == pytest.approx(full[1] / full[0], rel=1e-4)
