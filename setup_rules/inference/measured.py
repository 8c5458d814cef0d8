"""The drawn unknowns of one end before any sag check: by class alone, or after a scale and pushes on the spring."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import DRAWS, Posterior, low_discrepancy_sample, prior, spare_sample
from setup_rules.inference.size_class import COLUMN
from setup_rules.inference.spring_test import bench_model, mass_sigma, pushed_springs
from setup_rules.inference.weighed_wheel import is_weighed
from setup_rules.types import constants as c
from setup_rules.types.request import Conditions, EndName, FrontEnd, RearEnd


@dataclass(frozen=True, slots=True)
class Measured:
    """What was measured of an end instead of guessed, and all that the draws after it depend on.

    `end` is the end that was pushed, None where the draws depend on the scale alone.
    """

    name: EndName
    end: FrontEnd | RearEnd | None
    bench: Conditions
    weighed: bool

    @classmethod
    def of(cls, model: EndModel) -> Measured | None:
        """Return what was measured of an end, None where nothing was."""
        own_kg = model.request.front_axle_kg if model.name == "front" else model.request.rear_axle_kg
        weighed = own_kg is not None and is_weighed(model.request)
        if model.end.spring_test is None:
            return cls(model.name, None, Conditions(), weighed) if weighed else None
        return cls(model.name, _without_clicks(model.end), model.request.bench, weighed)


#: So many measured ends are kept in memory, some 50 kB each.
_MOST_KEPT: Final = 128


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
        memory=None,
    )


def posterior_after(measured: Measured | None) -> Posterior:
    """Return what is known before any sag check: the fixed sample, or the rows after a scale and pushes."""
    return prior() if measured is None else Posterior(_unknowns(measured), np.full(DRAWS, 1.0 / DRAWS))


@functools.lru_cache(maxsize=_MOST_KEPT)
def _unknowns(measured: Measured) -> Any:
    z = low_discrepancy_sample()
    if measured.end is None:
        z = z.copy()
        left = math.hypot(mass_sigma(weighed=measured.weighed), c.SPRING_SIGMA.value)
        z[:, COLUMN["model"]] *= left / c.MODEL_SIGMA.value
    else:
        spare = spare_sample()
        model = bench_model(measured.name, measured.end, measured.bench)
        z = pushed_springs(model, z, spare[:, 1:], spare[:, 0], weighed=measured.weighed)
    z.setflags(write=False)
    return z
