"""Plain data, shaped like the JSON interface, to a sag check, a bounce check and a ride: every problem at once.

The tables say which keys there are; the interface's own description is made from them too.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, get_args

from setup_rules.messages.message import Message
from setup_rules.parsing.request_parsing import read_number, shown, unknown_choice, unknown_key
from setup_rules.types.errors import Problem, RequestError
from setup_rules.types.feedback import FELT, OLD_SEEN, SEEN
from setup_rules.types.limits import CORRECTION_LIMITS, LIMITS, MOST_READINGS, Limit
from setup_rules.types.request import Datum, Place
from setup_rules.types.result import BounceCheck, RideReport, SagCheck
from setup_rules.types.units import PSI_PA


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One key of a body: a bounded number, one of some choices, or else true or false.

    Up to `most` of them come in a list where `most` is above zero.
    `gone` is what is said of a key that was read once and is no longer.
    """

    text: str
    limit: Limit | None = None
    choices: tuple[str, ...] = ()
    most: int = 0
    needed: bool = False
    gone: str = ""


_END: Final = Key(text="Spring end.", choices=("front", "rear"), needed=True)
_SAG: Final = CORRECTION_LIMITS["sag_mm"]

SAG_CHECK_KEYS: Final[dict[str, Key]] = {
    "end": _END,
    "pressure_psi": Key(
        text="Pressure as it was set when the sag was taken, gauge.",
        limit=CORRECTION_LIMITS["set_pressure_psi"],
    ),
    "spring_rate_n_per_mm": Key(
        text="Of a coil main spring, instead of the pressure: the rate of the spring that was in it.",
        limit=CORRECTION_LIMITS["spring_rate_n_per_mm"],
    ),
    "preload_mm": Key(
        text="Of a coil main spring: its preload when the sag was taken. Default: 0.",
        limit=CORRECTION_LIMITS["preload_mm"],
    ),
    "readings_mm": Key(
        text=f"Sag readings, settled any way; one to {MOST_READINGS} of all three kinds together.",
        limit=_SAG,
        most=MOST_READINGS,
    ),
    "readings_from_above_mm": Key(
        text="Sag readings with the rider's weight eased on, so that friction holds the spring up.",
        limit=_SAG,
        most=MOST_READINGS,
    ),
    "readings_from_below_mm": Key(
        text="Sag readings pushed down and let up gently, so that friction holds the spring down.",
        limit=_SAG,
        most=MOST_READINGS,
    ),
    "place": Key(
        text="Where the sag was measured: where the spring was set, with the pressure read there too, or on the ride, "
        "with the pressure that was read when it was set at the setup's bench. Default: bench.",
        choices=get_args(Place),
    ),
    "temperature_c": Key(
        text="Where it was measured, if not as the setup says of that place.", limit=LIMITS["temperature_c"]
    ),
    "altitude_m": Key(
        text="Where it was measured, if not as the setup says of that place.", limit=LIMITS["altitude_m"]
    ),
    "datum": Key(
        text="Where the gap between seal and O-ring was read: with the bike standing without its rider, or with the "
        "wheel lifted. Default: as in the setup.",
        choices=get_args(Datum),
    ),
    "confirm": Key(text="Keep readings that were questioned: the error said `question`. Default: false."),
}
BOUNCE_CHECK_KEYS: Final[dict[str, Key]] = {
    "end": _END,
    "clicks_out": Key(
        text="Rebound as set, out from fully closed.", limit=CORRECTION_LIMITS["rebound_out"], needed=True
    ),
    "seen": Key(
        text="Swing seen after one firm dip, beside the style's aim; or give the pair below. Old words are still read.",
        choices=(*SEEN, *OLD_SEEN),
    ),
    "dip_mm": Key(text="How far below standing height it was dipped.", limit=CORRECTION_LIMITS["dip_mm"]),
    "beyond_mm": Key(text="First swing beyond standing height.", limit=CORRECTION_LIMITS["beyond_mm"]),
    "frames": Key(text="No longer read.", limit=CORRECTION_LIMITS["frames"], gone="bounce.frames_gone"),
    "frames_per_second": Key(
        text="No longer read.", limit=CORRECTION_LIMITS["frames_per_second"], gone="bounce.frames_gone"
    ),
}
RIDE_KEYS: Final[dict[str, Key]] = {
    "end": _END,
    "felt": Key(text="How it felt on the ride.", choices=FELT, most=len(FELT)),
    "travel_used_mm": Key(
        text="Where the O-ring ended, along the leg or the shaft.", limit=CORRECTION_LIMITS["travel_used_mm"]
    ),
    "hard_hits": Key(text="How often the end of the travel was felt.", limit=CORRECTION_LIMITS["hard_hits"]),
}


