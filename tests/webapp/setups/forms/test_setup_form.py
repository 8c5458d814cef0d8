"""The whole form: what it asks the rules, and that every problem is shown at once beside its field."""

from __future__ import annotations

import dataclasses

import pytest
from flask import Flask

from setup_rules import SetupRequest, read_request, request_data
from setup_rules.types.constants import ASSUMED_CLICKS
from setup_rules.types.request import FrontEnd
from webapp.ground.text.numbers import number
from webapp.setups.forms.leverage import ASSUMED_FALL
from webapp.setups.forms.setup_form import SetupForm

FORK = {"rider_mass_kg": "82", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "140"}
SHOCK = {"rear.wanted": "y", "rear.stroke_mm": "55", "rear.wheel_travel_mm": "145"}


def fill(app: Flask, data: dict[str, str]) -> tuple[SetupForm, SetupRequest | None]:
    """Return the form sent with `data` and what it read."""
    with app.test_request_context("/", method="POST", data=data):
        form = SetupForm()
        return form, form.read()


def sentences(form: SetupForm) -> dict[str, str]:
    """Return what is wrong by field."""
    return dict(form.problems())


def test_the_shortest_form_asks_with_the_rules_own_defaults(app: Flask) -> None:
    _form, request = fill(app, FORK)
    assert request == read_request({"rider_mass_kg": 82, "riding_style": "trail", "front": {"travel_mm": 140}})


def test_every_field_of_the_form_reaches_the_request(app: Flask) -> None:
    data = {
        "rider_mass_kg": "180 lb",
        "kit_mass_kg": "5",
        "bike_mass_kg": "15,5",
        "riding_style": "enduro",
        "stance": "seated",
        "rider_front_share_percent": "38",
        "bench.temperature_c": "18",
        "bench.altitude_m": "300",
        "ride.temperature_c": "41 °F",
        "front.wanted": "y",
        "front.travel_mm": "150",
        "front.longest_travel_mm": "160",
        "front.stanchion_mm": "36",
        "front.head_angle_deg": "64.5",
        "front.negative_spring": "coil",
        "front.sag_target_percent": "22",
        "front.rebound_clicks": "18",
        "front.compression_clicks": "12",
        "front.max_pressure_psi": "10 bar",
        "front.min_pressure_psi": "30",
        "front.volume_spacers": "2",
        "front.volume_spacer_cm3": "7",
        "front.bore_mm": "33",
        "front.rod_mm": "10",
        "front.positive_volume_cm3": "220",
        "front.negative_rate_n_per_mm": "3",
        "front.negative_length_mm": "25",
        "rear.wanted": "y",
        "rear.stroke_mm": "60",
        "rear.leverage_start": "2.9",
        "rear.leverage_end": "2.4",
        "rear.negative_volume_cm3": "20",
        "rear.port_position_mm": "3",
    }
    form, request = fill(app, data)
    assert sentences(form) == {}
    assert request is not None
    sent = request_data(request)
    assert sent["rider_mass_kg"] == pytest.approx(81.6466266)
    assert (sent["kit_mass_kg"], sent["bike_mass_kg"], sent["stance"]) == (5.0, 15.5, "seated")
    assert sent["rider_front_share_percent"] == 38.0
    assert sent["bench"] == {"temperature_c": 18.0, "altitude_m": 300.0}
    assert sent["ride"] == {"temperature_c": pytest.approx(5.0), "altitude_m": 300.0}
    assert sent["front"]["max_pressure_psi"] == pytest.approx(145.0377377)
    asked_front = {name.partition(".")[2] for name in data if name.startswith("front.")} - {"wanted"}
    assert asked_front <= set(sent["front"])
    asked_rear = {name.partition(".")[2] for name in data if name.startswith("rear.")} - {"wanted"}
    assert asked_rear <= set(sent["rear"])


#: What nobody types on the front page: corrections add the offsets, a workshop's chart comes from its library.
NOT_ASKED = (
    "second_",
    "memory",
    "unit_memory",
    "shop_checks",
    "datum",
    "rebound_offset",
    "rebound_points",
    "compression_offset",
    "chart",
    "weighed",
    "luggage",
)


def test_every_input_of_the_rules_has_a_field_or_is_known_to_have_none(app: Flask) -> None:
    with app.test_request_context("/"):
        names = {field.name for field in SetupForm().inputs()}
    for part, kind in (("front", FrontEnd), ("", SetupRequest)):
        for spec in dataclasses.fields(kind):
            name = f"{part}.{spec.name}" if part else spec.name
            nested = any(n.startswith(f"{name}.") for n in names)
            assert name in names or nested or spec.name.startswith(NOT_ASKED), name


def test_an_end_counts_only_when_its_box_is_ticked(app: Flask) -> None:
    without = {k: v for k, v in FORK.items() if k != "front.wanted"} | SHOCK
    form, request = fill(app, without | {"front.travel_mm": "nonsense"})
    assert sentences(form) == {}
    assert request is not None
    assert request.front is None
    assert request.rear is not None


def test_ticking_neither_end_is_refused_at_the_box(app: Flask) -> None:
    form, request = fill(app, {"rider_mass_kg": "82", "riding_style": "trail"})
    assert request is None
    assert sentences(form) == {"front.wanted": "Choose fork, shock or both."}


