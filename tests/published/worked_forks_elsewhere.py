"""Worked on paper, forks with a coil negative or pumped elsewhere: from rider and bike to pressure, sag and clicks.

Every step with its units stands before its sheet; `worked_sheet` says what is asked of one. What cannot be entered
(shares of the bike, unsprung mass, lower legs, gas) has our central estimate, typed here.
"""

from __future__ import annotations

from tests.published.on_paper import AIR_AT, Chambers, Places
from tests.published.worked_sheet import Sheet, State

# Mass: 0.31·(68 + 2) + 0.475·10.5 − 3.20 = 23.488 kg. Share of the seated rider: our estimate. Shares of the bike and
# 3.2 kg unsprung: our estimate.
# Along the leg: 23.488·9.80665·sin 68.5° = 214.31 N; without the rider, 0.475·10.5 − 3.20 = 1.787 kg, 16.31 N.
# A = π/4·28² = 615.75 mm²; coil 3.5 N/mm over 30 mm; both legs A_l = 2.1·A = 1293.1 mm², V_l = 2.3·A_l·100 = 297.4
# cm³, gas 15 N: our estimates.
# 47.23 psi = 0.32564 MPa at a bench of 0.101325 MPa: 0.42697 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 0.000 mm: 615.8·(0.42697 − 0.10132) − 3.5·30.00 + 1293·(0.10132 − 0.10132) + 15 = 110.5 N, more
# than is asked: fully extended.
# With the rider, 17.500 mm: 615.8·(0.47853 − 0.10132) − 3.5·12.50 + 1293·(0.10967 − 0.10132) + 15 = 214.3 N.
# Riding, n = 1.35: 7.146 N/mm, c = 2·0.36·√(7146·23.49·sin² 68.5°) = 274.5 N·s/m; the reference rider, 27.940 kg here
# at 49.09 psi, needs 357.3.
# Clicks: 12/2 − 12·ln(274.5/357.3)/ln 6 = 7.77.
SEATED_RIDER_ON_A_COIL_NEGATIVE = Sheet(
    body={
        "rider_mass_kg": 68,
        "kit_mass_kg": 2,
        "bike_mass_kg": 10.5,
        "riding_style": "cross_country",
        "stance": "seated",
        "front": {
            "travel_mm": 100,
            "head_angle_deg": 68.5,
            "bore_mm": 28,
            "negative_spring": "coil",
            "negative_rate_n_per_mm": 3.5,
            "negative_length_mm": 30,
            "positive_volume_cm3": 100,
            "rebound_clicks": 12,
            "max_pressure_psi": 150,
        },
    },
    chambers=Chambers(
        travel=100,
        bore=28,
        volume=100000,
        coil_rate=3.5,
        coil_length=30,
        leg_area=1293.0795,
        leg_volume=297408.3,
        gas=15.0,
    ),
    share=0.31,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=68.5,
    ratio=0.36,
    answer=State(mass=23.4875, psi=47.23, rest=0.000, sag=17.5000, damping=274.45),
    reference=State(mass=27.9400, psi=49.09, rest=0.000, sag=22.5000, damping=357.25),
    wheel_sag=17.500,
    clicks=8,
    total=12,
)


