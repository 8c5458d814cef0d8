"""What each end carries in the second reckoning: rider, kit, bike and luggage on two wheels, and how a wheel moves.

Source: balance of moments and forces (any text on statics), virtual work, and one Kalman step a scale (any text on
estimation), in kg, mm and N.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.integrate import quad

from tests.published import second_estimates as our

Body = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Carried:
    """What one end carries [kg], all of it above the spring: with its rider, and without."""

    with_rider: float
    without: float
    below: float


@dataclass(frozen=True, kw_only=True)
class Path:
    """How the wheel moves with the spring: the head angle's sine in front, the leverage behind (points in mm)."""

    name: str
    length: float
    sine: float
    points: tuple[tuple[float, float], ...]

    def lever(self, x: float) -> float:
        """Return wheel travel per travel of the spring at a compression [mm]."""
        return float(np.interp(x, *zip(*self.points, strict=True)))

    def load(self, kg: float, x: float) -> float:
        """Return the push [N] along the spring that carries a mass (virtual work)."""
        return our.weight_on(kg) * self.sine * self.lever(x)

    def at_wheel(self, x: float, sag: float) -> float:
        """Return how far the wheel moves [mm] (along the leg in front) while the spring gives `sag` from `x`."""
        corners = [corner for corner, _ in self.points if x < corner < x + sag]
        return float(quad(self.lever, x, x + sag, points=corners or None)[0])


def path_of(name: str, end: Body) -> Path:
    """Return how the wheel of an end moves with its spring."""
    if name == "front":
        sine = math.sin(math.radians(end.get("head_angle_deg", 66.0)))
        return Path(name=name, length=end["travel_mm"], sine=sine, points=((0.0, 1.0), (end["travel_mm"], 1.0)))
    length = end["stroke_mm"]
    start = end.get("leverage_start") or end.get("leverage_end")
    table = end.get("leverage_table") or [[0.0, start], [length, end.get("leverage_end") or start]]
    return Path(name=name, length=length, sine=1.0, points=tuple((x, ratio) for x, ratio in table))


def people_kg(body: Body) -> float:
    """Return rider and kit [kg]."""
    return float(body["rider_mass_kg"] + body.get("kit_mass_kg", 4.0))


def bike_kg(body: Body) -> float:
    """Return the bare bike [kg]."""
    return float(body.get("bike_mass_kg", 14.0))


def usual_share(body: Body) -> float:
    """Return the share of rider and kit on the front wheel: as entered, or that of the stance."""
    if (entered := body.get("rider_front_share_percent")) is not None:
        return float(entered) / 100.0
    return our.STANCE_SHARE[body.get("stance", "standing")]


def shares_of(body: Body, name: str) -> tuple[float, float]:
    """Return the shares on the front wheel of rider with kit and of the bike, as scales under the wheels leave them."""
    shares = np.array([usual_share(body), our.BIKE_SHARE])
    spread = np.diag([our.SHARE_SIGMA**2, our.BIKE_SHARE_SIGMA**2])
    masses = np.array([people_kg(body), bike_kg(body)])
    whole = masses.sum()
    for wheel in our.END_NAMES:
        if (reading := body.get(f"{wheel}_axle_kg")) is None:
            continue
        noise = our.SCALE_KG**2 + (our.SCALE_OF_READING * reading) ** 2 + (our.STANCE_SIGMA * whole) ** 2
        noise += 0.0 if wheel == name else (our.STATED_SIGMA * whole) ** 2
        gain = spread @ masses / (masses @ spread @ masses + noise)
        on_front = reading if wheel == "front" else whole - reading
        shares = shares + gain * (on_front - masses @ shares)
        spread = spread - np.outer(gain, masses @ spread)
    return float(shares[0]), float(shares[1])


def carried(body: Body, name: str) -> Carried:
    """Return what one end carries: rider and kit by their share, bike and luggage by theirs, less what is below."""
    people, bike = shares_of(body, name)
    bags = {place: body.get(f"luggage_{place}_kg") or 0.0 for place in our.END_NAMES}
    front = bike * bike_kg(body) + sum(our.LUGGAGE_SHARE[place] * kg for place, kg in bags.items())
    standing = front if name == "front" else bike_kg(body) + sum(bags.values()) - front
    below = our.UNSPRUNG[name] * min(1.0, bike_kg(body) / 10.0)
    share = people if name == "front" else 1.0 - people
    without = standing - below
    return Carried(with_rider=share * people_kg(body) + without, without=without, below=below)


def reference(body: Body, name: str) -> Carried:
    """Return what the end would carry of the rider in the middle of the clicks: 75 kg and kit on a bare trail bike.

    That rider stands or sits as this one does, with the usual share of it on the front wheel.
    """
    whole = {"rider_mass_kg": our.REFERENCE_RIDER, "kit_mass_kg": 0.0, "bike_mass_kg": our.REFERENCE_BIKE}
    stood = {key: body[key] for key in ("stance",) if key in body}
    return carried({**whole, **stood}, name)
