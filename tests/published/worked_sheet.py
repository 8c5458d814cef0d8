"""One worked answer as a sheet of paper: the request, the numbers typed from the sheet, and the sheet's own proof.

The proof puts the typed pressure and resting places into the balance of forces and shares nothing with the product.
Typed digits are 0.01 psi and 0.001 mm; over the stiffest spring here they are worth 0.3 N, the tolerance of a balance.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Any

import pytest

from tests.published.on_paper import Chambers, G, Places, clicks_out, force, fork_damping, shock_damping

BALANCE_N = 0.3
#: Pumped and ridden at sea level and 20 °C.
HOME = Places()
#: The rider that the middle click is for, with a bike, riding trail: our estimate.
REFERENCE_RIDER_KG, REFERENCE_BIKE_KG, REFERENCE_RATIO = 79.0, 14.0, 0.42
#: Share of the reference rider on the front wheel, whatever this rider's is: our estimates.
USUAL_FRONT_SHARE = {"standing": 0.39, "seated": 0.31}
#: Damping fully closed over fully open: our estimate.
CLOSED_OVER_OPEN = 6.0


@dataclass(frozen=True, kw_only=True)
class State:
    """A rider in balance: mass on this end [kg], pressure [psi], resting place and sag [mm], damping [N·s/m]."""

    mass: float
    psi: float
    rest: float
    sag: float
    damping: float


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """A worked answer. Shares are those on this end; `lever` holds (stroke mm, ratio), none for a fork."""

    body: dict[str, Any]
    chambers: Chambers
    places: Places = HOME
    share: float
    bike_share: float
    unsprung: float
    reference_unsprung: float
    angle: float = 90.0
    lever: tuple[tuple[float, float], ...] = ()
    ratio: float
    compression_ratio: float = 0.0
    answer: State
    reference: State
    wheel_sag: float
    clicks: int
    total: int
    compression: int | None = None
    clamped: bool = False

    @property
    def end(self) -> str:
        """Which end of the request it is about."""
        return "rear" if self.lever else "front"

    @property
    def hanging(self) -> bool:
        """Whether the gap is read with the wheel off the ground."""
        return bool(self.body[self.end].get("datum") == "wheel_off_ground")

    def leverage(self, x: float) -> float:
        """Return wheel travel per stroke at a compression, linear between points; 1 for a fork."""
        for (x0, r0), (x1, r1) in itertools.pairwise(self.lever):
            if x <= x1:
                return r0 + (r1 - r0) * (x - x0) / (x1 - x0)
        return self.lever[-1][1] if self.lever else 1.0

    def along(self, mass: float) -> float:
        """Return the weight [N] of a mass along a fork's leg, or at the rear wheel."""
        return mass * G * math.sin(math.radians(self.angle))

    def damping(self, state: State, ratio: float) -> float:
        """Return the damping [N·s/m] at the spring for a damping ratio, riding about a sag."""
        x = state.rest + state.sag
        if self.lever:
            return shock_damping(self.chambers, self.places, state.psi, x, state.mass, self.leverage, ratio)
        return fork_damping(self.chambers, self.places, state.psi, x, state.mass, self.angle, ratio)


def prove_balance(sheet: Sheet, state: State, share: float, rider_kg: float, bike_kg: float, unsprung: float) -> None:
    """Assert that a typed mass is the sum of its parts and that pressure and places hold both loads."""
    alone = (0.0 if sheet.hanging else sheet.bike_share * bike_kg) - unsprung
    assert share * rider_kg + sheet.bike_share * bike_kg - unsprung == pytest.approx(state.mass, abs=5e-4)
    held = force(sheet.chambers, sheet.places, state.psi, state.rest + state.sag)
    assert held == pytest.approx(sheet.along(state.mass) * sheet.leverage(state.rest + state.sag), abs=BALANCE_N), (
        "under the rider"
    )
    left = force(sheet.chambers, sheet.places, state.psi, state.rest)
    bare = sheet.along(alone) * sheet.leverage(state.rest)
    assert left == pytest.approx(bare, abs=BALANCE_N) or (state.rest == 0.0 and left > bare), "without the rider"


def prove_sheet(sheet: Sheet) -> None:
    """Assert every typed number of a sheet on paper."""
    body, answer, reference = sheet.body, sheet.answer, sheet.reference
    rider_kg = body["rider_mass_kg"] + body["kit_mass_kg"]
    prove_balance(sheet, answer, sheet.share, rider_kg, body["bike_mass_kg"], sheet.unsprung)
    usual = USUAL_FRONT_SHARE[body.get("stance", "standing")]
    share = 1.0 - usual if sheet.lever else usual
    prove_balance(sheet, reference, share, REFERENCE_RIDER_KG, REFERENCE_BIKE_KG, sheet.reference_unsprung)
    assert sheet.damping(answer, sheet.ratio) == pytest.approx(answer.damping, rel=1e-3)
    assert sheet.damping(reference, REFERENCE_RATIO) == pytest.approx(reference.damping, rel=1e-3)
    assert whole_clicks(sheet) == (sheet.clicks, sheet.clamped)
    steps, travelled = 2000, 0.0
    for i in range(steps):
        travelled += sheet.leverage(answer.rest + (i + 0.5) * answer.sag / steps) * answer.sag / steps
    assert travelled == pytest.approx(sheet.wheel_sag, abs=2e-3)
    if sheet.compression is not None:
        soft = sheet.damping(answer, sheet.compression_ratio), sheet.damping(reference, 0.20)
        total = body[sheet.end]["compression_clicks"]
        assert round(clicks_out(*soft, total, CLOSED_OVER_OPEN)) == sheet.compression


def whole_clicks(sheet: Sheet) -> tuple[int, bool]:
    """Return the rebound clicks out on paper, and whether an end of the adjuster stopped them."""
    points = sheet.body[sheet.end].get("rebound_points")
    if points:
        (n1, hard), (n2, soft) = points
        out = n1 + (n2 - n1) * math.log(hard / sheet.answer.damping) / math.log(hard / soft)
    else:
        out = clicks_out(sheet.answer.damping, sheet.reference.damping, sheet.total, CLOSED_OVER_OPEN)
    kept = min(max(round(out), 0), sheet.total)
    return kept, kept != round(out)
