"""What stands on a bike is kept to a tenth and shown whole: as the page showed it that was confirmed."""

from __future__ import annotations

import pytest

from setup_rules.messages import rounding
from setup_rules.types.units import PSI_PA
from webapp.demo_day.changes import _as_shown_psi


@pytest.mark.parametrize(("exact", "kept"), [(73.46, 73.4), (73.44, 73.4), (73.5, 73.5), (73.56, 73.6), (73.0, 73.0)])
def test_a_kept_pressure_reads_as_the_page_did(exact: float, kept: float) -> None:
    assert _as_shown_psi(exact * PSI_PA) == pytest.approx(kept)


def test_no_pressure_reads_otherwise_than_its_page() -> None:
    for step in range(2_000, 30_000):
        exact = step / 100
        assert rounding.gauge_psi(_as_shown_psi(exact * PSI_PA)) == rounding.gauge_psi(exact)
