"""Pushes on a shock whose inside is known, worked on paper, at the shock and at the wheel.

Source: balance of forces on the piston with the polytropic law, any text on thermodynamics; the definition of the
leverage ratio and virtual work, any text on mechanics; normal distributions weighed by their variances.

Confirmed: worked by hand below, with the product's estimates typed here.

Tolerance: the worked digits; 0.1 N for the curve, between two exponents a straight line.

The shock: bore 41 mm, rod 12 mm, 125 cm³ and 32 cm³ fully extended, port at 3 mm, stroke 55 mm; its gas pushes with
90 N, our estimate. 100 psi at sea level: 0.689476 + 0.101325 = 0.790801 MPa absolute. A push held for about 30 s moves
the air by the exponent 1.02, our estimate; pumping and cycling were slow. A = 1320.254 mm², A_n = 1207.157 mm².

- 10 mm: 0.790801·(125000/111797.5)^1.02 = 0.886165 MPa; at the port 0.790801·(125000/121039.2)^1.02 = 0.817206 MPa,
  in the negative chamber 0.817206·(35621.5/44071.6)^1.02 = 0.657711 MPa;
  1320.254·(0.886165 − 0.101325) − 1207.157·(0.657711 − 0.101325) + 90 = 454.5 N.
- 25 mm: 1.081141 and 0.462978 MPa: 947.0 N. 40 mm: 1.384426 and 0.356732 MPa: 1475.7 N.

Down 15, 20 and 25 N more, up as much less: friction 20 N on the mean. A force is good for 3 %: 13.64, 28.41 and
44.27 N; the mean of three half differences for √((13.64² + 28.41² + 44.27²)/3/6) = 12.81 N. Usual is 15 to 50 N:
32.5 ± 10.10 N. Both together (20/12.81² + 32.5/10.10²)/(1/12.81² + 1/10.10²) = 27.71 N.
"""

from __future__ import annotations

from typing import Any

import pytest

from setup_rules import Setup, read_request, recommend

DEPTHS, FORCES, HALF = (10.0, 25.0, 40.0), (454.54, 947.03, 1475.70), (15.0, 20.0, 25.0)
INSIDE = {
    "stroke_mm": 55,
    "leverage_start": 2.5,
    "leverage_end": 2.5,
    "bore_mm": 41,
    "rod_mm": 12,
    "positive_volume_cm3": 125,
    "negative_volume_cm3": 32,
    "port_position_mm": 3,
}


def asked(lever: float = 1.0, **test: Any) -> Setup:
    """Return the answer with the pushes, `lever` times as far and with so much less force; `test` changes them."""
    pushes = {
        "pressure_psi": 100,
        "compression_mm": [lever * x for x in DEPTHS],
        "force_down_n": [(n + half) / lever for n, half in zip(FORCES, HALF, strict=True)],
        "force_up_n": [(n - half) / lever for n, half in zip(FORCES, HALF, strict=True)],
    }
    rear = {**INSIDE, "spring_test": {**pushes, **test}}
    return recommend(read_request({"rider_mass_kg": 75, "riding_style": "trail", "rear": rear}))


@pytest.mark.parametrize(("lever", "at"), [(1.0, "spring"), (2.5, "wheel")])
def test_pushes_on_a_known_shock_lie_on_the_curve_that_was_worked(lever: float, at: str) -> None:
    rear = asked(lever, at=at).rear
    assert rear is not None
    assert rear.pushed is not None
    assert rear.pushed.compression_mm == pytest.approx(DEPTHS, abs=0.002)
    assert rear.pushed.force_n == pytest.approx(FORCES, abs=0.1)
    assert rear.pushed.residual_n == pytest.approx((0.0, 0.0, 0.0), abs=0.1)
    assert rear.pushed.friction_n == pytest.approx(27.71, abs=0.01)


def test_a_falling_linkage_carries_pushes_at_the_wheel_to_the_shock() -> None:
    # LR falls from 2.9 to 2.4 over 55 mm: at 22 mm it is 2.7, and the wheel has moved 22·(2.9 + 2.7)/2 = 61.6 mm; at
    # 11 mm 2.8 and 31.35 mm, at 44 mm 2.5 and 118.8 mm. The chambers there, as above: 0.896968 and 0.639830, 1.035641
    # and 0.492201, 1.495968 and 0.336102 MPa.
    wheel, ratio = (31.35, 61.6, 118.8), (2.8, 2.7, 2.5)
    forces = (490.39, 851.69, 1647.87)
    test = {
        "pressure_psi": 100,
        "compression_mm": wheel,
        "force_down_n": [n / r + 8 for n, r in zip(forces, ratio, strict=True)],
        "force_up_n": [n / r - 8 for n, r in zip(forces, ratio, strict=True)],
        "at": "wheel",
    }
    rear = {**INSIDE, "leverage_start": 2.9, "leverage_end": 2.4, "spring_test": test}
    end = recommend(read_request({"rider_mass_kg": 75, "riding_style": "trail", "rear": rear})).rear
    assert end is not None
    assert end.pushed is not None
    assert end.pushed.compression_mm == pytest.approx((11.0, 22.0, 44.0), abs=0.01)
    assert end.pushed.force_n == pytest.approx(forces, rel=1e-4)
