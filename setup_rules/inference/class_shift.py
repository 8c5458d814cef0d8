"""What a shop's own sag checks say of a size class, as evidence on the drawn springs.

The class's centre moves, its spread stays (a little wider, by how well the move is known): each drawn spring is weighed
by how likely it is in the moved class over how likely it was, by the pressure that it needs with the central rider. The
pressure itself is never multiplied, so bands, later sag checks and every other number follow. Far from the centre few
drawn springs are left, so a large factor moves somewhat less than it says.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any, Final

import numpy as np

from setup_rules.inference.end_model import EndModel
from setup_rules.inference.posterior import low_discrepancy_sample
from setup_rules.inference.size_class import COLUMN, fork_class
from setup_rules.inference.start_setting import held_of
from setup_rules.types.constants import STANCHION_CLASSES
from setup_rules.types.request import FrontEnd, RearEnd, SetupRequest, ShopChecks
from setup_rules.types.units import PSI_PA

#: Every class of springs of which checks can say something, as `spring_class` names them.
SPRING_CLASSES: Final = (
    *(f"fork_{stanchion}_{negative}" for stanchion in STANCHION_CLASSES for negative in ("air", "coil")),
    "shock_air",
    "shock_coil",
)
#: The sag at which springs are held against each other, as a share of the travel: pressures there differ as at others.
_AT_SAG: Final = 0.22
#: What is another rider's or bike's, not the class's. What the model leaves out stays drawn: checks bring it in.
_RIDER_AND_BIKE: Final = ("share", "bike", "unsprung")
#: What an end may say of itself, so that its class is asked about nothing of the spring.
_INTERNALS: Final = (
    *("bore_mm", "rod_mm", "positive_volume_cm3", "negative_volume_cm3", "port_position_mm"),
    *("negative_rate_n_per_mm", "negative_length_mm", "chart", "spring_test", "memory", "unit_memory"),
)


def spring_class(end: FrontEnd | RearEnd) -> str:
    """Return the name of the class that an end's spring is drawn from, such as ``fork_34_air`` or ``shock_air``."""
    if isinstance(end, FrontEnd):
        return f"fork_{fork_class(end).stanchion_mm}_{end.negative_spring}"
    return f"shock_{end.negative_spring}"


def is_class_alone(end: FrontEnd | RearEnd) -> bool:
    """Return whether an end's spring is air and known by its class alone: no internals, no chart, nothing measured."""
    known = any(getattr(end, name, None) is not None for name in _INTERNALS)
    return not known and getattr(end, "spring", "air") == "air"


def told_of_class(end: FrontEnd | RearEnd) -> ShopChecks | None:
    """Return what a shop's checks say of an end, None where there are none, or of another class, or internals."""
    told = end.shop_checks
    return told if told is not None and told.spring_class == spring_class(end) and is_class_alone(end) else None


def without_shop_checks(end: FrontEnd | RearEnd) -> FrontEnd | RearEnd:
    """Return an end as it is asked about without what a shop's own checks say."""
    return end if end.shop_checks is None else replace(end, shop_checks=None)


def without_shops(request: SetupRequest) -> SetupRequest:
    """Return a request without what a shop's own checks say of any end: what was asked for, whatever the shop knows."""
    bare: dict[str, Any] = {name: without_shop_checks(end) for name, end in request.ends()}
    return replace(request, **bare)


def class_log_weight(model: EndModel) -> Any:
    """Return what a shop's checks add to the log weight of every draw, None where they say nothing of this end.

    ln N(d; m, σ² + s²) − ln N(d; 0, σ²) but for a constant, d = ln p − mean(ln p) of each draw with the central
    rider, σ their spread, m and s the logarithm of the shop's factor and its standard deviation

    Parameters
    ----------
    model : EndModel
        The end, with what its shop's checks say.

    Returns
    -------
    array [-]
        One a draw; None where they say nothing of this end.

    Examples
    --------
    >>> told = ShopChecks(spring_class="fork_34_air", checks=30, factor=1.1, factor_sigma=0.03)
    >>> fork = FrontEnd(travel_mm=140.0, stanchion_mm=34, shop_checks=told)
    >>> model = EndModel("front", fork, SetupRequest(rider_mass_kg=75.0, riding_style="trail", front=fork))
    >>> class_log_weight(model).shape
    (512,)

    References
    ----------
    Importance sampling, any text on Bayesian statistics: draws of one normal distribution weighted to another.
    """
    told = told_of_class(model.end)
    if told is None:
        return None
    log_pressure = _log_pressures(model)
    off = log_pressure - np.mean(log_pressure)
    sigma, moved = float(np.std(off)), math.log(told.factor)
    wider = math.hypot(sigma, told.factor_sigma)
    return 0.5 * ((off / sigma) ** 2 - ((off - moved) / wider) ** 2)


def _log_pressures(model: EndModel) -> Any:
    """Return the logarithm of the pressure [psi, gauge] that each drawn spring needs under the central rider."""
    z = low_discrepancy_sample().copy()
    z[:, [COLUMN[name] for name in _RIDER_AND_BIKE]] = 0.0
    ride = model.request.ride
    acting = held_of(model, z).acting_for(_AT_SAG * model.travel_m, model.setting.site(ride))
    return np.log(np.maximum(model.setting.bench_value(acting, ride) / PSI_PA, 1.0))
