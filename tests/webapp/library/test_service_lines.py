"""What a manual says for a service: lines that can be read, and how they travel through both kinds of file."""

from __future__ import annotations

import pytest

from setup_rules import RequestError
from webapp.library.forms.suspension_unit_csv import read_csv
from webapp.library.forms.suspension_unit_toml import read_toml
from webapp.library.pages.suspension_unit_files import suspension_units_as_csv, suspension_units_as_toml
from webapp.library.parsing import read_suspension_unit
from webapp.library.service_lines import UnitInterval, UnitOil, UnitTorque, read_interval, read_oil, read_torque

LINES = {
    "torques": ["top cap 25-30 nm", "foot nuts 55 to 71 lbfin"],
    "oils": ["left 10 fork oil", "air 2.5 grease"],
    "intervals": ["lower_legs 50 h", "full 200 h 12 months"],
}


def test_lines_are_read_as_they_are_meant() -> None:
    assert read_torque("top cap 25-30 nm") == UnitTorque("top cap", 25, 30, "nm")
    assert read_torque("foot nuts: 55 to 71 lbf·in") == UnitTorque("foot nuts", 55, 71, "lbfin")
    assert read_oil("air 2.5 slick grease") == UnitOil("air", 2.5, "slick grease")
    assert read_interval("full 200 h 12 months") == UnitInterval("full", 200, 12)
    assert read_interval("damper 12 months") == UnitInterval("damper", 0, 12)


@pytest.mark.parametrize(
    ("key", "line"),
    [
        ("torques", "top cap"),
        ("torques", "top cap 30-25 nm"),
        ("torques", "top cap 25-30 psi"),
        ("oils", "somewhere 3 oil"),
        ("oils", "left oil"),
        ("oils", "left 4000 oil"),
        ("intervals", "wash 50 h"),
        ("intervals", "full"),
        ("intervals", "full 12 years"),
        ("intervals", "full 900 months"),
    ],
)
def test_a_line_that_cannot_be_read_is_refused(key: str, line: str) -> None:
    with pytest.raises(RequestError):
        read_suspension_unit({"kind": "fork", "name": "Fen 34", key: [line]})


def test_the_lines_come_back_from_both_kinds_of_file() -> None:
    unit = read_suspension_unit({"kind": "fork", "name": "Fen 34", "travels_mm": [120, 140], **LINES})
    assert read_csv(suspension_units_as_csv([unit]).lstrip("\ufeff")).suspension_units == (unit,)
    assert read_toml(suspension_units_as_toml([unit])).suspension_units == (unit,)
