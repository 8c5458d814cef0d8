"""A chart beside what is usual for its row, by so little that only the way of it shows."""

from __future__ import annotations

import pytest

from setup_rules.advice.cautions import chart_cautions
from setup_rules.inference.start_setting import Banded
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_end_reasons import said


@pytest.mark.parametrize(("psi", "way", "percent"), [(100.6, "higher", 1), (100.4, "higher", 0), (99.6, "lower", 0)])
@pytest.mark.parametrize(("name", "variant"), [("front", "fork"), ("rear", "shock")])
def test_less_than_a_per_cent_is_higher_or_lower_all_the_same(
    psi: float, way: str, percent: int, name: str, variant: str
) -> None:
    # Narrow as the band around 100 psi may be once scale and pushes have shown the bike.
    (note,) = chart_cautions(name, psi * PSI_PA, Banded(99.7 * PSI_PA, 100 * PSI_PA, 100.3 * PSI_PA))  # type: ignore[arg-type]
    key, values = said(note)
    assert key == f"caution.chart_{way}.{variant}"
    assert values == {"psi": round(psi), "percent": percent, "low": 100, "high": 100}
    assert (note.code, note.end) == ("chart_differs", name)
