"""What a scale and pushes have shown, said of made-up pushes: numbers, ends and bounds worked out on paper.

Rider and kit weigh 82 kg, the bike 14 kg: 96 kg. Guessed are 0.39 of the one and 0.475 of the other on the front wheel.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from setup_rules.advice import measured as module
from setup_rules.advice.measured import measured_cautions, measured_reasons, pushed_spring
from setup_rules.inference.end_model import EndModel
from setup_rules.inference.spring_test import Fit, Pushes
from setup_rules.messages.catalogue import sources
from setup_rules.types import constants as c
from setup_rules.types.request import FrontEnd, RearEnd, SetupRequest, SpringTest
from setup_rules.types.result import Note, PushedSpring
from setup_rules.types.units import PSI_PA
from tests.setup_rules.advice.test_end_reasons import FORK, SHOCK, at, said

TEST = SpringTest(
    pressure_psi=80.0, compression_mm=(20.0, 40.0), force_down_n=(200.0, 300.0), force_up_n=(160.0, 260.0)
)
PUSHED = PushedSpring(
    pressure_pa=80 * PSI_PA,
    compression_mm=(20.0, 40.0, 70.0),
    force_n=(180.0, 280.0, 500.0),
    residual_n=(4.0, -12.4, 6.0),
    friction_n=20.6,
    curve_mm=(),
    curve_n=(),
)


def model_of(name: Any = "front", *, front: FrontEnd | None = FORK, rear: RearEnd | None = SHOCK, **g: Any) -> EndModel:
    """Return one end of a bike with a fork and a shock, or what is given of them."""
    request = SetupRequest(rider_mass_kg=78.0, riding_style="trail", front=front, rear=rear, **g)
    end = front if name == "front" else rear
    assert end is not None
    return EndModel(name, end, request)


def pushed_model(name: Any = "front") -> EndModel:
    """Return an end that was pushed."""
    return model_of(name, front=replace(FORK, spring_test=TEST), rear=replace(SHOCK, spring_test=TEST))


def fit_with(residual_n: tuple[float, ...], sigma_n: float = 10.0) -> Fit:
    """Return a fit that leaves so much at its pushes, a little beyond 20 mm and every 20 mm on."""
    x_m = tuple(0.0200444 + 0.02 * place for place in range(len(residual_n)))
    pushes = Pushes(x_m, tuple(200.125 for _ in x_m), tuple(160.0 for _ in x_m))
    return Fit(pushes, residual_n, (sigma_n,) * len(x_m), 21.0, (0.0, 0.0123456), (0.0, 99.8765))


def doubts(
    monkeypatch: pytest.MonkeyPatch, *residual_n: float, name: Any = "front", sigma_n: float = 10.0
) -> list[Any]:
    """Return key and values of what is doubted of pushes that lie so far above the likeliest spring [N]."""
    monkeypatch.setattr(module, "fit_of", lambda _model: fit_with(residual_n, sigma_n))
    model = pushed_model(name)
    notes = measured_cautions(model, at(end=name))
    assert {(note.code, note.source, note.end) for note in notes} <= {("pushes_doubted", c.ESTIMATE, name)}
    return [said(note) for note in notes]


def scale_caution(model: EndModel) -> list[Note]:
    """Return what is doubtful of a scale reading."""
    return list(measured_cautions(model, at(end=model.name)))


def test_nothing_measured_is_nothing_said() -> None:
    assert measured_reasons(model_of(), at()) == ()
    assert measured_cautions(model_of(), at()) == ()
    assert pushed_spring(model_of()) is None


@pytest.mark.parametrize(
    ("name", "share", "guess"),
    [
        # 36 of 96 kg are 37.5 %; guessed were (0.39 · 82 + 0.475 · 14)/96 = 40.2 %, behind 59.8 %.
        ("front", 38, 40),
        ("rear", 62, 60),
    ],
)
def test_the_share_by_the_scale_stands_beside_the_one_that_was_guessed(name: str, share: int, guess: int) -> None:
    (note,) = measured_reasons(model_of(name, front_axle_kg=36.0), at(end=name))
    assert said(note) == (f"scale.share.{name}", {"share": share, "guess": guess})
    assert (note.code, note.source, note.end) == (f"{name}_scale", sources.SCALE, name)


def test_the_guess_is_of_the_stance_and_the_masses_of_the_request() -> None:
    # Seated 0.31: (0.31 · 56 + 0.475 · 40)/96 = 37.9 %; standing it would be 42.5 %.
    given: dict[str, Any] = {"bike_mass_kg": 40.0, "weighed_kg": 96.0, "stance": "seated"}
    (note,) = measured_reasons(model_of(front_axle_kg=48.0, **given), at())
    assert dict(note.said.values) == {"share": 50, "guess": 38}


@pytest.mark.parametrize(("name", "variant"), [("front", "fork"), ("rear", "shock")])
def test_the_pushes_are_told_by_their_number_pressure_worst_and_friction(name: str, variant: str) -> None:
    (note,) = measured_reasons(model_of(name), at(end=name, pushed=PUSHED))
    assert said(note) == (f"pushes.found.{variant}", {"count": 3, "psi": 80, "off": 12, "friction": 21})
    assert (note.code, note.source, note.end) == (f"{name}_pushes", sources.PUSHES, name)


def test_the_pushes_of_an_answer_are_in_millimetres_and_newtons(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "fit_of", lambda _model: fit_with((1.2345, -2.0)))
    assert pushed_spring(pushed_model()) == PushedSpring(
        pressure_pa=80 * PSI_PA,
        compression_mm=(20.044, 40.044),
        force_n=(180.06, 180.06),  # the mean of 200.125 and 160 N
        residual_n=(1.23, -2.0),
        friction_n=21.0,
        curve_mm=(0.0, 12.346),
        curve_n=(0.0, 99.88),
    )


@pytest.mark.parametrize(
    ("kg", "percent"),
    [
        # The rider's own share: (R − 0.475 · 14 kg)/82 kg; 20 % are 23.05 kg on the front wheel, 60 % are 55.85 kg.
        (23.1, None),
        (23.0, 20),
        (16.0, 11),
        (55.8, None),
        (55.9, 60),
        (60.0, 65),
    ],
)
def test_a_scale_is_doubted_where_nobody_rides_so(kg: float, percent: int | None) -> None:
    found = scale_caution(model_of(front_axle_kg=kg))
    assert [said(note) for note in found] == (
        [] if percent is None else [("caution.scale_unlikely", {"share": percent})]
    )
    assert [(note.code, note.source, note.end) for note in found] in ([], [("scale_unlikely", c.ESTIMATE, "front")])


def test_a_doubted_scale_is_told_once_with_the_first_end_there_is() -> None:
    assert scale_caution(model_of("rear", front_axle_kg=60.0)) == []
    assert [note.end for note in scale_caution(model_of("rear", front=None, front_axle_kg=60.0))] == ["rear"]


def test_a_scale_read_in_another_stance_is_not_doubted_for_this_one() -> None:
    assert scale_caution(model_of(front_axle_kg=60.0, weighed_stance="seated")) == []


@pytest.mark.parametrize(
    ("pushed", "limit", "assumed", "told"),
    [
        (121.0, 120.0, True, True),
        (120.4, 120.0, True, False),  # shown as 120 of 120
        (120.0, 120.0, True, False),
        (121.0, 120.0, False, False),  # a printed maximum refuses the pushes before
    ],
)
@pytest.mark.parametrize(("name", "variant"), [("front", "fork"), ("rear", "shock")])
def test_pushes_above_a_maximum_that_is_only_assumed_are_doubted(
    pushed: float, limit: float, assumed: bool, told: bool, name: str, variant: str
) -> None:
    end = at(
        end=name,
        pushed=replace(PUSHED, pressure_pa=pushed * PSI_PA),
        max_pressure_pa=limit * PSI_PA,
        max_pressure_assumed=assumed,
    )
    found = measured_cautions(model_of(name), end)
    wanted = (f"caution.pushed_above_assumed.{variant}", {"psi": 121, "limit": 120})
    assert [said(note) for note in found] == [wanted] * told
    assert {(note.code, note.source, note.end) for note in found} <= {("pushed_above_assumed", c.ESTIMATE, name)}


def test_pushes_near_the_curve_are_not_doubted(monkeypatch: pytest.MonkeyPatch) -> None:
    assert doubts(monkeypatch, 10.0, -10.0, 4.0) == []


@pytest.mark.parametrize(("name", "variant"), [("front", "fork"), ("rear", "shock")])
def test_pushes_on_one_side_are_told_with_their_mean(monkeypatch: pytest.MonkeyPatch, name: str, variant: str) -> None:
    # The mean of 2, 16 and 6 N is 8 N: 0.8 standard deviations of 10 N, beyond a half.
    assert doubts(monkeypatch, 2.0, 16.0, 6.0, name=name) == [(f"caution.pushes_doubted.above.{variant}", {"off": 8})]
    assert doubts(monkeypatch, -2.0, -16.0, -6.0, name=name) == [
        (f"caution.pushes_doubted.below.{variant}", {"off": 8})
    ]


def test_half_a_standard_deviation_to_one_side_is_not_doubted_yet(monkeypatch: pytest.MonkeyPatch) -> None:
    assert doubts(monkeypatch, 5.0, 5.0) == doubts(monkeypatch, -5.0, -5.0) == []
    assert doubts(monkeypatch, 5.5, 5.5) == [("caution.pushes_doubted.above.fork", {"off": 6})]


@pytest.mark.parametrize(("name", "variant"), [("front", "fork"), ("rear", "shock")])
def test_one_push_far_off_is_told_with_its_place(monkeypatch: pytest.MonkeyPatch, name: str, variant: str) -> None:
    # 16 N are 1.6 standard deviations, beyond one and a half; the mean of 16, −16 and 2 N is small.
    assert doubts(monkeypatch, 2.0, -16.0, 16.0, name=name) == [
        (f"caution.pushes_doubted.one.{variant}", {"off": 16, "x": 40})
    ]
    assert doubts(monkeypatch, -14.0, 2.0, 16.0, name=name) == [
        (f"caution.pushes_doubted.one.{variant}", {"off": 16, "x": 60})
    ]


def test_one_push_is_not_doubted_up_to_one_and_a_half_standard_deviations(monkeypatch: pytest.MonkeyPatch) -> None:
    assert doubts(monkeypatch, 15.0, -15.0) == []
    assert doubts(monkeypatch, 31.0, -31.0, sigma_n=20.0) == [("caution.pushes_doubted.one.fork", {"off": 31, "x": 20})]
    assert doubts(monkeypatch, 29.0, -29.0, sigma_n=20.0) == []
