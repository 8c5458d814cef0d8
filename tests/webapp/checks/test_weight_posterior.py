"""What somebody with the link, this source and patience learns of the rider's weight: no more than from the card.

The attacker knows the bike and every rule, tries every pair of rider and kit, and keeps the pairs that give what is
seen. The kit is believed to be 4 ± 2 kg beforehand (our estimate; it is the form's default), the rider anything.
"""

from __future__ import annotations

import dataclasses
import functools
import re
from typing import Any, Final

import numpy as np
import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules import Setup, read_request, recommend
from setup_rules.types.units import PSI_PA
from tests.conftest import WHOLE_REQUEST
from webapp.ground.text.sentences import say
from webapp.setups.told_reasons import told_reasons

RIDER_KG, KIT_KG = 83.5, 5.5
#: What is stored is rounded to half a kilogram, so there is nothing between.
RIDERS: Final = np.arange(RIDER_KG - 7.5, RIDER_KG + 8, 0.5)
KITS: Final = np.arange(0.0, 12.5, 0.5)
BIKES: Final = {
    "both ends": WHOLE_REQUEST,
    "fork": {name: part for name, part in WHOLE_REQUEST.items() if name != "rear"},
    "shock": {name: part for name, part in WHOLE_REQUEST.items() if name != "front"},
}


@functools.cache
def setup_of(bike: str, rider_and_kit_kg: float) -> Setup:
    """Return the setup; it follows from the sum of rider and kit alone, which `test_…_sum_alone` holds."""
    return recommend(read_request({**BIKES[bike], "rider_mass_kg": rider_and_kit_kg, "kit_mass_kg": 0.0}))


def on_the_card(setup: Setup) -> tuple[float, ...]:
    """Return the pressures as the card prints them: whole psi."""
    return tuple(round(end.pressure_pa / PSI_PA) for end in setup.ends())


def everything(setup: Setup) -> tuple[str, ...]:
    """Return all that any page, plot or JSON answer could be made from, to the last digit, but not what was entered."""
    notes = (*setup.reasons, *setup.cautions)
    return tuple(repr(part) for part in (*map(dataclasses.astuple, setup.ends()), *notes))


def half_width_kg(bike: str, seen: Any) -> float:
    """Return half of the interval that holds 90 % of what is believed of the rider's weight after `seen`."""
    truth = seen(setup_of(bike, RIDER_KG + KIT_KG))
    belief = np.zeros(len(RIDERS))
    for row, rider in enumerate(RIDERS):
        for kit in KITS:
            if seen(setup_of(bike, float(rider + kit))) == truth:
                belief[row] += np.exp(-0.5 * ((kit - 4.0) / 2.0) ** 2)
    cumulated = np.cumsum(belief) / belief.sum()
    low, high = (float(np.interp(share, cumulated, RIDERS)) for share in (0.05, 0.95))
    return (high - low) / 2


@pytest.mark.parametrize("bike", BIKES)
def test_everything_that_is_shown_says_hardly_more_than_the_card(bike: str) -> None:
    card, all_there_is = half_width_kg(bike, on_the_card), half_width_kg(bike, everything)
    print(f"{bike}: from the card ± {card:.1f} kg, from everything ± {all_there_is:.1f} kg")
    assert all_there_is > 2.5
    assert all_there_is > 0.9 * card


@pytest.mark.parametrize("bike", BIKES)
def test_what_is_computed_follows_from_the_sum_alone(bike: str) -> None:
    pairs = ((RIDER_KG, KIT_KG), (RIDER_KG + 3, KIT_KG - 3), (RIDER_KG - 4, KIT_KG + 4))
    seen = {
        everything(recommend(read_request({**BIKES[bike], "rider_mass_kg": rider, "kit_mass_kg": kit})))
        for rider, kit in pairs
    }
    assert len(seen) == 1


