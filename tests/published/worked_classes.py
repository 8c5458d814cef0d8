"""Worked on paper, forks and shocks of which no internals are known: from rider and bike to pressure, sag and clicks.

Every step with its units stands before its sheet; `worked_sheet` says what is asked of one. What cannot be entered
(shares of the bike, unsprung mass, lower legs, gas) has our central estimate, typed here.
"""

from __future__ import annotations

from tests.published.on_paper import Chambers
from tests.published.worked_sheet import Sheet, State

# Mass: 0.39·(78 + 4) + 0.475·14 − 3.20 = 35.430 kg. Share of the standing rider: our estimate. Shares of the bike and
# 3.2 kg unsprung: our estimate.
# Along the leg: 35.430·9.80665·sin 66° = 317.41 N; without the rider, 0.475·14 − 3.20 = 3.45 kg, 30.91 N.
# Our estimate of the class: bore 30.8 mm, V(0) = 2.50·V_end = A·140·2.50/1.50 = 173.847 cm³, A_n = 0.93·A, V_n =
# 0.23·A·140 = 23.99 cm³, port at 0.055·140 mm.
# A = π/4·30.8² = 745.06 mm², A_n = 0.93·A = 692.91 mm², V_n = 23.991 cm³, port at 7.7 mm; both legs A_l = 2.1·A =
# 1564.6 mm², V_l = 2.3·A_l·140 = 503.8 cm³, gas 15 N: our estimates.
# 73.20 psi = 0.50469 MPa at a bench of 0.101325 MPa: 0.60601 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 6.529 mm: 745.1·(0.62346 − 0.10132) − 692.9·(0.64453 − 0.10132) + 1565·(0.10342 − 0.10132) + 15 =
# 30.9 N.
# With the rider, 38.029 mm: 745.1·(0.72401 − 0.10132) − 692.9·(0.36508 − 0.10132) + 1565·(0.11489 − 0.10132) + 15 =
# 317.4 N.
# Riding, n = 1.35: 9.284 N/mm, c = 2·0.42·√(9284·35.43·sin² 66°) = 440.1 N·s/m; the reference rider, 34.260 kg here
# at 69.88 psi, needs 425.2.
# Clicks: 16/2 − 16·ln(440.1/425.2)/ln 6 = 7.69.
FORK_OF_THE_34_MM_CLASS = Sheet(
    body={
        "rider_mass_kg": 78,
        "kit_mass_kg": 4,
        "bike_mass_kg": 14,
        "riding_style": "trail",
        "front": {"travel_mm": 140, "stanchion_mm": 34, "head_angle_deg": 66, "rebound_clicks": 16},
    },
    chambers=Chambers(
        travel=140,
        bore=30.8,
        volume=173847.36,
        negative_area=692.9059,
        negative_volume=23990.9357,
        port=7.7,
        leg_area=1564.6262,
        leg_volume=503809.6,
        gas=15.0,
    ),
    share=0.39,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=66,
    ratio=0.42,
    answer=State(mass=35.4300, psi=73.20, rest=6.529, sag=31.5000, damping=440.11),
    reference=State(mass=34.2600, psi=69.88, rest=6.581, sag=31.5000, damping=425.19),
    wheel_sag=31.500,
    clicks=8,
    total=16,
)


