"""Worked on paper, forks with an air negative: from rider and bike to pressure, sag and clicks.

Every step with its units stands before its sheet; `worked_sheet` says what is asked of one. What cannot be entered
(shares of the bike, unsprung mass, lower legs, gas) has our central estimate, typed here.
"""

from __future__ import annotations

from tests.published.on_paper import Chambers
from tests.published.worked_sheet import Sheet, State

# Mass: 0.40·(75 + 4) + 0.475·14 − 3.20 = 35.050 kg. Shares of the bike and 3.2 kg unsprung: our estimate.
# Along the leg: 35.050·9.80665·sin 65.5° = 312.77 N; without the rider, 0.475·14 − 3.20 = 3.45 kg, 30.79 N.
# A = π/4·31² = 754.77 mm², A_n = A − π/4·10² = 676.23 mm², V_n = 30 cm³, port at 6 mm; both legs A_l = 2.1·A = 1585.0
# mm², V_l = 2.3·A_l·140 = 510.4 cm³, gas 15 N: our estimates.
# 86.35 psi = 0.59534 MPa at a bench of 0.101325 MPa: 0.69667 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 3.290 mm: 754.8·(0.70699 − 0.10132) − 676.2·(0.75644 − 0.10132) + 1585·(0.10237 − 0.10132) + 15 =
# 30.8 N.
# With the rider, 31.290 mm: 754.8·(0.80906 − 0.10132) − 676.2·(0.47648 − 0.10132) + 1585·(0.11223 − 0.10132) + 15 =
# 312.8 N.
# Riding, n = 1.35: 10.826 N/mm, c = 2·0.42·√(10826·35.05·sin² 65.5°) = 470.9 N·s/m; the reference rider, 34.260 kg
# here at 74.71 psi, needs 433.3.
# Clicks: 18/2 − 18·ln(470.9/433.3)/ln 6 = 8.17.
TRAIL_FORK_AT_SEA_LEVEL = Sheet(
    body={
        "rider_mass_kg": 75,
        "kit_mass_kg": 4,
        "bike_mass_kg": 14,
        "riding_style": "trail",
        "rider_front_share_percent": 40,
        "front": {
            "travel_mm": 140,
            "head_angle_deg": 65.5,
            "bore_mm": 31,
            "rod_mm": 10,
            "positive_volume_cm3": 170,
            "negative_volume_cm3": 30,
            "port_position_mm": 6,
            "sag_target_percent": 20,
            "rebound_clicks": 18,
            "max_pressure_psi": 150,
        },
    },
    chambers=Chambers(
        travel=140,
        bore=31,
        volume=170000,
        negative_area=676.2278,
        negative_volume=30000,
        port=6,
        leg_area=1585.0120,
        leg_volume=510373.9,
        gas=15.0,
    ),
    share=0.40,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=65.5,
    ratio=0.42,
    answer=State(mass=35.0500, psi=86.35, rest=3.290, sag=28.0000, damping=470.85),
    reference=State(mass=34.2600, psi=74.71, rest=3.500, sag=31.5000, damping=433.30),
    wheel_sag=28.000,
    clicks=8,
    total=18,
)


