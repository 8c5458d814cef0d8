"""Real air by the equation of state that CoolProp implements, loaded by the first test that asks: it takes seconds."""

from __future__ import annotations


def of_air(wanted: str, one: str, value: float, other: str, second: float) -> float:
    """Return a property of air, SI, by CoolProp's names, from two others."""
    from CoolProp.CoolProp import PropsSI

    return float(PropsSI(wanted, one, value, other, second, "Air"))