# Mass: 0.38·(80 + 6) + 0.475·13 − 3.20 = 35.655 kg. Shares of the bike and 3.2 kg unsprung: our estimate.
# Along the leg: 35.655·9.80665·sin 67° = 321.86 N; without the rider, 0.475·13 − 3.20 = 2.975 kg, 26.86 N.
# A = π/4·29² = 660.52 mm²; coil 7 N/mm over 42 mm; both legs A_l = 2.1·A = 1387.1 mm², V_l = 2.3·A_l·120 = 382.8 cm³,
# gas 15 N: our estimates.
# 74.63 psi = 0.51459 MPa at a bench of 0.095461 MPa, times 268.15/293.15 K: 0.55802 MPa absolute on the ride, in air
# of 0.070109 MPa; legs closed at the bench: 0.08732 MPa.
# Without the rider, 0.000 mm: 660.5·(0.55802 − 0.07011) − 7·42.00 + 1387·(0.08732 − 0.07011) + 15 = 67.1 N, more than
# is asked: fully extended.
# With the rider, 26.400 mm: 660.5·(0.64447 − 0.07011) − 7·15.60 + 1387·(0.09656 − 0.07011) + 15 = 321.9 N.
# Riding, n = 1.35: 11.097 N/mm, c = 2·0.42·√(11097·35.65·sin² 67°) = 486.4 N·s/m; the reference rider, 34.260 kg
# here at 70.78 psi, needs 474.2.
# Clicks: 14/2 − 14·ln(486.4/474.2)/ln 6 = 6.80.
COIL_NEGATIVE_RIDDEN_COLD_AND_HIGH = Sheet(
    body={
        "rider_mass_kg": 80,
        "kit_mass_kg": 6,
        "bike_mass_kg": 13,
        "riding_style": "trail",
        "rider_front_share_percent": 38,
        "bench": {"temperature_c": 20, "altitude_m": 500},
        "ride": {"temperature_c": -5, "altitude_m": 3000},
        "front": {
            "travel_mm": 120,
            "head_angle_deg": 67,
            "bore_mm": 29,
            "negative_spring": "coil",
            "negative_rate_n_per_mm": 7,
            "negative_length_mm": 42,
            "positive_volume_cm3": 130,
            "sag_target_percent": 22,
            "rebound_clicks": 14,
            "max_pressure_psi": 160,
        },
    },
    chambers=Chambers(
        travel=120,
        bore=29,
        volume=130000,
        coil_rate=7,
        coil_length=42,
        leg_area=1387.0917,
        leg_volume=382837.3,
        gas=15.0,
    ),
    places=Places(bench_air=AIR_AT[500], ride_air=AIR_AT[3000], bench_k=293.15, ride_k=268.15),
    share=0.38,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=67,
    ratio=0.42,
    answer=State(mass=35.6550, psi=74.63, rest=0.000, sag=26.4000, damping=486.36),
    reference=State(mass=34.2600, psi=70.78, rest=0.000, sag=27.0000, damping=474.16),
    wheel_sag=26.400,
    clicks=7,
    total=14,
)


# Mass: 0.41·(72 + 7) + 0.475·17 − 3.20 = 37.265 kg. Shares of the bike and 3.2 kg unsprung: our estimate.
# Along the leg: 37.265·9.80665·sin 63.5° = 327.05 N; without the rider, 0.475·17 − 3.20 = 4.875 kg, 42.78 N.
# A = π/4·33² = 855.30 mm², A_n = A − π/4·12² = 742.20 mm², V_n = 50 cm³, port at 9 mm; both legs A_l = 2.1·A = 1796.1
# mm², V_l = 2.3·A_l·200 = 826.2 cm³, gas 15 N: our estimates.
# 64.73 psi = 0.44632 MPa at a bench of 0.079495 MPa, times 301.15/283.15 K: 0.55924 MPa absolute on the ride, in air
# of 0.101325 MPa; legs closed at the bench: 0.08455 MPa.
# Without the rider, 9.185 mm: 855.3·(0.57482 − 0.10132) − 742.2·(0.57310 − 0.10132) + 1796·(0.08627 − 0.10132) + 15 =
# 42.8 N.
# With the rider, 61.185 mm: 855.3·(0.68238 − 0.10132) − 742.2·(0.34128 − 0.10132) + 1796·(0.09752 − 0.10132) + 15 =
# 327.0 N.
# Riding, n = 1.35: 6.088 N/mm, c = 2·0.5·√(6088·37.27·sin² 63.5°) = 426.3 N·s/m; the reference rider, 34.260 kg
# here at 68.62 psi, needs 357.3.
# Clicks: 22/2 − 22·ln(426.3/357.3)/ln 6 = 8.83.
CLOSED_HIGH_AND_COOL_RIDDEN_LOW_AND_WARM = Sheet(
    body={
        "rider_mass_kg": 72,
        "kit_mass_kg": 7,
        "bike_mass_kg": 17,
        "riding_style": "downhill",
        "rider_front_share_percent": 41,
        "bench": {"temperature_c": 10, "altitude_m": 2000},
        "ride": {"temperature_c": 28, "altitude_m": 0},
        "front": {
            "travel_mm": 200,
            "head_angle_deg": 63.5,
            "bore_mm": 33,
            "rod_mm": 12,
            "positive_volume_cm3": 290,
            "negative_volume_cm3": 50,
            "port_position_mm": 9,
            "rebound_clicks": 22,
            "max_pressure_psi": 120,
        },
    },
    chambers=Chambers(
        travel=200,
        bore=33,
        volume=290000,
        negative_area=742.2013,
        negative_volume=50000,
        port=9,
        leg_area=1796.1271,
        leg_volume=826218.4,
        gas=15.0,
    ),
    places=Places(bench_air=AIR_AT[2000], ride_air=AIR_AT[0], bench_k=283.15, ride_k=301.15),
    share=0.41,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=63.5,
    ratio=0.5,
    answer=State(mass=37.2650, psi=64.73, rest=9.185, sag=52.0000, damping=426.28),
    reference=State(mass=34.2600, psi=68.62, rest=7.174, sag=45.0000, damping=357.35),
    wheel_sag=52.000,
    clicks=9,
    total=22,
)