# Mass: 0.39·(82 + 5) + 0.475·15.5 − 3.20 = 38.092 kg. Share of the standing rider: our estimate. Shares of the bike
# and 3.2 kg unsprung: our estimate.
# Along the leg: 38.092·9.80665·sin 64.5° = 337.17 N; without the rider, 0.475·15.5 − 3.20 = 4.162 kg, 36.84 N.
# A = π/4·31.5² = 779.31 mm², A_n = A − π/4·10² = 700.77 mm², V_n = 38 cm³, port at 8 mm; both legs A_l = 2.1·A =
# 1636.6 mm², V_l = 2.3·A_l·160 = 602.3 cm³, gas 15 N: our estimates.
# 78.00 psi = 0.53780 MPa at a bench of 0.101325 MPa: 0.63913 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 5.495 mm: 779.3·(0.65311 − 0.10132) − 700.8·(0.68737 − 0.10132) + 1637·(0.10286 − 0.10132) + 15 =
# 36.8 N.
# With the rider, 43.895 mm: 779.3·(0.77100 − 0.10132) − 700.8·(0.41836 − 0.10132) + 1637·(0.11505 − 0.10132) + 15 =
# 337.2 N.
# Riding, n = 1.35: 8.631 N/mm, c = 2·0.45·√(8631·38.09·sin² 64.5°) = 465.8 N·s/m; the reference rider, 34.260 kg here
# at 73.11 psi, needs 405.3.
# Clicks: 18/2 − 18·ln(465.8/405.3)/ln 6 = 7.60.
STANDING_RIDER_WITH_OUR_SHARE = Sheet(
    body={
        "rider_mass_kg": 82,
        "kit_mass_kg": 5,
        "bike_mass_kg": 15.5,
        "riding_style": "enduro",
        "front": {
            "travel_mm": 160,
            "head_angle_deg": 64.5,
            "bore_mm": 31.5,
            "rod_mm": 10,
            "positive_volume_cm3": 200,
            "negative_volume_cm3": 38,
            "port_position_mm": 8,
            "rebound_clicks": 18,
            "max_pressure_psi": 160,
        },
    },
    chambers=Chambers(
        travel=160,
        bore=31.5,
        volume=200000,
        negative_area=700.7715,
        negative_volume=38000,
        port=8,
        leg_area=1636.5538,
        leg_volume=602251.8,
        gas=15.0,
    ),
    share=0.39,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=64.5,
    ratio=0.45,
    answer=State(mass=38.0925, psi=78.00, rest=5.495, sag=38.4000, damping=465.77),
    reference=State(mass=34.2600, psi=73.11, rest=5.012, sag=36.0000, damping=405.30),
    wheel_sag=38.400,
    clicks=8,
    total=18,
)


# Mass: 0.39·(98 + 6) + 0.475·25 − 3.20 = 49.235 kg. Shares of the bike and 3.2 kg unsprung: our estimate.
# Along the leg: 49.235·9.80665·sin 64° = 433.97 N; without the rider, 0.475·25 − 3.20 = 8.675 kg, 76.46 N.
# A = π/4·32.2² = 814.33 mm², A_n = A − π/4·10² = 735.79 mm², V_n = 45 cm³, port at 8 mm; V(0) = 232 − 2·9 = 214 cm³;
# both legs A_l = 2.1·A = 1710.1 mm², V_l = 2.3·A_l·170 = 668.6 cm³, gas 15 N: our estimates.
# 96.20 psi = 0.66325 MPa at a bench of 0.101325 MPa: 0.76457 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 8.341 mm: 814.3·(0.78964 − 0.10132) − 735.8·(0.78471 − 0.10132) + 1710·(0.10353 − 0.10132) + 15 =
# 76.5 N.
# With the rider, 49.141 mm: 814.3·(0.94043 − 0.10132) − 735.8·(0.49445 − 0.10132) + 1710·(0.11589 − 0.10132) + 15 =
# 434.0 N.
# Riding, n = 1.35: 10.074 N/mm, c = 2·0.45·√(10074·49.23·sin² 64°) = 569.7 N·s/m; the reference rider, 34.260 kg here
# at 69.34 psi, needs 395.2.
# Clicks: 20/2 − 20·ln(569.7/395.2)/ln 6 = 5.92.
# Compression, 0.21 beside 0.20 for the reference: 4.61 of 15.
E_BIKE_WITH_VOLUME_SPACERS = Sheet(
    body={
        "rider_mass_kg": 98,
        "kit_mass_kg": 6,
        "bike_mass_kg": 25,
        "riding_style": "enduro",
        "rider_front_share_percent": 39,
        "front": {
            "travel_mm": 170,
            "head_angle_deg": 64,
            "bore_mm": 32.2,
            "rod_mm": 10,
            "positive_volume_cm3": 232,
            "negative_volume_cm3": 45,
            "port_position_mm": 8,
            "volume_spacers": 2,
            "volume_spacer_cm3": 9,
            "rebound_clicks": 20,
            "compression_clicks": 15,
            "max_pressure_psi": 160,
        },
    },
    chambers=Chambers(
        travel=170,
        bore=32.2,
        volume=214000,
        negative_area=735.7924,
        negative_volume=45000,
        port=8,
        leg_area=1710.0977,
        leg_volume=668648.2,
        gas=15.0,
    ),
    share=0.39,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=64,
    ratio=0.45,
    compression_ratio=0.21,
    answer=State(mass=49.2350, psi=96.20, rest=8.341, sag=40.8000, damping=569.71),
    reference=State(mass=34.2600, psi=69.34, rest=4.977, sag=38.2500, damping=395.15),
    wheel_sag=40.800,
    clicks=6,
    total=20,
    compression=5,
)