# Mass: 0.39·(85 + 6) + 0.475·16 − 3.20 = 39.890 kg. Share of the standing rider: our estimate. Shares of the bike and
# 3.2 kg unsprung: our estimate.
# Along the leg: 39.890·9.80665·sin 64° = 351.60 N; without the rider, 0.475·16 − 3.20 = 4.4 kg, 38.78 N.
# Our estimate of the class: bore 31.4 mm, V(0) = 2.55·V_end = A·160·2.55/1.55 = 203.834 cm³, A_n = 0.93·A, V_n =
# 0.3·A·160 = 37.17 cm³, port at 0.055·160 mm.
# A = π/4·31.4² = 774.37 mm², A_n = 0.93·A = 720.17 mm², V_n = 37.17 cm³, port at 8.8 mm; both legs A_l = 2.1·A =
# 1626.2 mm², V_l = 2.3·A_l·160 = 598.4 cm³, gas 15 N: our estimates.
# 81.94 psi = 0.56493 MPa at a bench of 0.101325 MPa: 0.66625 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 7.690 mm: 774.4·(0.68631 − 0.10132) − 720.2·(0.70220 − 0.10132) + 1626·(0.10349 − 0.10132) + 15 =
# 38.8 N.
# With the rider, 46.090 mm: 774.4·(0.80768 − 0.10132) − 720.2·(0.42621 − 0.10132) + 1626·(0.11583 − 0.10132) + 15 =
# 351.6 N.
# Riding, n = 1.35: 8.920 N/mm, c = 2·0.45·√(8920·39.89·sin² 64°) = 482.5 N·s/m; the reference rider, 34.260 kg here
# at 72.35 psi, needs 401.4.
# Clicks: 16/2 − 16·ln(482.5/401.4)/ln 6 = 6.36.
FORK_OF_THE_36_MM_CLASS_WITH_A_LARGE_NEGATIVE = Sheet(
    body={
        "rider_mass_kg": 85,
        "kit_mass_kg": 6,
        "bike_mass_kg": 16,
        "riding_style": "enduro",
        "front": {
            "travel_mm": 160,
            "stanchion_mm": 36,
            "negative_size": "large",
            "head_angle_deg": 64,
            "rebound_clicks": 16,
        },
    },
    chambers=Chambers(
        travel=160,
        bore=31.4,
        volume=203834.477,
        negative_area=720.1652,
        negative_volume=37169.8163,
        port=8.8,
        leg_area=1626.1795,
        leg_volume=598434.0,
        gas=15.0,
    ),
    share=0.39,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=64,
    ratio=0.45,
    answer=State(mass=39.8900, psi=81.94, rest=7.690, sag=38.4000, damping=482.51),
    reference=State(mass=34.2600, psi=72.35, rest=7.114, sag=36.0000, damping=401.35),
    wheel_sag=38.400,
    clicks=6,
    total=16,
)


# Mass: 0.39·(70 + 2) + 0.475·11 − 3.20 = 30.105 kg. Share of the standing rider: our estimate. Shares of the bike and
# 3.2 kg unsprung: our estimate.
# Along the leg: 30.105·9.80665·sin 69° = 275.62 N; without the rider, 0.475·11 − 3.20 = 2.025 kg, 18.54 N.
# Our estimate of the class: bore 28.5 mm, V(0) = 2.50·V_end = A·100·2.50/1.50 = 106.323 cm³.
# A = π/4·28.5² = 637.94 mm²; coil 4.5 N/mm over 32.5 mm; both legs A_l = 2.1·A = 1339.7 mm², V_l = 2.3·A_l·100 =
# 308.1 cm³, gas 15 N: our estimates.
# 62.95 psi = 0.43402 MPa at a bench of 0.101325 MPa: 0.53534 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 0.000 mm: 637.9·(0.53534 − 0.10132) − 4.5·32.50 + 1340·(0.10132 − 0.10132) + 15 = 145.6 N, more
# than is asked: fully extended.
# With the rider, 17.500 mm: 637.9·(0.59815 − 0.10132) − 4.5·15.00 + 1340·(0.10967 − 0.10132) + 15 = 275.6 N.
# Riding, n = 1.35: 8.887 N/mm, c = 2·0.36·√(8887·30.11·sin² 69°) = 347.7 N·s/m; the reference rider, 34.260 kg here
# at 62.71 psi, needs 439.4.
# Clicks: 16/2 − 16·ln(347.7/439.4)/ln 6 = 10.09.
FORK_OF_THE_32_MM_CLASS_WITH_A_COIL_NEGATIVE = Sheet(
    body={
        "rider_mass_kg": 70,
        "kit_mass_kg": 2,
        "bike_mass_kg": 11,
        "riding_style": "cross_country",
        "front": {
            "travel_mm": 100,
            "stanchion_mm": 32,
            "head_angle_deg": 69,
            "negative_spring": "coil",
            "rebound_clicks": 16,
        },
    },
    chambers=Chambers(
        travel=100,
        bore=28.5,
        volume=106323.276,
        coil_rate=4.5,
        coil_length=32.5,
        leg_area=1339.6733,
        leg_volume=308124.9,
        gas=15.0,
    ),
    share=0.39,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=69,
    ratio=0.36,
    answer=State(mass=30.1050, psi=62.95, rest=0.000, sag=17.5000, damping=347.68),
    reference=State(mass=34.2600, psi=62.71, rest=0.000, sag=22.5000, damping=439.42),
    wheel_sag=17.500,
    clicks=10,
    total=16,
)


