"""The rate of a round wire wound to a helix, from its strain energy, against the rule of every handbook.

Source: k = G·d⁴/(8·D³·n), close-coiled helical spring (any handbook of machine elements).

Confirmed: derived here with SymPy by Castigliano's theorem from the torsion of the wire alone (torque F·D/2, polar
moment π·d⁴/32, length π·D·n), so the handbook's own text was not opened; the numbers were worked by hand as well. The
shear modulus of spring steel, 79.3 GPa, is remembered.

Tolerance: the worked digits.
"""

from __future__ import annotations

import pytest
import sympy

from setup_rules.physics.coil_spring import CoilSpring
from setup_rules.physics.linkage import Leverage
from setup_rules.physics.spring import Site

HERE = Site(101_325.0, 101_325.0)
F, G, d, D, n = sympy.symbols("F G d D n", positive=True)


def derived_rate() -> sympy.Expr:
    """Return the rate from the energy of the twisted wire."""
    torque, polar, length = F * D / 2, sympy.pi * d**4 / 32, sympy.pi * D * n
    energy = torque**2 * length / (2 * G * polar)
    return sympy.simplify(F / sympy.diff(energy, F))


def test_the_energy_of_the_wire_gives_the_rule_of_the_handbook() -> None:
    assert sympy.simplify(derived_rate() - G * d**4 / (8 * D**3 * n)) == 0


@pytest.mark.parametrize(
    ("wire_mm", "mean_mm", "coils", "n_per_mm"),
    # 79 300·9⁴/(8·52³·6) = 77.09; 79 300·5⁴/(8·28³·30) = 9.407 N/mm.
    [(9.0, 52.0, 6.0, 77.09), (5.0, 28.0, 30.0, 9.407)],
)
def test_a_wound_spring_sags_by_its_load_over_that_rate(
    wire_mm: float, mean_mm: float, coils: float, n_per_mm: float
) -> None:
    values = {G: 79.3e9, d: wire_mm / 1000, D: mean_mm / 1000, n: coils}
    rate = float(derived_rate().subs(values))
    assert rate / 1000 == pytest.approx(n_per_mm, abs=0.006)
    sag_m = CoilSpring(travel_m=0.15).sag_m(rate, 300.0, HERE, Leverage())
    assert float(sag_m) == pytest.approx(300.0 / rate, rel=1e-9)
