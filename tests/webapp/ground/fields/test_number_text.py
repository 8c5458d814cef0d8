"""The text of one number: what is read, what is refused and why, and that no text hangs it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.ground.fields.number_text import MAX_LENGTH, Fault, NumberText, NumberTextError, read_number

TYPED = st.one_of(
    st.text(max_size=60),
    st.text(alphabet="0123456789.,+-−eE ' \"°kgnaif*_", max_size=60),
    st.text(min_size=200, max_size=2000),
)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("82", 82.0, ""),
        (" 82.5 ", 82.5, ""),
        ("82,5", 82.5, ""),
        ("180 lb", 180.0, "lb"),
        ("180lb", 180.0, "lb"),
        ("12,5 st", 12.5, "st"),
        ("5' ", 5.0, "'"),
        ("−10 °C", -10.0, "°C"),
        ("-10", -10.0, ""),
        ("+3", 3.0, ""),
        (".5", 0.5, ""),
        ("5.", 5.0, ""),
        ("0,125", 0.125, ""),
        ("12\u00a0kg", 12.0, "kg"),
        ("30 cm³", 30.0, "cm³"),
        ("3 in3", 3.0, "in3"),
        ("4 N/mm", 4.0, "N/mm"),
    ],
)
def test_a_number_is_read_with_comma_or_point_and_with_its_unit(text: str, value: float, unit: str) -> None:
    assert read_number(text) == NumberText(value, unit)


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("1,234", Fault.THOUSANDS),
        ("12,345 kg", Fault.THOUSANDS),
        ("nan", Fault.NOT_A_NUMBER),
        ("inf", Fault.NOT_A_NUMBER),
        ("-Infinity", Fault.NOT_A_NUMBER),
        ("sNaN", Fault.NOT_A_NUMBER),
        ("1e400", Fault.EXPONENT),
        ("8E1", Fault.EXPONENT),
        ("9**9", Fault.NOT_A_NUMBER),
        ("9**9**9 kg", Fault.NOT_A_NUMBER),
        ("1_000", Fault.NOT_A_NUMBER),
        ("1 234", Fault.NOT_A_NUMBER),
        ("1.2.3", Fault.NOT_A_NUMBER),
        ("1,2,3", Fault.NOT_A_NUMBER),
        ("--5", Fault.NOT_A_NUMBER),
        ("80-85", Fault.NOT_A_NUMBER),
        (".", Fault.NOT_A_NUMBER),
        ("kg", Fault.NOT_A_NUMBER),
        ("٨٢", Fault.OTHER_DIGITS),
        ("८२", Fault.OTHER_DIGITS),
        ("\uff18\uff12", Fault.OTHER_DIGITS),
        ("8\x002", Fault.INVISIBLE),
        ("8\u200b2", Fault.INVISIBLE),
        ("8" * (MAX_LENGTH + 1), Fault.TOO_LONG),
        ("x" * 10_240, Fault.TOO_LONG),
        (" " * 10_240 + "8", Fault.TOO_LONG),
    ],
)
def test_what_is_not_one_plain_number_is_refused_with_its_reason(text: str, fault: Fault) -> None:
    with pytest.raises(NumberTextError) as caught:
        read_number(text)
    assert caught.value.fault is fault


def test_a_point_before_three_digits_is_marked_as_perhaps_meaning_thousands() -> None:
    assert read_number("1.400 m").may_be_thousands
    assert not read_number("1.40 m").may_be_thousands
    assert not read_number("0.400 m").may_be_thousands


def test_minus_zero_is_zero() -> None:
    assert str(read_number("-0").value) == "0.0"


@given(TYPED)
def test_no_text_makes_it_raise_anything_but_its_own_error(text: str) -> None:
    try:
        found = read_number(text)
    except NumberTextError:
        return
    assert abs(found.value) < 1e13
    assert len(found.unit) <= MAX_LENGTH


@given(st.integers(-99999, 99999), st.sampled_from(".,"), st.integers(0, 99))
def test_every_plain_number_is_read_back_as_written(whole: int, mark: str, part: int) -> None:
    assert read_number(f"{whole}{mark}{part:02d}").value == float(f"{whole}.{part:02d}")
