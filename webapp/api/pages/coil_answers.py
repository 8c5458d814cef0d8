"""What the JSON interface says of an end with a coil main spring, and how that is described."""

from __future__ import annotations

from typing import Any, Final

from setup_rules.types.result import CoilChoice, CoilSetup, EndSetup
from setup_rules.types.units import LBF_PER_IN_N_PER_M
from webapp.api.pages.openapi_parts import listed, record
from webapp.api.pages.schemas import Schema
from webapp.setups.actions.list_revisions import RevisionEnd

_NUMBER: Final[Schema] = {"type": "number"}
_MAYBE_NUMBER: Final[Schema] = {"type": ["number", "null"]}
#: Keys of an answer that are null for a coil main spring.
AIR_KEYS: Final = (
    "pressure_psi",
    "pressure_bar",
    "pressure_low_psi",
    "pressure_high_psi",
    "min_pressure_psi",
    "max_pressure_psi",
)
_SPRING: Final[dict[str, Schema]] = {
    "spring_rate_n_per_mm": {**_MAYBE_NUMBER, "description": "Rate of the spring [N/mm]."},
    "spring_rate_lb_per_in": {**_MAYBE_NUMBER, "description": "The same [lbf/in]."},
    "preload_mm": {**_MAYBE_NUMBER, "description": "How far the spring is squeezed at full extension [mm]."},
}
#: What an end with a coil main spring has besides; an air spring has none of it.
COIL_FIELDS: Final[dict[str, Schema]] = {
    "spring": {"enum": ["coil"], "description": "Only of a coil main spring: then every pressure is null."},
    **_SPRING,
    "preload_turns": {**_MAYBE_NUMBER, "description": "The same in turns; null where the pitch is not known."},
    "preload_max_mm": {
        **_NUMBER,
        "description": "Greatest preload that the entered or assumed limit and coil bind leave [mm].",
    },
    "coil_stroke_needed_mm": {
        **_MAYBE_NUMBER,
        "description": "Stroke that a spring needs [mm] where the one entered is too short: then no spring can "
        "be fitted, `limited` is true, and rate, preload and turns are null; else null.",
    },
    "spring_rate_wanted_n_per_mm": {
        **_NUMBER,
        "description": "The rate that would give the target sag with the least preload [N/mm].",
    },
    "spring_rate_low_n_per_mm": {**_NUMBER, "description": "Low end of its 90 % range [N/mm]."},
    "spring_rate_high_n_per_mm": {**_NUMBER, "description": "High end of its 90 % range [N/mm]."},
    "springs": {
        **listed(
            record(
                {
                    **_SPRING,
                    "sag_least_preload_mm": {**_NUMBER, "description": "Sag with the least preload [mm]."},
                    "sag_mm": {**_NUMBER, "description": "Sag with that preload [mm]."},
                    "reaches_target": {"type": "boolean", "description": "Whether that is near enough to the target."},
                }
            )
        ),
        "description": "The nearest of the stocked springs, softest first, each with the preload that suits.",
    },
}
#: The same in a setup's history.
PAST_COIL_FIELDS: Final[dict[str, Schema]] = {
    "spring": COIL_FIELDS["spring"],
    **_SPRING,
    "measured_with_n_per_mm": {**_MAYBE_NUMBER, "description": "Rate of the spring at that reading [N/mm]."},
    "measured_with_preload_mm": {**_MAYBE_NUMBER, "description": "Preload at that reading [mm]."},
}


def with_coil(answer: dict[str, Any], end: EndSetup) -> dict[str, Any]:
    """Return the answer of an end, with its coil instead of pressures where it has one."""
    return answer if end.coil is None else _without_air(answer) | _coil_answer(end.coil)


def with_past_coil(answer: dict[str, Any], end: RevisionEnd) -> dict[str, Any]:
    """Return the answer of an end in the history, with its coil instead of pressures where it has one."""
    coil, measured = end.coil, end.measured_with
    if coil is None:
        return answer
    return _without_air(answer) | {
        "spring": "coil",
        **_fitted_answer(coil),
        "measured_at_psi": None,
        "measured_with_n_per_mm": None if measured is None else _rate(1000 * (measured.spring_rate_n_per_mm or 0.0)),
        "measured_with_preload_mm": None if measured is None else round(measured.preload_mm, 2),
    }


def _without_air(answer: dict[str, Any]) -> dict[str, Any]:
    return answer | dict.fromkeys(key for key in AIR_KEYS if key in answer)


def _coil_answer(coil: CoilSetup) -> dict[str, Any]:
    return {
        "spring": "coil",
        **_fitted_answer(coil),
        "preload_turns": None if coil.preload_turns is None or not coil.fits else round(coil.preload_turns, 2),
        "preload_max_mm": round(coil.preload_max_mm, 2),
        "spring_rate_wanted_n_per_mm": _worked_out(coil.rate_wanted_n_per_m),
        "spring_rate_low_n_per_mm": _worked_out(coil.rate_low_n_per_m),
        "spring_rate_high_n_per_mm": _worked_out(coil.rate_high_n_per_m),
        "springs": [_choice_answer(choice) for choice in coil.choices] if coil.fits else [],
        "coil_stroke_needed_mm": coil.stroke_needed_mm,
    }


def _fitted_answer(coil: CoilSetup) -> dict[str, float | None]:
    if not coil.fits:
        return dict.fromkeys(_SPRING)
    exact = coil.origin == "exact"
    rate = 1000 * _worked_out(coil.rate_n_per_m) if exact else coil.rate_n_per_m
    return _spring_answer(rate, coil.preload_mm)


def _choice_answer(choice: CoilChoice) -> dict[str, Any]:
    return {
        **_spring_answer(choice.rate_n_per_m, choice.preload_mm),
        "sag_least_preload_mm": round(choice.least_preload_sag_mm, 1),
        "sag_mm": round(choice.sag_mm, 1),
        "reaches_target": choice.reaches,
    }


def _spring_answer(rate_n_per_m: float, preload_mm: float) -> dict[str, float | None]:
    return {
        "spring_rate_n_per_mm": _rate(rate_n_per_m),
        "spring_rate_lb_per_in": round(rate_n_per_m / LBF_PER_IN_N_PER_M, 1),
        "preload_mm": round(preload_mm, 2),
    }


def _worked_out(rate_n_per_m: float) -> float:
    """Return a rate that follows from the load [N/mm]: no finer than a pressure is, so that it tells no more of it."""
    return float(f"{rate_n_per_m / 1000:.3g}")


def _rate(rate_n_per_m: float) -> float:
    return round(rate_n_per_m / 1000, 2)