def test_every_problem_is_shown_at_once_and_in_the_order_of_the_page(app: Flask) -> None:
    bad = {
        "rider_mass_kg": "heavy",
        "front.wanted": "y",
        "front.travel_mm": "500",
        "front.rebound_clicks": "12.5",
        "rear.wanted": "y",
        "rear.rebound_clicks": "12.5",
        "bench.altitude_m": "12 km",
        "bike_label": "x" * 61,
    }
    form, request = fill(app, bad)
    assert request is None
    assert [where for where, _sentence in form.problems()] == [
        "rider_mass_kg",
        "riding_style",
        "front.rebound_clicks",
        "front.travel_mm",
        "rear.rebound_clicks",
        "rear.stroke_mm",
        "rear.wheel_travel_mm",
        "bench.altitude_m",
        "bike_label",
    ]


def test_a_sentence_says_which_end_it_means_where_both_have_the_field(app: Flask) -> None:
    form, _request = fill(app, FORK | SHOCK | {"front.rebound_clicks": "x", "rear.rebound_clicks": "x"})
    found = sentences(form)
    assert found["front.rebound_clicks"].startswith("Total rebound clicks (fork):")
    assert found["rear.rebound_clicks"].startswith("Total rebound clicks (shock):")


def test_what_the_rules_refuse_stands_beside_its_field(app: Flask) -> None:
    form, request = fill(app, FORK | {"front.longest_travel_mm": "120"})
    assert request is None
    assert list(sentences(form)) == ["front.longest_travel_mm"]


def test_chosen_units_count_for_numbers_without_one(app: Flask) -> None:
    data = FORK | {"units.mass": "lb", "rider_mass_kg": "180", "bike_mass_kg": "14 kg"}
    _form, request = fill(app, data)
    assert request is not None
    assert request.rider_mass_kg == pytest.approx(81.6466266)
    assert request.bike_mass_kg == 14.0


def test_an_unknown_unit_choice_is_refused(app: Flask) -> None:
    form, request = fill(app, FORK | {"units.mass": "ton"})
    assert request is None
    assert sentences(form) == {"units.mass": "Weight: choose one."}


def test_wheel_travel_stands_in_for_the_leverage(app: Flask) -> None:
    _form, request = fill(app, FORK | SHOCK)
    assert request is not None
    assert request.rear is not None
    start, end = request.rear.leverage_start, request.rear.leverage_end
    assert start is not None
    assert end is not None
    assert (start + end) / 2 == pytest.approx(145 / 55, abs=1e-4)
    assert end / start == pytest.approx(1 - ASSUMED_FALL, abs=1e-4)


def test_one_half_of_a_leverage_asks_for_the_other(app: Flask) -> None:
    data = FORK | {"rear.wanted": "y", "rear.stroke_mm": "55", "rear.leverage_start": "2.9"}
    form, _request = fill(app, data)
    assert list(sentences(form)) == ["rear.leverage_end"]


def test_leverage_and_wheel_travel_that_disagree_are_questioned(app: Flask) -> None:
    data = FORK | SHOCK | {"rear.leverage_start": "2.9", "rear.leverage_end": "2.4", "rear.stroke_mm": "75"}
    form, request = fill(app, data)
    assert request is None
    assert "does not match the leverage ratio and stroke, which give 199 mm" in sentences(form)["rear.wheel_travel_mm"]


def test_a_wheel_travel_beyond_any_leverage_is_refused_and_not_clamped(app: Flask) -> None:
    data = FORK | {"rear.wanted": "y", "rear.stroke_mm": "30", "rear.wheel_travel_mm": "250"}
    form, request = fill(app, data)
    assert request is None
    assert "8.33" in sentences(form)["rear.wheel_travel_mm"]


def test_the_defaults_that_hints_promise_are_those_of_the_rules(app: Flask) -> None:
    with app.test_request_context("/"):
        fields = {field.name: field for field in SetupForm().inputs()}
    plain = read_request({"rider_mass_kg": 80, "riding_style": "trail", "front": {"travel_mm": 140}})
    assert f"{number(plain.kit_mass_kg)} kg" in str(fields["kit_mass_kg"].hint)
    assert f"{number(plain.bike_mass_kg)} kg" in str(fields["bike_mass_kg"].hint)
    assert plain.front is not None
    assert f"{number(plain.front.head_angle_deg)}°" in str(fields["front.head_angle_deg"].hint)
    assert f"Default: {number(ASSUMED_CLICKS.value)} clicks" in str(fields["rear.rebound_clicks"].hint)
    assert f"{100 * ASSUMED_FALL:.0f} %" in str(fields["rear.wheel_travel_mm"].hint)


def test_a_page_sent_twice_has_one_key_and_a_changed_entry_another(app: Flask) -> None:
    keyed = FORK | {"idempotency_key": "abc"}
    keys = []
    for data in (keyed, keyed, keyed | {"front.travel_mm": "150"}, keyed | {"idempotency_key": "abd"}):
        form, request = fill(app, data)
        assert request is not None
        keys.append(form.submission_key(request))
    assert keys[0] == keys[1]
    assert len(set(keys)) == 3
