"""What the rules are asked: a bike, a rider, a style and one or two spring ends, in the interface's own units.

Field names carry their unit and are the keys of the JSON interface, so a stored request, an outside tool's
request and a Python caller's are the same thing. Every field outside the required few has a stated default.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, asdict, dataclass, field, fields
from typing import Any, Final, Literal, get_args

from setup_rules.constants import FORK_BORE_FACTOR_STANCHION_UNKNOWN, STANCHION_CLASSES
from setup_rules.errors import Problem, RequestError
from setup_rules.limits import LIMITS

RidingStyle = Literal["cross_country", "trail", "enduro", "downhill", "park"]
Stance = Literal["standing", "seated"]
NegativeSpring = Literal["air", "coil"]
ChartWeight = Literal["rider", "rider_and_kit"]
EndName = Literal["front", "rear"]
Pairs = tuple[tuple[float, float], ...]

_CHOICES: Final[dict[str, tuple[str, ...]]] = {
    "riding_style": get_args(RidingStyle),
    "stance": get_args(Stance),
    "negative_spring": get_args(NegativeSpring),
    "chart_weight": get_args(ChartWeight),
}

#: The narrowest bore [mm] that a size class may stand for when none was entered.
_LEAST_ASSUMED_BORE_MM: Final = FORK_BORE_FACTOR_STANCHION_UNKNOWN.low * min(
    bore for bore, _, _ in STANCHION_CLASSES.values()
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Where a pressure is pumped or a bike is ridden: air temperature [°C] and altitude above sea level [m]."""

    temperature_c: float = 20.0
    altitude_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringEnd:
    """What front and rear share: the air spring's internals where known, its limits, its adjusters.

    Every internal may be None, "not known": it is then drawn from the size class with its spread.
    `positive_volume_cm3` is meant fully extended, at the travel given, without volume spacers. The click offsets
    are added to the computed start (more out when above zero): what bounce checks and rides have taught.
    `chart` holds the manual's (rider mass [kg], pressure [psi, gauge]) rows, for `chart_travel_mm` where that is
    another travel than the one installed.
    """

    negative_spring: NegativeSpring = "air"
    sag_target_percent: float | None = None
    rebound_clicks: int | None = None
    compression_clicks: int | None = None
    rebound_offset_clicks: int = 0
    compression_offset_clicks: int = 0
    max_pressure_psi: float | None = None
    min_pressure_psi: float | None = None
    bore_mm: float | None = None
    rod_mm: float | None = None
    positive_volume_cm3: float | None = None
    negative_volume_cm3: float | None = None
    port_position_mm: float | None = None
    negative_rate_n_per_mm: float | None = None
    negative_length_mm: float | None = None
    volume_spacers: int = 0
    volume_spacer_cm3: float | None = None
    chart: Pairs | None = None
    chart_weight: ChartWeight = "rider_and_kit"
    chart_sag_percent: float | None = None
    chart_travel_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontEnd(SpringEnd):
    """A fork. `longest_travel_mm` is its travel with no travel spacer fitted (default: the travel given)."""

    travel_mm: float
    longest_travel_mm: float | None = None
    stanchion_mm: float | None = None
    head_angle_deg: float = 66.0

    @property
    def compression_mm(self) -> float:
        """How far the spring can compress [mm]: the fork's travel along the leg."""
        return self.travel_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class RearEnd(SpringEnd):
    """A shock behind a linkage: leverage (wheel travel per stroke) from start to end, or as a table.

    `leverage_table` holds (stroke position [mm], leverage ratio) pairs, rising, over the whole stroke; it
    replaces start and end where given.
    """

    stroke_mm: float
    leverage_start: float | None = None
    leverage_end: float | None = None
    leverage_table: Pairs | None = None

    @property
    def compression_mm(self) -> float:
        """How far the spring can compress [mm]: the shock's stroke."""
        return self.stroke_mm

    @property
    def leverage_points(self) -> Pairs:
        """The leverage curve as (stroke position [mm], ratio) pairs."""
        if self.leverage_table:
            return self.leverage_table
        start = self.leverage_start or self.leverage_end or 1.0
        return ((0.0, start), (self.stroke_mm, self.leverage_end or start))


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupRequest:
    """One rider on one bike: masses [kg], riding style, where it is pumped and ridden, and its spring ends."""

    rider_mass_kg: float
    riding_style: RidingStyle
    kit_mass_kg: float = 4.0
    bike_mass_kg: float = 14.0
    stance: Stance = "standing"
    rider_front_share_percent: float | None = None
    bench: Conditions = field(default_factory=Conditions)
    ride: Conditions = field(default_factory=Conditions)
    front: FrontEnd | None = None
    rear: RearEnd | None = None

    def ends(self) -> Iterator[tuple[EndName, FrontEnd | RearEnd]]:
        """Yield (name, spring end) for each end that the request has, front first."""
        if self.front is not None:
            yield "front", self.front
        if self.rear is not None:
            yield "rear", self.rear


