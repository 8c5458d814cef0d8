"""The drawn unknowns of one end before any sag check: by class alone, or after a scale and pushes on the spring."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import DRAWS, Posterior, low_discrepancy_sample, prior, spare_sample
from setup_rules.inference.size_class import COLUMN
from setup_rules.inference.spring_test import mass_sigma, pushed_springs
from setup_rules.inference.weighed_wheel import is_weighed
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, EndName, FrontEnd, RearEnd, SetupRequest


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of an end instead of guessed, and all that the draws after it depend on."""

    name: EndName
    end: FrontEnd | RearEnd
    bench: Conditions
    weighed: bool

    @classmethod
    def of(cls, model: EndModel) -> Measured | None:
        """Return what was measured of an end, None where nothing was."""
        own_kg = model.request.front_axle_kg if model.name == "front" else model.request.rear_axle_kg
        weighed = own_kg is not None and is_weighed(model.request)
        if model.end.spring_test is None:
            # Without pushes the draws of every weighed end are the same.
            return cls(model.name, _WEIGHED_END, Conditions(), weighed) if weighed else None
        return cls(model.name, _without_clicks(model.end), model.request.bench, weighed)


_WEIGHED_END = FrontEnd(travel_mm=100.0)


def _without_clicks(end: FrontEnd | RearEnd) -> FrontEnd | RearEnd:
    return replace(
        end,
        sag_target_percent=None,
        rebound_clicks=None,
        rebound_offset_clicks=0,
        rebound_points=None,
        compression_clicks=None,
        compression_offset_clicks=0,
        chart=None,
    )


def posterior_after(measured: Measured | None) -> Posterior:
    """Return what is known before any sag check: the fixed sample, or the rows after a scale and pushes."""
    return prior() if measured is None else Posterior(_unknowns(measured), np.full(DRAWS, 1.0 / DRAWS))


@functools.lru_cache(maxsize=128)
def _unknowns(measured: Measured) -> Any:
    z = low_discrepancy_sample()
    if measured.end.spring_test is None:
        z = z.copy()
        left = math.hypot(mass_sigma(weighed=measured.weighed), c.SPRING_SIGMA.value)
        z[:, COLUMN["model"]] *= left / c.MODEL_SIGMA.value
    else:
        spare = spare_sample()
        request = SetupRequest(rider_mass_kg=75.0, riding_style="trail", bench=measured.bench)
        model = EndModel(measured.name, measured.end, request)
        z = pushed_springs(model, z, spare[:, 1:], spare[:, 0], weighed=measured.weighed)
    z.setflags(write=False)
    return z
