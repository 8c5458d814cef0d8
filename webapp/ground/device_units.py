"""The units that this device's browser remembers: one cookie, written where people choose units, followed everywhere.

It holds five words of a closed list and says nothing about anybody; whatever else it holds is the defaults.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple, dataclass, replace
from typing import Any, Final

from flask import current_app, has_request_context, request
from werkzeug import Response as BaseResponse

from setup_rules.types.units import unit
from webapp.ground.config import host_cookie_name, is_hosted

#: The units that can be chosen for each kind, the first one where nothing was chosen yet.
CHOICES: Final[dict[str, tuple[str, ...]]] = {
    "mass": ("kg", "lb", "st"),
    "pressure": ("psi", "bar", "kpa"),
    "length": ("mm", "in"),
    "temperature": ("c", "f"),
    "altitude": ("m", "ft"),
}
_COOKIE: Final = "setup_card_units"
_YEAR_S: Final = 366 * 24 * 3600


@dataclass(frozen=True, slots=True)
class DeviceUnits:
    """The key of the unit for each kind of quantity, in the order of `CHOICES`."""

    mass: str = "kg"
    pressure: str = "psi"
    length: str = "mm"
    temperature: str = "c"
    altitude: str = "m"

    def of(self, kind: str) -> str | None:
        """Return the unit chosen for a kind of quantity, None where there is no choice."""
        return getattr(self, kind) if kind in CHOICES else None

    @property
    def pressure_symbol(self) -> str:
        """The symbol of the unit of pressure."""
        return unit("pressure", self.pressure).symbol

    @property
    def text(self) -> str:
        """The units as one text, for the cookie and for hidden fields."""
        return "-".join(astuple(self))


DEFAULT: Final = DeviceUnits()


def units_from(text: str) -> DeviceUnits:
    """Return the units that a text holds, the defaults for anything but five known words.

    Examples
    --------
    >>> units_from("lb-bar-mm-c-m").pressure, units_from("lb-atm-mm-c-m") == DEFAULT
    ('bar', True)
    """
    words = text.split("-") if len(text) < 40 else []
    known = len(words) == len(CHOICES) and all(w in keys for w, keys in zip(words, CHOICES.values(), strict=True))
    return DeviceUnits(*words) if known else DEFAULT


def units_chosen(values: Mapping[str, Any]) -> DeviceUnits:
    """Return the units of a form's choices, by kind; what is missing or unknown is the default."""
    chosen = {name: values[name] for name, keys in CHOICES.items() if values.get(name) in keys}
    return replace(DEFAULT, **chosen)


def device_units() -> DeviceUnits:
    """Return the units that this request's browser remembers; outside a request the defaults."""
    return units_from(request.cookies.get(_name(), "")) if has_request_context() else DEFAULT


def remember_units(response: BaseResponse, units: DeviceUnits) -> BaseResponse:
    """Let the browser remember `units` for a year."""
    if units != device_units():
        hosted = is_hosted(current_app.config)
        response.set_cookie(_name(), units.text, max_age=_YEAR_S, secure=hosted, httponly=True, samesite="Lax")
    return response


def _name() -> str:
    return host_cookie_name(_COOKIE, current_app.config)