def read_request(data: Mapping[str, Any]) -> SetupRequest:
    """Build a `SetupRequest` from plain data shaped like the JSON interface.

    Parameters
    ----------
    data : mapping
        Keys as in `SetupRequest`, numbers in the unit that the key names; `ride` defaults to `bench`.

    Returns
    -------
    SetupRequest
        The request, every value inside `setup_rules.limits.LIMITS`.

    Raises
    ------
    RequestError
        With one `Problem` for each unknown key, missing key and value out of range.

    Examples
    --------
    >>> read_request({"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}}).kit_mass_kg
    4.0
    """
    problems: list[Problem] = []
    values = _read_fields(SetupRequest, data, "", problems)
    _check_whole(values, problems)
    if problems:
        raise RequestError(tuple(problems))
    values.setdefault("ride", values.get("bench", Conditions()))
    return SetupRequest(**values)


def request_data(request: SetupRequest) -> dict[str, Any]:
    """Return `request` as plain data that `read_request` takes back unchanged; unknown (None) fields are left out."""
    return _without_none(asdict(request))


def _without_none(data: dict[str, Any]) -> dict[str, Any]:
    return {k: _without_none(v) if isinstance(v, dict) else v for k, v in data.items() if v is not None}


_NESTED: Final[dict[str, type]] = {
    "bench": Conditions,
    "ride": Conditions,
    "front": FrontEnd,
    "rear": RearEnd,
}


def _read_fields(kind: type, data: Any, prefix: str, problems: list[Problem]) -> dict[str, Any]:
    if not isinstance(data, Mapping):
        problems.append(Problem(prefix.rstrip(".") or "body", "Expected an object with named values."))
        return {}
    known = {f.name: f for f in fields(kind)}
    for key in data:
        if key not in known:
            shown = key if key and isinstance(key, str) else _shown(key)
            problems.append(
                Problem(f"{prefix}{shown}"[:120], "Unknown key. The OpenAPI document lists the keys that are read.")
            )
    values: dict[str, Any] = {}
    for name, spec in known.items():
        raw = data.get(name)
        if raw is None:
            if spec.default is MISSING and spec.default_factory is MISSING:
                problems.append(Problem(f"{prefix}{name}", f"{_label(name)} is needed. Enter it."))
            continue
        value = _read_value(name, raw, f"{prefix}{name}", problems)
        if value is not None:
            values[name] = value
    return values


def _read_value(name: str, raw: Any, path: str, problems: list[Problem]) -> Any:
    if name in _NESTED:
        before = len(problems)
        values = _read_fields(_NESTED[name], raw, f"{path}.", problems)
        return _NESTED[name](**values) if len(problems) == before else None
    if name in _CHOICES:
        if isinstance(raw, str) and raw in _CHOICES[name]:
            return raw
        problems.append(Problem(path, f"{_shown(raw)} is not known. Choose one of {', '.join(_CHOICES[name])}."))
        return None
    if name == "leverage_table":
        return _read_table(raw, path, problems)
    if name == "chart":
        return _read_chart(raw, path, problems)
    return _read_number(name, raw, path, problems)