# Mass: 0.42·(25 + 1) + 0.475·8 − 2.56 = 12.160 kg. Shares of the bike and 3.2 kg unsprung: our estimate, times 8/10
# on so light a bike.
# Along the leg: 12.160·9.80665·sin 68° = 110.57 N; without the rider, 0.475·8 − 2.56 = 1.24 kg, 11.27 N.
# A = π/4·25² = 490.87 mm², A_n = A − π/4·8² = 440.61 mm², V_n = 12 cm³, port at 4 mm; both legs A_l = 2.1·A = 1030.8
# mm², V_l = 2.3·A_l·80 = 189.7 cm³, gas 15 N: our estimates.
# 33.23 psi = 0.22911 MPa at a bench of 0.101325 MPa: 0.33044 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 1.433 mm: 490.9·(0.33389 − 0.10132) − 440.6·(0.37074 − 0.10132) + 1031·(0.10212 − 0.10132) + 15 =
# 11.3 N.
# With the rider, 19.433 mm: 490.9·(0.38436 − 0.10132) − 440.6·(0.22774 − 0.10132) + 1031·(0.11329 − 0.10132) + 15 =
# 110.6 N.
# Riding, n = 1.35: 5.999 N/mm, c = 2·0.42·√(5999·12.16·sin² 68°) = 210.4 N·s/m; the reference rider, 34.260 kg
# here at 136.43 psi, needs 587.9.
# Clicks: 10/2 − 10·ln(210.4/587.9)/ln 6 = 10.74, beyond fully open: 10.
CHILD_OF_25_KG = Sheet(
    body={
        "rider_mass_kg": 25,
        "kit_mass_kg": 1,
        "bike_mass_kg": 8,
        "riding_style": "trail",
        "rider_front_share_percent": 42,
        "front": {
            "travel_mm": 80,
            "head_angle_deg": 68,
            "bore_mm": 25,
            "rod_mm": 8,
            "positive_volume_cm3": 68,
            "negative_volume_cm3": 12,
            "port_position_mm": 4,
            "rebound_clicks": 10,
            "max_pressure_psi": 120,
            "min_pressure_psi": 5,
        },
    },
    chambers=Chambers(
        travel=80,
        bore=25,
        volume=68000,
        negative_area=440.6084,
        negative_volume=12000,
        port=4,
        leg_area=1030.8351,
        leg_volume=189673.7,
        gas=15.0,
    ),
    share=0.42,
    bike_share=0.475,
    unsprung=2.56,
    reference_unsprung=3.2,
    angle=68,
    ratio=0.42,
    answer=State(mass=12.1600, psi=33.23, rest=1.433, sag=18.0000, damping=210.36),
    reference=State(mass=34.2600, psi=136.43, rest=2.300, sag=18.0000, damping=587.94),
    wheel_sag=18.000,
    clicks=10,
    total=10,
    clamped=True,
)