def read_sag_check(data: Mapping[str, Any]) -> SagCheck:
    """Build a `SagCheck` from plain data with the keys of `SAG_CHECK_KEYS`.

    Raises
    ------
    RequestError
        With one `Problem` for each unknown key, missing key and value out of range.

    Examples
    --------
    >>> read_sag_check({"end": "front", "pressure_psi": 84, "readings_mm": [33, 31]}).readings_mm
    (33.0, 31.0)
    """
    # One of the two is needed: which, is known where the bike is. Without either, the pressure is asked for.
    needed = () if data.get("spring_rate_n_per_mm") is not None else ("pressure_psi",)
    values = _read(SAG_CHECK_KEYS, data, needed)
    return SagCheck(pressure_pa=float(values.pop("pressure_psi", 0.0)) * PSI_PA, **values)


def read_bounce_check(data: Mapping[str, Any]) -> BounceCheck:
    """Build a `BounceCheck` from plain data with the keys of `BOUNCE_CHECK_KEYS` (raises as `read_sag_check`).

    Words of earlier checks are read as what they meant beside the aim.

    Examples
    --------
    >>> read_bounce_check({"end": "front", "clicks_out": 8, "seen": "several_swings"}).seen
    'more'
    """
    values = _read(BOUNCE_CHECK_KEYS, data)
    if (seen := values.get("seen")) is not None:
        values["seen"] = OLD_SEEN.get(seen, seen)
    return BounceCheck(**values)


def read_ride(data: Mapping[str, Any]) -> RideReport:
    """Build a `RideReport` from plain data with the keys of `RIDE_KEYS` (raises as `read_sag_check`)."""
    return RideReport(**_read(RIDE_KEYS, data))


def _read(keys: Mapping[str, Key], data: Mapping[str, Any], needed: tuple[str, ...] = ()) -> dict[str, Any]:
    problems = [unknown_key(name) for name in data if name not in keys]
    values: dict[str, Any] = {}
    for name, key in keys.items():
        raw = data.get(name)
        if raw is None:
            if key.needed or name in needed:
                label = key.limit.label if key.limit else Message.of(f"label.{name}")
                problems.append(Problem(name, Message.of("problem.needed", label=label)))
        elif key.gone:
            problems.append(Problem(name, Message.of(key.gone)))
        elif key.most:
            values[name] = _read_list(key, raw, name, problems)
        else:
            values[name] = _read_one(key, raw, name, problems)
    if problems:
        raise RequestError(tuple(problems))
    return values


def _read_list(key: Key, raw: Any, name: str, problems: list[Problem]) -> tuple[Any, ...]:
    if not isinstance(raw, list | tuple):
        problems.append(Problem(name, Message.of("problem.no_list", found=shown(raw))))
        return ()
    if len(raw) > key.most:
        problems.append(Problem(name, Message.of("problem.list_too_long", count=len(raw), most=key.most)))
        return ()
    return tuple(_read_one(key, one, name, problems) for one in raw)


def _read_one(key: Key, raw: Any, name: str, problems: list[Problem]) -> Any:
    if key.limit is not None:
        return read_number(key.limit, raw, name, problems)
    if not key.choices:
        return _read_flag(raw, name, problems)
    if isinstance(raw, str) and raw in key.choices:
        return raw
    problems.append(Problem(name, unknown_choice(raw, key.choices)))
    return None


def _read_flag(raw: Any, name: str, problems: list[Problem]) -> bool:
    if not isinstance(raw, bool):
        problems.append(Problem(name, Message.of("problem.no_flag", found=shown(raw))))
    return raw is True