def _read_number(name: str, raw: Any, path: str, problems: list[Problem]) -> float | int | None:
    limit = LIMITS[name]
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        problems.append(Problem(path, f"{limit.label} must be a number, not {_shown(raw)}."))
        return None
    try:
        value = float(raw)
    except OverflowError:
        value = math.inf
    if not limit.holds(value):
        problems.append(Problem(path, limit.sentence(value)))
        return None
    if limit.whole and value != int(value):
        problems.append(Problem(path, f"{limit.label} of {value:g} must be a whole number."))
        return None
    return int(value) if limit.whole else value


def _read_table(raw: Any, path: str, problems: list[Problem]) -> Pairs | None:
    limit = LIMITS["leverage_start"]
    try:
        pairs = tuple(_pair(row) for row in raw)
    except (TypeError, ValueError, OverflowError):
        problems.append(Problem(path, "Give the leverage table as pairs of stroke position in mm and leverage ratio."))
        return None
    positions = [a for a, _ in pairs]
    if not 2 <= len(pairs) <= 200 or any(not b > a for a, b in itertools.pairwise(positions)):
        problems.append(Problem(path, "The leverage table needs 2 to 200 rows with rising stroke positions."))
        return None
    for _, ratio in pairs:
        if not limit.holds(ratio):
            problems.append(Problem(path, limit.sentence(ratio)))
            return None
    return pairs


def _read_chart(raw: Any, path: str, problems: list[Problem]) -> Pairs | None:
    try:
        rows = tuple(_pair(row) for row in raw)
    except (TypeError, ValueError, OverflowError):
        problems.append(Problem(path, "Give the chart as pairs of rider weight in kg and pressure in psi."))
        return None
    if not 2 <= len(rows) <= 60:
        problems.append(Problem(path, f"A chart of {len(rows)} rows cannot be read. Enter 2 to 60 rows."))
        return None
    found = len(problems)
    for number, (mass, psi) in enumerate(rows, 1):
        for limit, value in ((LIMITS["rider_mass_kg"], mass), (LIMITS["max_pressure_psi"], psi)):
            if not min(limit.low, 5.0) <= value <= limit.high * 1.25:
                problems.append(Problem(path, f"Row {number}: {limit.sentence(value)}"))
    for number, (before, after) in enumerate(itertools.pairwise(rows), 2):
        if not (after[0] > before[0] and after[1] > before[1]):
            message = (
                f"Row {number}: weight and pressure must both rise from row to row. Check this row and the one above."
            )
            problems.append(Problem(path, message))
    return rows if len(problems) == found else None


def _pair(row: Any) -> tuple[float, float]:
    position, ratio = row
    if not all(isinstance(v, int | float) and not isinstance(v, bool) for v in (position, ratio)):
        raise TypeError("A leverage row holds two numbers.")
    return float(position), float(ratio)


def _check_whole(values: dict[str, Any], problems: list[Problem]) -> None:
    """Check what no single field can show: that there is a spring end, and that an end agrees with itself."""
    front, rear = values.get("front"), values.get("rear")
    asked = any(p.field.split(".")[0] in ("front", "rear") for p in problems)
    if front is None and rear is None and not asked:
        problems.append(Problem("front", "Give at least one spring end: front, rear or both."))
    if isinstance(front, FrontEnd):
        _check_front(front, problems)
    if isinstance(rear, RearEnd):
        _check_rear(rear, problems)
    for name, end in (("front", front), ("rear", rear)):
        if isinstance(end, SpringEnd):
            _check_internals(name, end, end.compression_mm, problems)  # type: ignore[attr-defined]


