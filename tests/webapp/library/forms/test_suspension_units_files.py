"""Units as data, as files and inside a setup's request."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from setup_rules import RequestError
from webapp.ground.fields.uploaded_text import FileTextError, file_text
from webapp.library.forms.suspension_unit_csv import read_csv
from webapp.library.forms.suspension_unit_file import SuspensionUnitFileError
from webapp.library.forms.suspension_unit_toml import read_toml
from webapp.library.merging import assumed_fields, suspension_unit_problems, with_suspension_unit
from webapp.library.pages.suspension_unit_files import suspension_units_as_csv, suspension_units_as_toml
from webapp.library.parsing import read_suspension_unit, suspension_unit_data
from webapp.library.suspension_unit import SuspensionUnit

FORK = {
    "kind": "fork",
    "name": "Fen 34",
    "note": "=not a formula, though it looks like one",
    "stanchion_mm": 34,
    "travels_mm": [120, 140, 150],
    "travel_spacers_mm": [10, 20],
    "max_pressure_psi": 160,
    "bore_mm": 30.5,
    "positive_volume_cm3": 180,
    "rebound_clicks": 16,
    "rebound_points": [[3, 900], [13, 200]],
    "max_volume_spacers": 4,
    "charts": [{"travel_mm": 140, "rows": [[55, 60.125], [80, 88], [105, 119]], "sag_percent": 20, "weight": "rider"}],
}
PUSHED = {
    "kind": "fork",
    "name": "Fen 35",
    "stanchion_mm": 34,
    "travels_mm": [120, 140],
    "spring_test": {
        "pressure_psi": 80,
        "compression_mm": [20, 42.5, 70, 98],
        "force_down_n": [195, 345, 570, 890],
        "force_up_n": [150, 305.25, 530, 840],
        "tested_travel_mm": 140,
        "tested_spacers": 1,
        "altitude_m": 300,
    },
    "tested_on": "2026-05-31",
    "tested_by": "=Mk",
}
SHOCK = {"kind": "shock", "name": "Sedge 55", "travels_mm": [55], "negative_spring": "air"}


def problems_of(text: str) -> list[tuple[int, str]]:
    """Return (line, message) of everything that is wrong with a CSV file."""
    with pytest.raises(SuspensionUnitFileError) as refused:
        read_csv(text)
    return [(problem.line, problem.message) for problem in refused.value.problems]


@pytest.mark.parametrize("data", [FORK, SHOCK, PUSHED])
def test_a_suspension_unit_is_the_same_after_csv_and_after_toml(data: dict[str, object]) -> None:
    suspension_unit = read_suspension_unit(data)
    assert read_suspension_unit(suspension_unit_data(suspension_unit)) == suspension_unit
    assert read_csv(suspension_units_as_csv([suspension_unit]).removeprefix("\ufeff")).suspension_units == (
        suspension_unit,
    )
    assert read_toml(suspension_units_as_toml([suspension_unit])).suspension_units == (suspension_unit,)


def test_a_cell_that_a_table_program_would_run_is_guarded() -> None:
    row = suspension_units_as_csv([read_suspension_unit(FORK)]).splitlines()[1]
    assert "'=not a formula" in row
    assert ",=" not in row


@given(st.text(max_size=200))
def test_no_text_raises_anything_but_its_problems(text: str) -> None:
    for read in (read_csv, read_toml):
        try:
            assert read(text).suspension_units
        except SuspensionUnitFileError:
            continue


def test_every_bad_line_is_named_with_its_line() -> None:
    text = "kind,name,max_pressure_psi\nfork,A,160\nfork,B,99999\nbicycle,C,\nfork,a,150\n"
    found = problems_of(text)
    assert [line for line, _ in found] == [3, 4, 5]
    assert "99999" in found[0][1] or "outside" in found[0][1]
    assert "fork or shock" in found[1][1]
    assert "line 2" in found[2][1]


def test_a_chart_out_of_order_is_refused_with_its_row() -> None:
    with pytest.raises(RequestError, match="Row 2"):
        read_suspension_unit({**FORK, "charts": [{"travel_mm": 140, "rows": [[80, 88], [70, 90]]}]})


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_the_encodings_of_table_programs_are_read(encoding: str) -> None:
    assert file_text("kind,name\nfork,Möwe 34\n".encode(encoding)).splitlines()[1] == "fork,Möwe 34"


def test_a_picture_is_refused_as_no_text() -> None:
    with pytest.raises(FileTextError):
        file_text(b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00")


def test_what_was_typed_wins_over_the_suspension_unit() -> None:
    values = with_suspension_unit(read_suspension_unit(FORK), {"travel_mm": 140.0, "max_pressure_psi": 120.0})
    assert values["max_pressure_psi"] == 120.0
    assert values["stanchion_mm"] == 34
    assert values["longest_travel_mm"] == 150
    assert values["chart"] == ((55.0, 60.125), (80.0, 88.0), (105.0, 119.0))
    # The volume is known at 150 mm; at 140 mm the chamber lacks 10 mm of a 30.5 mm bore: 7.306 cm³, by hand.
    assert values["positive_volume_cm3"] == pytest.approx(180 - 7.3062, abs=1e-3)


def test_a_travel_beyond_the_suspension_units_is_refused() -> None:
    suspension_unit = read_suspension_unit(FORK)
    problems = suspension_unit_problems(suspension_unit, {"travel_mm": 170.0, "volume_spacers": 6})
    assert [p.field for p in problems] == ["travel_mm", "volume_spacers"]


def test_what_is_not_known_is_named_as_assumed() -> None:
    bare: SuspensionUnit = read_suspension_unit(SHOCK)
    assert "bore_mm" in assumed_fields(bare)
    assert "bore_mm" not in assumed_fields(read_suspension_unit(FORK))


def test_a_setup_that_chooses_a_pushed_fork_uses_its_own_spring_at_any_travel() -> None:
    suspension_unit = read_suspension_unit(PUSHED)
    for travel in (120, 140):
        test = with_suspension_unit(suspension_unit, {"travel_mm": travel})["spring_test"]
        assert (test["tested_travel_mm"], test["tested_spacers"], test["altitude_m"]) == (140, 1, 300)
    typed = {"travel_mm": 140, "spring_test": {"pressure_psi": 70}}
    assert with_suspension_unit(suspension_unit, typed)["spring_test"] == {"pressure_psi": 70}


def test_a_shock_was_pushed_at_the_stroke_that_it_is_fitted_with() -> None:
    test = {**PUSHED["spring_test"], "compression_mm": [10, 25, 40], "tested_travel_mm": 55}  # type: ignore[dict-item]
    test |= {"force_down_n": [470, 970, 1500], "force_up_n": [440, 925, 1450], "pressure_psi": 100, "tested_spacers": 0}
    suspension_unit = read_suspension_unit({**SHOCK, "travels_mm": [50, 55], "spring_test": test})
    assert "spring_test" in with_suspension_unit(suspension_unit, {"stroke_mm": 55})
    assert "spring_test" not in with_suspension_unit(suspension_unit, {"stroke_mm": 50})


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"tested_on": "31.5.2026"}, "tested_on"),
        ({"tested_on": 20260531}, "tested_on"),
        ({"tested_by": "x" * 61}, "tested_by"),
        ({"tested_by": 7}, "tested_by"),
        ({"spring_test": 7}, "spring_test"),
        ({"spring_test": {"at": "wheel"}}, "spring_test"),
        ({"spring_test": {"pressure_psi": 80}}, "spring_test.compression_mm"),
    ],
)
def test_pushes_of_the_library_that_cannot_be_are_refused(change: dict[str, object], field: str) -> None:
    with pytest.raises(RequestError) as refused:
        read_suspension_unit({**PUSHED, **change})
    assert field in {problem.field for problem in refused.value.problems}


@pytest.mark.parametrize(
    "cell", ["80 140", "80 140 0 20 0", "80 140 0 20 0: 20=195", "80 140 0 20 0: 20:195/1", "x: y"]
)
def test_a_cell_that_is_no_spring_test_is_named(cell: str) -> None:
    ((line, message),) = problems_of(f"kind,name,spring_test\nfork,Fen,{cell}\n")
    assert line == 2
    assert message.startswith("spring_test: ")