# Mass: 0.39·(75 + 8) + 0.475·17 − 3.20 = 37.245 kg. Share of the standing rider: our estimate. Shares of the bike and
# 3.2 kg unsprung: our estimate.
# Along the leg: 37.245·9.80665·sin 63° = 325.44 N; without the rider, 0.475·17 − 3.20 = 4.875 kg, 42.60 N.
# Our estimate of the class: bore 33.0 mm, V(0) = 2.40·V_end = A·200·2.40/1.40 = 293.245 cm³, A_n = 0.93·A, V_n =
# 0.15·A·200 = 25.66 cm³, port at 0.055·200 mm, spacers of 8 cm³.
# A = π/4·33.0² = 855.30 mm², A_n = 0.93·A = 795.43 mm², V_n = 25.659 cm³, port at 11 mm; V(0) = 293.245 − 3·8 =
# 269.245 cm³; both legs A_l = 2.1·A = 1796.1 mm², V_l = 2.3·A_l·200 = 826.2 cm³, gas 15 N: our estimates.
# 45.01 psi = 0.31034 MPa at a bench of 0.101325 MPa: 0.41166 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 11.390 mm: 855.3·(0.42712 − 0.10132) − 795.4·(0.42275 − 0.10132) + 1796·(0.10390 − 0.10132) + 15
# = 42.6 N.
# With the rider, 63.390 mm: 855.3·(0.51546 − 0.10132) − 795.4·(0.19292 − 0.10132) + 1796·(0.11752 − 0.10132) + 15 =
# 325.4 N.
# Riding, n = 1.35: 5.252 N/mm, c = 2·0.5·√(5252·37.25·sin² 63°) = 394.1 N·s/m; the reference rider, 34.260 kg here at
# 46.65 psi, needs 329.0.
# Clicks: 16/2 − 16·ln(394.1/329.0)/ln 6 = 6.39.
FORK_OF_WHICH_ONLY_ITS_200_MM_ARE_KNOWN = Sheet(
    body={
        "rider_mass_kg": 75,
        "kit_mass_kg": 8,
        "bike_mass_kg": 17,
        "riding_style": "downhill",
        "front": {"travel_mm": 200, "negative_size": "small", "head_angle_deg": 63, "volume_spacers": 3},
    },
    chambers=Chambers(
        travel=200,
        bore=33.0,
        volume=269245.234,
        negative_area=795.4277,
        negative_volume=25658.958,
        port=11,
        leg_area=1796.1271,
        leg_volume=826218.4,
        gas=15.0,
    ),
    share=0.39,
    bike_share=0.475,
    unsprung=3.2,
    reference_unsprung=3.2,
    angle=63,
    ratio=0.5,
    answer=State(mass=37.2450, psi=45.01, rest=11.390, sag=52.0000, damping=394.06),
    reference=State(mass=34.2600, psi=46.65, rest=10.040, sag=45.0000, damping=328.98),
    wheel_sag=52.000,
    clicks=6,
    total=16,
)