def _check_front(front: FrontEnd, problems: list[Problem]) -> None:
    longest = front.longest_travel_mm
    if longest is not None and longest < front.travel_mm:
        message = (
            f"Travel of {front.travel_mm:g} mm is more than the {longest:g} mm that the fork has without travel "
            f"spacers. Check both numbers."
        )
        problems.append(Problem("front.longest_travel_mm", message))


def _check_rear(rear: RearEnd, problems: list[Problem]) -> None:
    if rear.leverage_table is not None:
        first, last = rear.leverage_table[0][0], rear.leverage_table[-1][0]
        if abs(first) > 0.5 or abs(last - rear.stroke_mm) > 0.5:
            message = (
                f"The leverage table runs from {first:g} to {last:g} mm, the stroke from 0 to {rear.stroke_mm:g} mm. "
                f"Give the leverage over the whole stroke."
            )
            problems.append(Problem("rear.leverage_table", message))
        return
    for name in ("leverage_start", "leverage_end"):
        if getattr(rear, name) is None:
            problems.append(Problem(f"rear.{name}", f"{_label(name)} is needed. Enter it, or a leverage table."))


def _check_internals(name: str, end: SpringEnd, travel_mm: float, problems: list[Problem]) -> None:
    low, high = end.min_pressure_psi, end.max_pressure_psi
    if low is not None and high is not None and low >= high:
        message = f"The minimum pressure of {low:g} psi is not below the maximum of {high:g} psi. Check both numbers."
        problems.append(Problem(f"{name}.min_pressure_psi", message))
    bore, rod = end.bore_mm, end.rod_mm
    if rod is not None and rod >= 0.9 * (bore or _LEAST_ASSUMED_BORE_MM):
        if bore is None:
            message = f"A rod of {rod:g} mm may leave no negative chamber. Enter the bore beside it, or leave it out."
        else:
            message = f"A rod of {rod:g} mm leaves no negative chamber in a bore of {bore:g} mm. Check both numbers."
        problems.append(Problem(f"{name}.rod_mm", message))
    port = end.port_position_mm
    if port is not None and port >= 0.5 * travel_mm:
        message = f"An equalising port at {port:g} mm lies beyond half of the {travel_mm:g} mm of travel. Check it."
        problems.append(Problem(f"{name}.port_position_mm", message))
    if end.positive_volume_cm3 is not None:
        _check_volume(name, end, travel_mm, problems)


def _check_volume(name: str, end: SpringEnd, travel_mm: float, problems: list[Problem]) -> None:
    if end.bore_mm is None:
        message = "The bore is needed beside the positive chamber's volume. Enter it, or leave the volume out."
        problems.append(Problem(f"{name}.bore_mm", message))
        return
    swept_cm3 = math.pi / 4 * end.bore_mm**2 * travel_mm / 1000
    spacers_cm3 = end.volume_spacers * (end.volume_spacer_cm3 or 0.0)
    left_cm3 = (end.positive_volume_cm3 or 0.0) - spacers_cm3 - swept_cm3
    if left_cm3 < 0.03 * swept_cm3:
        message = (
            f"A chamber of {end.positive_volume_cm3:g} cm³ less {spacers_cm3:g} cm³ of spacers has no room left at "
            f"full compression, which sweeps {swept_cm3:.0f} cm³. Check volume, bore, travel and spacers."
        )
        problems.append(Problem(f"{name}.positive_volume_cm3", message))


def _label(name: str) -> str:
    return LIMITS[name].label if name in LIMITS else name.replace("_", " ").capitalize()


def _shown(raw: Any) -> str:
    """Return `raw` for a message; nested and huge things by their kind alone, since writing them out may not end."""
    if isinstance(raw, str):
        return repr(raw if len(raw) <= 40 else raw[:37] + "...")
    if isinstance(raw, bool | float) or (isinstance(raw, int) and abs(raw) < 10**15):
        return repr(raw)
    if isinstance(raw, Mapping):
        return "an object"
    if isinstance(raw, int):
        return "a number this long"
    return "a list" if isinstance(raw, list | tuple) else f"this {type(raw).__name__}"