# Mass: 0.43·(64 + 3) + 0.475·12.5 − 3.20 = 31.548 kg. Shares of the bike and 3.2 kg unsprung: our estimate.
# Along the leg: 31.548·9.80665·sin 66° = 282.63 N; without the rider, wheel lifted, −3.20 = -3.2 kg, -28.67 N.
# A = π/4·30.5² = 730.62 mm², A_n = A − π/4·9² = 667.00 mm², V_n = 24 cm³, port at 5 mm; both legs A_l = 2.1·A =
# 1534.3 mm², V_l = 2.3·A_l·130 = 458.8 cm³, gas 15 N: our estimates.
# 133.00 psi = 0.91702 MPa at a bench of 0.101325 MPa: 1.01834 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 0.415 mm: 730.6·(1.02030 − 0.10132) − 667.0·(1.17375 − 0.10132) + 1534·(0.10147 − 0.10132) + 15 =
# -28.7 N.
# With the rider, 16.665 mm: 730.6·(1.10337 − 0.10132) − 667.0·(0.81146 − 0.10132) + 1534·(0.10731 − 0.10132) + 15 =
# 282.6 N.
# Riding, n = 1.35: 20.119 N/mm, c = 2·0.4·√(20119·31.55·sin² 66°) = 582.2 N·s/m; the reference rider, 34.260 kg
# here at 83.47 psi, needs 471.1.
# Clicks: 16/2 − 16·ln(582.2/471.1)/ln 6 = 6.11.
GAP_READ_WITH_THE_WHEEL_OFF_THE_GROUND = Sheet(
    body={
        "rider_mass_kg": 64,
        "kit_mass_kg": 3,
        "bike_mass_kg": 12.5,
        "riding_style": "park",
        "rider_front_share_percent": 43,
        "front": {
            "travel_mm": 130,
            "head_angle_deg": 66,
            "datum": "wheel_off_ground",
            "bore_mm": 30.5,
            "rod_mm": 9,
            "positive_volume_cm3": 158,
            "negative_volume_cm3": 24,
            "port_position_mm": 5,
            "rebound_clicks": 16,
            "max_pressure_psi": 160,
        },
    },
    chambers=Chambers(
        travel=130,
        bore=30.5,
        volume=158000,
        negative_area=666.9994,
        negative_volume=24000,
        port=5,
        leg_area=1534.2949,
        leg_volume=458754.2,
        gas=15.0,
    ),
    share=0.43,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=66,
    ratio=0.4,
    answer=State(mass=31.5475, psi=133.00, rest=0.415, sag=16.2500, damping=582.24),
    reference=State(mass=34.2600, psi=83.47, rest=0.000, sag=29.2500, damping=471.07),
    wheel_sag=16.250,
    clicks=6,
    total=16,
)


# Mass: 0.40·(90 + 4) + 0.475·14 − 3.20 = 41.050 kg. Shares of the bike and 3.2 kg unsprung: our estimate.
# Along the leg: 41.050·9.80665·sin 65° = 364.85 N; without the rider, 0.475·14 − 3.20 = 3.45 kg, 30.66 N.
# A = π/4·31.4² = 774.37 mm², A_n = A − π/4·10² = 695.83 mm², V_n = 36 cm³, port at 7 mm; both legs A_l = 2.1·A =
# 1626.2 mm², V_l = 2.3·A_l·150 = 561.0 cm³, gas 15 N: our estimates.
# 97.10 psi = 0.66948 MPa at a bench of 0.101325 MPa: 0.77081 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 3.769 mm: 774.4·(0.78310 − 0.10132) − 695.8·(0.84016 − 0.10132) + 1626·(0.10244 − 0.10132) + 15 =
# 30.7 N.
# With the rider, 36.769 mm: 774.4·(0.91013 − 0.10132) − 695.8·(0.52690 − 0.10132) + 1626·(0.11341 − 0.10132) + 15 =
# 364.8 N.
# Riding, n = 1.35: 11.077 N/mm, c = 2·0.42·√(11077·41.05·sin² 65°) = 513.4 N·s/m; the reference rider, 34.260 kg
# here at 74.61 psi, needs 421.5.
# Clicks: 4 + 12·ln(1100/513)/ln(1100/250) = 10.17.
# Compression, 0.2 beside 0.20 for the reference: 4.68 of 12.
REBOUND_OF_TWO_KNOWN_POINTS = Sheet(
    body={
        "rider_mass_kg": 90,
        "kit_mass_kg": 4,
        "bike_mass_kg": 14,
        "riding_style": "trail",
        "rider_front_share_percent": 40,
        "front": {
            "travel_mm": 150,
            "head_angle_deg": 65,
            "bore_mm": 31.4,
            "rod_mm": 10,
            "positive_volume_cm3": 186,
            "negative_volume_cm3": 36,
            "port_position_mm": 7,
            "sag_target_percent": 22,
            "rebound_clicks": 20,
            "rebound_points": [[4, 1100], [16, 250]],
            "compression_clicks": 12,
            "max_pressure_psi": 160,
        },
    },
    chambers=Chambers(
        travel=150,
        bore=31.4,
        volume=186000,
        negative_area=695.8314,
        negative_volume=36000,
        port=7,
        leg_area=1626.1795,
        leg_volume=561031.9,
        gas=15.0,
    ),
    share=0.40,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=65,
    ratio=0.42,
    compression_ratio=0.2,
    answer=State(mass=41.0500, psi=97.10, rest=3.769, sag=33.0000, damping=513.37),
    reference=State(mass=34.2600, psi=74.61, rest=4.172, sag=33.7500, damping=421.47),
    wheel_sag=33.000,
    clicks=10,
    total=20,
    compression=5,
)
