"""What the specimens of one fork or shock taught of the next specimen: their memories, blurred by how they differ.

A specimen's difference from the typical spring is its model's plus its own, d_i = μ + e_i with e ~ N(0, T). So what
one specimen taught of d_i says of μ as much as a normal distribution that is wider by T, all specimens together say
the product of these, and of the next specimen that product says what is again wider by T:

    Λ_μ = Σ Λ_i·(I + T·Λ_i)⁻¹,   η_μ = Σ (I + Λ_i·T)⁻¹·η_i,   then the same once more for the sum

However many specimens taught, the next one is never known better than T lets it. The relations: convolution and
product of normal distributions in information form, any text on Bayesian statistics.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from setup_rules.inference.spring_memory import add_lesson, memory_from, memory_parts
from setup_rules.types import constants as c
from setup_rules.types.request import FrontEnd, RearEnd
from setup_rules.types.spring_memory import DIFFERENCES, SpringMemory


def memory_of_unit(specimens: Sequence[SpringMemory]) -> SpringMemory | None:
    """Return what the specimens of one fork or shock taught of another specimen.

    Parameters
    ----------
    specimens : sequence of SpringMemory
        One a specimen: the memory of a bike that has it, or the lesson of a single setup.

    Returns
    -------
    SpringMemory or None
        With the riders of all of them; None where nobody taught anything.

    Examples
    --------
    >>> one = SpringMemory(riders=2, shift=(20.0, 0.0, 0.0), precision=(200.0, 0.0, 0.0, 0.0, 0.0, 0.0))
    >>> found = memory_of_unit([one, one])
    >>> found.riders, found.precision[0] < 400.0, memory_of_unit([])
    (4, True, None)

    References
    ----------
    Convolution and product of normal distributions; the spread between specimens is our estimate
    (`setup_rules.types.constants.SPECIMEN_SIGMA`).
    """
    taught = [memory_parts(one) for one in specimens if one.riders]
    if not taught:
        return None
    of_model = _widened(np.array([shift for shift, _ in taught]), np.array([precision for _, precision in taught]))
    shift, precision = _widened(of_model[0].sum(axis=0), of_model[1].sum(axis=0))
    return memory_from(sum(one.riders for one in specimens), shift, precision)


def _widened(shift: Any, precision: Any) -> tuple[Any, Any]:
    """Return η and Λ of normal distributions, one or a stack of them, made wider by what specimens differ."""
    specimen = np.diag([c.SPECIMEN_SIGMA[name].value ** 2 for name in DIFFERENCES])
    narrowed = np.linalg.inv(np.eye(len(DIFFERENCES)) + precision @ specimen)
    wider = narrowed @ precision
    return (narrowed @ shift[..., None])[..., 0], (wider + np.swapaxes(wider, -1, -2)) / 2.0


def remembered_of(end: FrontEnd | RearEnd) -> SpringMemory | None:
    """Return all that others taught of an end's spring: on its own bike, and on other specimens of it."""
    if end.memory is None or end.unit_memory is None:
        return end.memory or end.unit_memory
    return add_lesson(end.memory, end.unit_memory)