# Mass: 0.61·(78 + 4) + 0.525·14 − 4.00 = 53.370 kg. Share of the standing rider: our estimate. Shares of the bike and
# 4.0 kg unsprung: our estimate.
# At the wheel 53.370·9.80665 = 523.38 N; without the rider, 0.525·14 − 4.00 = 3.35 kg, 32.85 N.
# Our estimate of the class: bore 41.0 mm, V(0) = 2.75·V_end = A·55·2.75/1.75 = 114.108 cm³, A_n = 0.82·A, V_n =
# 0.325·A·55 = 23.60 cm³, port at 0.055·55 mm, spacers of 6 cm³.
# A = π/4·41.0² = 1320.25 mm², A_n = 0.82·A = 1082.61 mm², V_n = 23.6 cm³, port at 3.025 mm; V(0) = 114.108 − 1·6 =
# 108.108 cm³; gas 90 N: our estimate.
# 210.68 psi = 1.45257 MPa at a bench of 0.101325 MPa: 1.55390 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 0.000 mm: 1320.3·(1.55390 − 0.10132) − 1082.6·(1.83741 − 0.10132) + 90 = 128.3 N (32.85·2.8000 =
# 92.0 N), more than is asked: fully extended.
# With the rider, 15.125 mm: 1320.3·(1.90595 − 0.10132) − 1082.6·(1.08476 − 0.10132) + 90 = 1407.9 N (523.38·2.6900 =
# 1407.9 N).
# Riding, n = 1.35: 93.82 N/mm at the shock, 13.492 at the wheel by LR = 2.6900 and its slope; c =
# 2·0.42·√(13492·53.37)·LR² = 5158 N·s/m; the reference rider, 51.540 kg here at 202.57 psi, needs 4977.
# Clicks: 14/2 − 14·ln(5157.9/4976.8)/ln 6 = 6.72.
SHOCK_OF_WHICH_ONLY_ITS_STROKE_IS_KNOWN = Sheet(
    body={
        "rider_mass_kg": 78,
        "kit_mass_kg": 4,
        "bike_mass_kg": 14,
        "riding_style": "trail",
        "rear": {
            "stroke_mm": 55,
            "leverage_start": 2.8,
            "leverage_end": 2.4,
            "rebound_clicks": 14,
            "volume_spacers": 1,
        },
    },
    chambers=Chambers(
        travel=55,
        bore=41.0,
        volume=108107.694,
        negative_area=1082.6085,
        negative_volume=23599.5458,
        port=3.025,
        gas=90.0,
    ),
    share=0.61,
    bike_share=0.525,
    unsprung=4,
    reference_unsprung=4.0,
    lever=((0, 2.8), (55, 2.4)),
    ratio=0.42,
    answer=State(mass=53.3700, psi=210.68, rest=0.000, sag=15.1250, damping=5157.85),
    reference=State(mass=51.5400, psi=202.57, rest=0.000, sag=15.1250, damping=4976.82),
    wheel_sag=41.518,
    clicks=7,
    total=14,
)


# Mass: 0.69·(88 + 5) + 0.525·15 − 4.00 = 68.045 kg. Share of the seated rider: our estimate. Shares of the bike and
# 4.0 kg unsprung: our estimate.
# At the wheel 68.045·9.80665 = 667.29 N; without the rider, 0.525·15 − 4.00 = 3.875 kg, 38.00 N.
# Our estimate of the class: bore 41.0 mm, V(0) = 2.75·V_end = A·60·2.75/1.75 = 124.481 cm³, A_n = 0.82·A, V_n =
# 0.415·A·60 = 32.87 cm³, port at 0.055·60 mm.
# A = π/4·41.0² = 1320.25 mm², A_n = 0.82·A = 1082.61 mm², V_n = 32.874 cm³, port at 3.3 mm; gas 90 N: our estimate.
# 279.22 psi = 1.92518 MPa at a bench of 0.101325 MPa: 2.02651 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 0.000 mm: 1320.3·(2.02651 − 0.10132) − 1082.6·(2.32822 − 0.10132) + 90 = 220.9 N (38.00·2.9000 =
# 110.2 N), more than is asked: fully extended.
# With the rider, 18.300 mm: 1320.3·(2.51456 − 0.10132) − 1082.6·(1.45273 − 0.10132) + 90 = 1813.0 N (667.29·2.7170 =
# 1813.0 N).
# Riding, n = 1.35: 102.61 N/mm at the shock, 14.804 at the wheel by LR = 2.7170 and its slope; c =
# 2·0.45·√(14804·68.05)·LR² = 6668 N·s/m; the reference rider, 57.860 kg here at 256.60 psi, needs 5555.
# Clicks: 14/2 − 14·ln(6668.2/5555.1)/ln 6 = 5.57.
SHOCK_WITH_A_LARGE_NEGATIVE = Sheet(
    body={
        "rider_mass_kg": 88,
        "kit_mass_kg": 5,
        "bike_mass_kg": 15,
        "riding_style": "enduro",
        "stance": "seated",
        "rear": {
            "stroke_mm": 60,
            "leverage_start": 2.9,
            "leverage_end": 2.3,
            "negative_size": "large",
            "max_pressure_psi": 400,
            "rebound_clicks": 14,
        },
    },
    chambers=Chambers(
        travel=60, bore=41.0, volume=124481.121, negative_area=1082.6085, negative_volume=32874.3324, port=3.3, gas=90.0
    ),
    share=0.69,
    bike_share=0.525,
    unsprung=4,
    reference_unsprung=4.0,
    lever=((0, 2.9), (60, 2.3)),
    ratio=0.45,
    answer=State(mass=68.0450, psi=279.22, rest=0.000, sag=18.3000, damping=6668.18),
    reference=State(mass=57.8600, psi=256.60, rest=0.000, sag=16.5000, damping=5555.06),
    wheel_sag=51.396,
    clicks=6,
    total=14,
)