def test_no_page_or_answer_of_the_link_names_the_kit(client: FlaskClient) -> None:
    """The kit is all that keeps the sum from being the rider; 5.5 kg stands nowhere, nor does the rider."""
    body = {**WHOLE_REQUEST, "rider_mass_kg": RIDER_KG, "kit_mass_kg": KIT_KG}
    code = client.post("/api/v1/setups", json=body).json["code"]  # type: ignore[index]
    sag = {"end": "front", "pressure_psi": 88.0, "readings_mm": [30]}
    assert client.post(f"/api/v1/setups/{code}/sag-checks", json=sag).status_code == 201
    known = {"kit_mass_kg": 7.25, "rider_mass_now_kg": RIDER_KG, "save": True}
    assert client.post(f"/api/v1/setups/{code}/what-if", json=known).status_code == 201
    parts = (
        "",
        "/1",
        "/3/answer",
        "/history",
        "/compare?a=1&b=3",
        "/what-if",
        "/sag-check",
        "/bounce",
        "/ride",
        "/print",
    )
    paths = [f"/s/{code}{part}" for part in parts]
    paths += [f"/api/v1/setups/{code}{part}" for part in ("", "?revision=1", "/revisions")]
    for path in paths:
        text = re.sub(r"<svg.*?</svg>|<[^>]+>", " ", client.get(path).text, flags=re.DOTALL)
        for kg in (RIDER_KG, KIT_KG, 7.25, RIDER_KG + KIT_KG):
            assert not re.search(rf"(?<![\d.]){kg:g}0?\s*(?:kg|lb)", text), (path, kg)
        assert '"kit' not in text


CHART = [[50, 48], [65, 62], [80, 77], [95, 93], [110, 110]]
#: Fewer pairs than above: a chart takes its time.
NEAR: Final = np.arange(RIDER_KG - 3.0, RIDER_KG + 3.5, 0.5)
SOME_KITS: Final = np.arange(1.5, 12.0, 2.0)


@functools.cache
def charted(means: str, rider_kg: float, kit_kg: float) -> Setup:
    front = {**WHOLE_REQUEST["front"], "chart": CHART, "chart_weight": means}
    body = {**BIKES["fork"], "front": front}
    return recommend(read_request({**body, "rider_mass_kg": rider_kg, "kit_mass_kg": kit_kg}))


def charted_half_width_kg(means: str, seen: Any) -> float:
    """Return as `half_width_kg` what is left open of the rider for who knows the chart as well."""
    truth = seen(charted(means, RIDER_KG, KIT_KG))
    belief = np.zeros(len(NEAR))
    for row, rider in enumerate(NEAR):
        for kit in SOME_KITS:
            if seen(charted(means, float(rider), float(kit))) == truth:
                belief[row] += np.exp(-0.5 * ((kit - 4.0) / 2.0) ** 2)
    cumulated = np.cumsum(belief) / belief.sum()
    low, high = (float(np.interp(share, cumulated, NEAR)) for share in (0.05, 0.95))
    return (high - low) / 2


def in_words(setup: Setup) -> tuple[str, ...]:
    """Return what is told of the chart."""
    return tuple(say(note.said) for note in told_reasons(setup) if note.code.endswith("_chart"))


@pytest.mark.long
@pytest.mark.parametrize("means", ["rider", "rider_and_kit"])
def test_a_chart_says_no_more_in_words_than_the_pressure_on_the_card(app: Flask, means: str) -> None:
    """A chart for the rider alone tells more by that pressure than one with kit: it leaves the kit out."""
    with app.test_request_context():
        card = charted_half_width_kg(means, on_the_card)
        both = charted_half_width_kg(means, lambda setup: (on_the_card(setup), in_words(setup)))
        bare = charted_half_width_kg(
            means,
            lambda setup: (
                on_the_card(setup),
                *(note.message for note in setup.reasons if note.code.endswith("_chart")),
            ),
        )
    print(f"{means}: card ± {card:.2f} kg, with the chart's words ± {both:.2f} kg, unbounded ± {bare:.2f} kg")
    assert both > 0.9 * card
    assert both > (0.4 if means == "rider" else 2.0)
    if means == "rider":
        assert bare < 0.8 * card  # what the words would tell with the chart's pressure in them


def test_the_pressure_that_a_chart_gives_for_the_rider_alone_is_shown_nowhere(client: FlaskClient) -> None:
    for means, shown in (("rider", False), ("rider_and_kit", True)):
        front = {**WHOLE_REQUEST["front"], "chart": CHART, "chart_weight": means}
        body = {**BIKES["fork"], "rider_mass_kg": RIDER_KG, "kit_mass_kg": KIT_KG, "front": front}
        made = client.post("/api/v1/setups", json=body)
        code = made.json["code"]  # type: ignore[index]
        preview = client.post(f"/api/v1/setups/{code}/what-if", json={"bike_mass_kg": 16})
        for answer in (made, preview, client.get(f"/s/{code}"), client.get(f"/api/v1/setups/{code}")):
            text = answer.text
            assert ("The chart gives" in text) is shown
            assert ("without kit, taken as meant for" in text) is not shown
