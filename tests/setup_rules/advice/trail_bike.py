"""The bike of the cases that rules 1 answered badly: a fork of 140 mm, a shock of 55 mm, a rider of 78 kg, trail."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from setup_rules import EndSetup, SagCheck, Setup, apply_sag_check, read_request, recommend
from setup_rules.types.units import PSI_PA

FORK: Final[dict[str, Any]] = {"travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16, "max_pressure_psi": 200}
SHOCK: Final[dict[str, Any]] = {
    "stroke_mm": 55,
    "leverage_start": 2.9,
    "leverage_end": 2.4,
    "rebound_clicks": 14,
    "max_pressure_psi": 350,
}
#: What the fork starts with, as the pump shows it [psi]: 31.5 mm of sag are aimed at.
START_PSI: Final = 72


def bike(front: dict[str, Any] | None = FORK, rear: dict[str, Any] | None = None, **changes: Any) -> Setup:
    """Return the setup of the fork, the shock or both as given."""
    ends = {name: end for name, end in (("front", front), ("rear", rear)) if end is not None}
    return recommend(read_request({"rider_mass_kg": 78, "riding_style": "trail", **ends, **changes}))


def end_of(setup: Setup, name: str = "front") -> EndSetup:
    """Return one end that is known to be there."""
    end = setup.front if name == "front" else setup.rear
    assert end is not None
    return end


def psi_of(setup: Setup, name: str = "front") -> float:
    """Return the pressure to pump into one end [psi, gauge]."""
    return end_of(setup, name).pressure_pa / PSI_PA


def band_psi(setup: Setup, name: str = "front") -> tuple[float, float]:
    """Return the 90 % band of one end's pressure [psi, gauge]."""
    end = end_of(setup, name)
    return end.pressure_low_pa / PSI_PA, end.pressure_high_pa / PSI_PA


def read_at(setup: Setup, psi: float, *mm: float, end: str = "front", confirm: bool = True, **given: Any) -> Setup:
    """Return the setup after a check that read so [mm] at a pressure [psi, gauge], kept where it is questioned."""
    values = {"end": end, "pressure_pa": psi * PSI_PA, "readings_mm": mm, "confirm": confirm, **given}
    return apply_sag_check(setup, SagCheck(**values))


def read_in_turn(setup: Setup, psi: float, readings_mm: Sequence[float], end: str = "front") -> list[Setup]:
    """Return the setup after each of several checks of one reading, all at one pressure [psi, gauge]."""
    setups = []
    for reading in readings_mm:
        setup = read_at(setup, psi, reading, end=end)
        setups.append(setup)
    return setups


def codes(setup: Setup, end: str | None = "front") -> set[str]:
    """Return the codes of the cautions of one end."""
    return {note.code for note in setup.cautions if note.end == end}


def told(setup: Setup) -> list[str]:
    """Return the codes of what is said to do next."""
    return [note.code for note in setup.advice]
