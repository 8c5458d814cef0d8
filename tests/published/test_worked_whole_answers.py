"""Whole answers against answers worked on paper: from rider and bike to pressure, sag and clicks, 21 times.

Source: statics, gas law, virtual work and the damped oscillator, as written out in `on_paper` in other units than the
product's; the sheets with every step stand in `worked_forks`, `worked_forks_elsewhere`, `worked_shocks` and, with our
estimates for all internals, `worked_classes`.

Confirmed: each sheet is added up again from its typed numbers, without the product.

Tolerance: with every unknown at its central value 0.02 psi, 0.005 mm and no click, the typed digits. Of the whole
product the page's rounding: 0.25 mm, no click, 0.5 psi and for a fork 0.7: it answers with the median of what stays
unknown, every unknown evenly about its centre, but the push of the lower legs' air grows faster with a smaller chamber
than it falls with a larger one, which moves the median of a fork's pressure down by 0.1 to 0.6 psi. Where all internals
are drawn the same holds of bore and chambers: 2.5 % for a fork, 5 % for a shock, whose bore alone is ±11 %.
"""

from __future__ import annotations

import pytest

from setup_rules import EndSetup, read_request, recommend
from tests.published import worked_classes, worked_forks, worked_forks_elsewhere, worked_shocks
from tests.published.worked_sheet import Sheet, prove_sheet

PSI_PA = 6894.757293168
SHEETS = {
    name.lower(): sheet
    for module in (worked_forks, worked_forks_elsewhere, worked_shocks, worked_classes)
    for name, sheet in vars(module).items()
    if isinstance(sheet, Sheet)
}
EACH = pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)


def answer_to(sheet: Sheet) -> EndSetup:
    """Return what the product answers for the one end that a worked request has."""
    (end,) = recommend(read_request(sheet.body)).ends()
    return end


def median_may_miss(sheet: Sheet) -> float:
    """Return how far [psi] the median of all draws may lie from the central answer; the reasons stand above."""
    if "bore_mm" in sheet.body[sheet.end]:
        return 0.5 if sheet.lever else 0.7
    return (0.05 if sheet.lever else 0.025) * sheet.answer.psi


def test_every_sheet_is_found() -> None:
    assert len(SHEETS) == 21


@EACH
def test_the_sheet_adds_up_on_paper(sheet: Sheet) -> None:
    prove_sheet(sheet)


@EACH
@pytest.mark.usefixtures("central_values")
def test_with_central_values_the_answer_is_the_sheets(sheet: Sheet) -> None:
    found = answer_to(sheet)
    assert found.pressure_pa / PSI_PA == pytest.approx(sheet.answer.psi, abs=0.02)
    assert found.rest_mm == pytest.approx(sheet.answer.rest, abs=0.005)
    assert found.sag_target_mm == pytest.approx(sheet.answer.sag, abs=1e-3)
    assert found.sag_expected_mm == pytest.approx(sheet.answer.sag, abs=0.005)
    assert found.wheel_sag_mm == pytest.approx(sheet.wheel_sag, abs=0.01)
    deep = sheet.answer.rest + sheet.answer.sag
    assert found.load_n == pytest.approx(sheet.along(sheet.answer.mass) * sheet.leverage(deep), abs=0.1)
    assert found.rebound is not None
    assert found.rebound.damping_n_s_per_m == pytest.approx(sheet.answer.damping, rel=1e-3)
    assert (found.rebound.out, found.rebound.total, found.rebound.clamped) == (sheet.clicks, sheet.total, sheet.clamped)
    assert (found.compression and found.compression.out) == sheet.compression


@EACH
def test_the_answer_of_the_whole_product_reads_as_the_sheets(sheet: Sheet) -> None:
    found = answer_to(sheet)
    assert found.pressure_pa / PSI_PA == pytest.approx(sheet.answer.psi, abs=median_may_miss(sheet))
    assert found.sag_expected_mm == pytest.approx(sheet.answer.sag, abs=0.25)
    assert found.rest_mm == pytest.approx(sheet.answer.rest, abs=0.25)
    assert found.rebound is not None
    assert (found.rebound.out, found.rebound.total) == (sheet.clicks, sheet.total)
    assert (found.compression and found.compression.out) == sheet.compression
    assert not found.limited
