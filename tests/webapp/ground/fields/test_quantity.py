"""The number field: units, limits in the unit that was typed, and one clear sentence for each refusal."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict
from wtforms import Form

from setup_rules.types.limits import LIMITS
from setup_rules.types.units import convert
from webapp.ground.fields.quantity import CHOSEN_UNITS, QuantityField, limit_unit

TYPED = st.one_of(
    st.text(max_size=60),
    st.text(alphabet="0123456789.,+-−eE ' \"°kgbarmftin*_", max_size=12),
    st.text(min_size=200, max_size=2000),
)


class Sheet(Form):
    """One field of each sort."""

    rider = QuantityField("rider_mass_kg", "Rider weight", required=True)
    maximum = QuantityField("max_pressure_psi", "Maximum pressure")
    altitude = QuantityField("altitude_m", "Altitude")
    air = QuantityField("temperature_c", "Air temperature")
    clicks = QuantityField("rebound_clicks", "Rebound clicks")
    leverage = QuantityField("leverage_start", "Leverage")
    angle = QuantityField("head_angle_deg", "Head angle")
    volume = QuantityField("positive_volume_cm3", "Chamber volume")


def read(name: str, text: str, unit_key: str | None = None) -> tuple[object, str]:
    """Return (value, first sentence) of the field `name` for `text`."""
    form = Sheet(MultiDict({"rider": "80", name: text}))
    if unit_key:
        form[name].unit_key = unit_key
    form.validate()
    return form[name].data, (form[name].errors or [""])[0]


@pytest.mark.parametrize(
    ("name", "text", "expected"),
    [
        ("rider", "82", 82.0),
        ("rider", "180 lb", 81.6466266),  # 180 × 0.45359237, exact by definition of the pound
        ("rider", "12,5 st", 79.3786648),  # 12.5 × 6.35029318, exact by definition of the stone
        ("maximum", "10 bar", 145.0377377),  # 10⁶ Pa / 6894.757293168, NIST SP 811
        ("maximum", "1000 kPa", 145.0377377),
        ("altitude", "5000 ft", 1524.0),
        ("altitude", "300'", 91.44),
        ("air", "68 F", 20.0),
        ("air", "−10 °C", -10.0),
        ("angle", "65,5°", 65.5),
        ("volume", "10 in³", 163.87064),
        ("leverage", "2.875", 2.875),
    ],
)
def test_a_typed_unit_is_converted_to_the_unit_of_the_rules(name: str, text: str, expected: float) -> None:
    value, sentence = read(name, text)
    assert sentence == ""
    assert value == pytest.approx(expected, rel=1e-9)


def test_a_typed_unit_wins_over_the_chosen_one() -> None:
    assert read("rider", "180", "lb")[0] == pytest.approx(81.6466266)
    assert read("rider", "80 kg", "lb")[0] == 80.0


def test_a_value_in_the_rules_own_unit_is_not_changed_at_all() -> None:
    assert read("maximum", "84.1")[0] == 84.1


def test_clicks_become_whole_numbers() -> None:
    value, _sentence = read("clicks", "16")
    assert value == 16
    assert isinstance(value, int)


@pytest.mark.parametrize(
    ("name", "text", "sentence"),
    [
        (
            "rider",
            "500 lb",
            "Rider weight: 500 lb is outside 44.1 to 352 lb. Forks are made for riders in this range. "
            "Check the number and its unit.",
        ),
        (
            "rider",
            "19",
            "Rider weight: 19 kg is outside 20 to 160 kg. Forks are made for riders in this range. "
            "Check the number and its unit.",
        ),
        ("rider", "  ", "Rider weight is required. Enter a number."),
        ("rider", "1,234", "Rider weight: “1,234” can mean two numbers. Write 1234 or 1.23."),
        ("altitude", "1.400 m", "Altitude: “1.400 m” can mean two numbers. Write 1400 or 1.40."),
        ("rider", "nan", "Rider weight: “nan” is not a number. Write it like 82 or 82.5."),
        ("rider", "1e400", "Rider weight: “1e400” is not a plain number. Write it like 82 or 82.5."),
        ("rider", "٨٢", "Rider weight: “٨٢” cannot be used here. Use the digits 0 to 9, like 82 or 82.5."),
        (
            "rider",
            "80 psi",
            "Rider weight: “psi” is the wrong unit. Use kg, lb or st, or enter only the number.",
        ),
        ("clicks", "16 kg", "Rebound clicks: “kg” cannot be used here. Enter only the number."),
        ("clicks", "12.5", "Rebound clicks: 12.5 is not a whole number. Enter a whole number."),
        (
            "rider",
            "8" * 10_240,
            "Rider weight: 10240 characters are too many for a number. Write it like 82 or 82.5.",
        ),
        (
            "rider",
            "8\x00",
            "Rider weight contains an invisible character. Clear the field and type the number again.",
        ),
    ],
)
def test_every_refusal_is_one_sentence_that_says_what_to_do(name: str, text: str, sentence: str) -> None:
    value, found = read(name, text)
    assert value is None
    assert found == sentence


def test_what_was_typed_is_kept_beside_its_error() -> None:
    form = Sheet(MultiDict({"rider": " 9**9 "}))
    assert not form.validate()
    assert form.rider.text == " 9**9 "


def test_an_empty_field_that_is_not_needed_is_no_value_and_no_error() -> None:
    assert read("altitude", "") == (None, "")


@pytest.mark.parametrize("name", sorted(LIMITS))
def test_the_bounds_shown_in_any_unit_are_accepted_as_typed(name: str) -> None:
    limit = LIMITS[name]

    class One(Form):
        it = QuantityField(name, "It")

    for key in CHOSEN_UNITS.get(limit.kind, (limit_unit(limit),)):
        refused = One(MultiDict({"it": "99999999"}))
        refused.it.unit_key = key
        assert not refused.validate()
        low, high = refused.it.errors[0].split(" outside ")[1].split(" to ", 1)
        for bound in (low, high.split()[0].rstrip(".")):
            form = One(MultiDict({"it": bound}))
            form.it.unit_key = key
            form.validate()
            if form.it.answers:  # asked about: its own unit is one of the answers
                form = One(MultiDict({"it": f"{bound} {key}"}))
                form.validate()
            assert not form.errors, (key, bound)


@given(st.sampled_from(["rider", "maximum", "altitude", "air", "clicks", "leverage", "angle", "volume"]), TYPED)
def test_no_text_makes_the_field_raise_or_hang(name: str, text: str) -> None:
    value, sentence = read(name, text)
    if sentence:
        assert value is None
    elif text.strip():
        limit = Sheet()[name].limit
        assert isinstance(value, int | float)
        assert limit.holds(value)


@given(
    st.sampled_from([(kind, a, b) for kind, keys in CHOSEN_UNITS.items() for a in keys for b in keys]),
    st.floats(-500, 5000),
)
def test_units_go_there_and_back_unchanged(kinds: tuple[str, str, str], value: float) -> None:
    kind, a, b = kinds
    assert convert(kind, convert(kind, value, a, b), b, a) == pytest.approx(value, rel=1e-12, abs=1e-9)


class LengthSheet(Form):
    """Lengths and a pressure of somebody who chose inches and bar."""

    travel = QuantityField("travel_mm", "Fork travel")
    maximum = QuantityField("max_pressure_psi", "Maximum pressure")


@pytest.mark.parametrize(
    ("name", "key", "text", "answers"),
    [
        ("travel", "in", "150", ["150 mm"]),
        ("travel", "mm", "5.9", ["5.9 in"]),
        ("travel", "in", "150 in", []),  # a unit that was typed was meant
        ("travel", "in", "0.1", []),  # no fork in any unit
        ("maximum", "bar", "150", ["150 psi"]),
    ],
)
def test_a_bare_number_that_fits_another_unit_alone_is_asked_about(
    name: str, key: str, text: str, answers: list[str]
) -> None:
    form = LengthSheet(MultiDict({name: text}))
    form[name].unit_key = key
    assert not form.validate()
    assert form[name].answers == answers
    assert ("did you mean" in form[name].errors[0]) == bool(answers)
    assert form[name].text == text


@pytest.mark.parametrize(("text", "millimetres"), [("5 7/8 in", 149.225), ("5⅞", 149.225), ('6"', 152.4)])
def test_inches_are_read_as_a_tape_has_them(text: str, millimetres: float) -> None:
    form = LengthSheet(MultiDict({"travel": text}))
    form.travel.unit_key = "in"
    assert form.validate()
    assert form.travel.data == pytest.approx(millimetres)  # 25.4 mm an inch, exact by definition
