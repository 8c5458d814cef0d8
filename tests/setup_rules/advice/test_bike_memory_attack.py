"""What somebody with a bike's memory before and after one rider learns of that rider's weight: no more than a pressure.

The attacker has both memories to the last digit, the bike, every rule and what was pumped, tries every weight with
every reading in whole millimetres, and keeps the pairs that lead to the same memory. What the rider weighs follows only
within the kit, which nobody knows better than 4 ± 2 kg (our estimate); a pressure that was set by the tool tells as
much. Where the pressure on the bike is another rider's by now, the memory alone says far less.
"""

from __future__ import annotations

import functools
from typing import Any

import numpy as np
import pytest

from setup_rules import (
    SagCheck,
    Setup,
    SpringMemory,
    add_lesson,
    apply_sag_check,
    lesson_of,
    read_request,
    recommend,
    with_memories,
)
from setup_rules.types.units import PSI_PA

BIKES: dict[str, dict[str, Any]] = {
    "front": {"travel_mm": 140, "stanchion_mm": 34, "max_pressure_psi": 200},
    "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "max_pressure_psi": 350},
}
#: Rider with kit, and how far about it is tried.
SUM_KG, TRIED_KG = 86.0, np.arange(-14.0, 14.5, 2.0)
#: The tool's number and the card's tell rider and kit together; this is what the kit then leaves open, at 90 %.
KIT_SIGMA_KG, BY_THE_KIT_KG = 2.0, 3.2


@functools.cache
def asked(name: Any, kg: float, memory: SpringMemory) -> Setup:
    body = {"rider_mass_kg": kg, "kit_mass_kg": 0, "riding_style": "trail", name: BIKES[name]}
    return recommend(with_memories(read_request(body), {name: memory}))


def remembered(name: Any, kg: float, memory: SpringMemory, psi: float, read_mm: float) -> SpringMemory:
    """Return the bike's memory after one rider's check."""
    check = SagCheck(end=name, pressure_pa=psi * PSI_PA, readings_mm=(read_mm,), confirm=True)
    lesson = lesson_of(apply_sag_check(asked(name, kg, memory), check), name)
    # A reading that its spring does not explain teaches nothing, and so tells nothing.
    return memory if lesson is None else add_lesson(memory, lesson)


@functools.cache
def before(name: Any) -> SpringMemory:
    """Return what two earlier riders taught."""
    memory = SpringMemory.nothing()
    for kg, share in ((65.0, 1.2), (92.0, 1.1)):
        end = asked(name, kg, memory).ends()[0]
        memory = remembered(name, kg, memory, end.pressure_pa / PSI_PA, round(share * end.sag_target_mm))
    return memory


def half_width_kg(belief: np.ndarray, kg: np.ndarray) -> float:
    """Return half of the interval that holds 90 % of a belief in steps."""
    cumulated = (np.cumsum(belief) - 0.5 * belief) / belief.sum()
    low, high = np.interp((0.05, 0.95), cumulated, kg)
    return float(high - low) / 2


def rider_belief(of_sum: np.ndarray, sums_kg: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return what is believed of the rider alone when the sum with the kit is believed so."""
    riders = np.arange(sums_kg.min() - 12.0, sums_kg.max() + 1.0, 0.25)
    kit = sums_kg[None, :] - riders[:, None]
    return np.exp(-0.5 * ((kit - 4.0) / KIT_SIGMA_KG) ** 2) @ of_sum, riders


@pytest.mark.parametrize("name", BIKES)
def test_two_memories_tell_no_more_of_a_rider_than_a_pressure_does(name: Any) -> None:
    memory, end = before(name), asked(name, SUM_KG, before(name)).ends()[0]
    psi, read_mm = round(end.pressure_pa / PSI_PA), round(1.1 * end.sag_target_mm)
    truth = remembered(name, SUM_KG, memory, psi, read_mm)
    sums, belief = SUM_KG + TRIED_KG, np.zeros(len(TRIED_KG))
    for row, kg in enumerate(sums):
        # Heavier riders read more: only near that line can the memory be the same.
        near = round(read_mm * kg / SUM_KG)
        found = [remembered(name, float(kg), memory, psi, mm) == truth for mm in range(near - 4, near + 5)]
        belief[row] = sum(found)
    assert belief[len(belief) // 2] > 0
    alone = half_width_kg(belief, sums)
    rider = half_width_kg(*rider_belief(belief, sums))
    print(f"{name}: {belief} rider and kit ± {alone:.1f} kg from the memories, rider ± {rider:.1f} kg")
    assert rider >= BY_THE_KIT_KG
