"""The relations whose outside checks are looked for: where each stands, and which of its arguments could be swapped."""

from __future__ import annotations

import importlib
import inspect
import itertools
import types
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from tests import structure

#: Rules beside the public relations, which give something else than plain numbers: springs, weights, verdicts, bounds.
#: An answer goes through them, so each is spoilt as well.
BESIDE: Final = (
    "setup_rules.types.units.convert",
    "setup_rules.types.units.to_base",
    "setup_rules.types.result.EndSetup.tolerance_mm",
    "setup_rules.physics.air_pressure.AirPressure.site",
    "setup_rules.inference.coil_class.draw_coil",
    "setup_rules.inference.size_class.draw_fork",
    "setup_rules.inference.size_class.draw_shock",
    "setup_rules.inference.posterior.Posterior.centre",
    "setup_rules.inference.posterior.low_discrepancy_sample",
    "setup_rules.inference.likelihood.sag_likelihood",
    "setup_rules.inference.likelihood.fit_rider",
    "setup_rules.inference.likelihood.with_drift",
    "setup_rules.inference.likelihood.expect",
    "setup_rules.inference.pressure_chart.chart_case",
    "setup_rules.inference.weighed_wheel.shares_after_scale",
    "setup_rules.inference.spring_test.fit_of",
    "setup_rules.inference.unit_memory.memory_of_unit",
    "setup_rules.workshop.leak_check.LeakReadings.hose",
    "setup_rules.workshop.leak_check.LeakResult.loss_a_week_pa",
    "setup_rules.advice.sag_check.middle_reading_mm",
    "setup_rules.advice.recommend.pressure_limits_pa",
    "setup_rules.advice.recommend.pumping_limits_pa",
    "setup_rules.advice.bounce_check.find_turn",
)


@dataclass(frozen=True)
class Rule:
    """One relation: its dotted name with its class, and whether `tests.structure` counts it as a public relation."""

    name: str
    public: bool = True
    pairs: tuple[tuple[str, str], ...] = ()

    @property
    def short(self) -> str:
        """Its name as the table says it."""
        return self.name.removeprefix("setup_rules.")

    @cached_property
    def function(self) -> types.FunctionType:
        """The function itself, below decorators, properties and caches."""
        parts = self.name.split(".")
        owner: Any = importlib.import_module(".".join(parts[:3]))
        for part in parts[3:-1]:
            owner = getattr(owner, part)
        found = inspect.getattr_static(owner, parts[-1])
        found = found.fget if isinstance(found, property) else found
        found = inspect.unwrap(getattr(found, "__func__", found))
        assert isinstance(found, types.FunctionType), self.name
        return found


def rules() -> list[Rule]:
    """Return every relation, the public ones first."""
    public = [
        Rule(f"{module.name}.{name}", True, swappable(function))
        for module in structure.read_modules(structure.ROOT).values()
        for name, function in structure.named_relations(module)
    ]
    return public + [Rule(name, public=False) for name in BESIDE]


def swappable(function: structure.Function) -> tuple[tuple[str, str], ...]:
    """Return the pairs of parameters that are documented with one unit: nobody notices when a caller turns them."""
    units = {name: unit.split(",")[0] for name, unit in structure.stated_units(function).items() if name != "return"}
    numbers = [one.arg for one in structure.parameters(function) if units.get(one.arg)]
    return tuple(pair for pair in itertools.combinations(numbers, 2) if units[pair[0]] == units[pair[1]])
