"""Worked on paper, a fork before and after 20 mm of travel spacers: from rider and bike to pressure, sag and clicks.

Every step with its units stands before its sheet; `worked_sheet` says what is asked of one. What cannot be entered
(shares of the bike, unsprung mass, lower legs, gas) has our central estimate, typed here.
"""

from __future__ import annotations

from tests.published.on_paper import Chambers
from tests.published.worked_sheet import Sheet, State

# Mass: 0.40·(77 + 4) + 0.475·14.5 − 3.20 = 36.087 kg. Shares of the bike and 3.2 kg unsprung: our estimate.
# Along the leg: 36.087·9.80665·sin 64.8° = 320.22 N; without the rider, 0.475·14.5 − 3.20 = 3.687 kg, 32.72 N.
# A = π/4·31.4² = 774.37 mm², A_n = A − π/4·10² = 695.83 mm², V_n = 34 cm³, port at 7 mm; both legs A_l = 2.1·A =
# 1626.2 mm², V_l = 2.3·A_l·160 = 598.4 cm³, gas 15 N: our estimates.
# 74.90 psi = 0.51642 MPa at a bench of 0.101325 MPa: 0.61775 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 4.446 mm: 774.4·(0.62879 − 0.10132) − 695.8·(0.66576 − 0.10132) + 1626·(0.10256 − 0.10132) + 15 =
# 32.7 N.
# With the rider, 40.446 mm: 774.4·(0.73524 − 0.10132) − 695.8·(0.39739 − 0.10132) + 1626·(0.11384 − 0.10132) + 15 =
# 320.2 N.
# Riding, n = 1.35: 8.557 N/mm, c = 2·0.42·√(8557·36.09·sin² 64.8°) = 422.4 N·s/m; the reference rider, 34.260 kg
# here at 70.09 psi, needs 401.4.
# Clicks: 16/2 − 16·ln(422.4/401.4)/ln 6 = 7.55.
BEFORE_THE_CHANGE_OF_TRAVEL = Sheet(
    body={
        "rider_mass_kg": 77,
        "kit_mass_kg": 4,
        "bike_mass_kg": 14.5,
        "riding_style": "trail",
        "rider_front_share_percent": 40,
        "front": {
            "travel_mm": 160,
            "longest_travel_mm": 160,
            "head_angle_deg": 64.8,
            "positive_volume_cm3": 196,
            "bore_mm": 31.4,
            "rod_mm": 10,
            "negative_volume_cm3": 34,
            "port_position_mm": 7,
            "rebound_clicks": 16,
            "max_pressure_psi": 160,
        },
    },
    chambers=Chambers(
        travel=160,
        bore=31.4,
        volume=196000,
        negative_area=695.8314,
        negative_volume=34000,
        port=7,
        leg_area=1626.1795,
        leg_volume=598434.0,
        gas=15.0,
    ),
    share=0.40,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=64.8,
    ratio=0.42,
    answer=State(mass=36.0875, psi=74.90, rest=4.446, sag=36.0000, damping=422.36),
    reference=State(mass=34.2600, psi=70.09, rest=4.367, sag=36.0000, damping=401.44),
    wheel_sag=36.000,
    clicks=8,
    total=16,
)


# Mass: 0.40·(77 + 4) + 0.475·14.5 − 3.20 = 36.087 kg. Shares of the bike and 3.2 kg unsprung: our estimate.
# Along the leg: 36.087·9.80665·sin 65.66° = 322.44 N; without the rider, 0.475·14.5 − 3.20 = 3.687 kg, 32.95 N.
# A = π/4·31.4² = 774.37 mm², A_n = A − π/4·10² = 695.83 mm², V_n = 34 cm³, port at 7 mm; both legs A_l = 2.1·A =
# 1626.2 mm², V_l = 2.3·A_l·160 − A_l·20 = 565.9 cm³, gas 15 N: our estimates.
# 82.65 psi = 0.56983 MPa at a bench of 0.101325 MPa: 0.67116 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 4.322 mm: 774.4·(0.68384 − 0.10132) − 695.8·(0.72677 − 0.10132) + 1626·(0.10260 − 0.10132) + 15 =
# 32.9 N.
# With the rider, 35.822 mm: 774.4·(0.79302 − 0.10132) − 695.8·(0.45644 − 0.10132) + 1626·(0.11295 − 0.10132) + 15 =
# 322.4 N.
# Riding, n = 1.35: 10.060 N/mm, c = 2·0.42·√(10060·36.09·sin² 65.66°) = 461.1 N·s/m; the reference rider, 34.260 kg
# here at 77.46 psi, needs 438.2.
# Clicks: 16/2 − 16·ln(461.1/438.2)/ln 6 = 7.55.
AFTER_20_MM_OF_TRAVEL_SPACERS = Sheet(
    body={
        "rider_mass_kg": 77,
        "kit_mass_kg": 4,
        "bike_mass_kg": 14.5,
        "riding_style": "trail",
        "rider_front_share_percent": 40,
        "front": {
            "travel_mm": 140,
            "longest_travel_mm": 160,
            "head_angle_deg": 65.66,
            "positive_volume_cm3": 180.513,
            "bore_mm": 31.4,
            "rod_mm": 10,
            "negative_volume_cm3": 34,
            "port_position_mm": 7,
            "rebound_clicks": 16,
            "max_pressure_psi": 160,
        },
    },
    chambers=Chambers(
        travel=140,
        bore=31.4,
        volume=180513,
        negative_area=695.8314,
        negative_volume=34000,
        port=7,
        leg_area=1626.1795,
        leg_volume=565910.5,
        gas=15.0,
    ),
    share=0.40,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=65.66,
    ratio=0.42,
    answer=State(mass=36.0875, psi=82.65, rest=4.322, sag=31.5000, damping=461.13),
    reference=State(mass=34.2600, psi=77.46, rest=4.250, sag=31.5000, damping=438.25),
    wheel_sag=31.500,
    clicks=8,
    total=16,
)
