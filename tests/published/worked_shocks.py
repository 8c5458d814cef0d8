"""Worked on paper, shocks: from rider and bike to pressure, sag and clicks.

Every step with its units stands before its sheet; `worked_sheet` says what is asked of one. What cannot be entered
(shares of the bike, unsprung mass, lower legs, gas) has our central estimate, typed here.
"""

from __future__ import annotations

from tests.published.on_paper import AIR_AT, Chambers, Places
from tests.published.worked_sheet import Sheet, State

# Mass: 0.60·(78 + 4) + 0.525·14 − 4.00 = 52.550 kg. Shares of the bike and 4.0 kg unsprung: our estimate.
# At the wheel 52.550·9.80665 = 515.34 N; without the rider, 0.525·14 − 4.00 = 3.35 kg, 32.85 N.
# A = π/4·41² = 1320.25 mm², A_n = A − π/4·12² = 1207.16 mm², V_n = 32 cm³, port at 3 mm; gas 90 N: our estimate.
# 229.48 psi = 1.58218 MPa at a bench of 0.101325 MPa: 1.68350 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 1.203 mm: 1320.3·(1.70517 − 0.10132) − 1207.2·(1.85136 − 0.10132) + 90 = 94.9 N (32.85·2.8891 =
# 94.9 N).
# With the rider, 17.703 mm: 1320.3·(2.07067 − 0.10132) − 1207.2·(1.16042 − 0.10132) + 90 = 1411.5 N (515.34·2.7391 =
# 1411.5 N).
# Riding, n = 1.35: 90.72 N/mm at the shock, 12.716 at the wheel by LR = 2.7391 and its slope; c =
# 2·0.42·√(12716·52.55)·LR² = 5152 N·s/m; the reference rider, 51.540 kg here at 243.81 psi, needs 5295.
# Clicks: 14/2 − 14·ln(5151.7/5295.4)/ln 6 = 7.21.
# Compression, 0.2 beside 0.20 for the reference: 6.18 of 12.
LEVERAGE_FALLING = Sheet(
    body={
        "rider_mass_kg": 78,
        "kit_mass_kg": 4,
        "bike_mass_kg": 14,
        "riding_style": "trail",
        "rider_front_share_percent": 40,
        "rear": {
            "stroke_mm": 55,
            "leverage_start": 2.9,
            "leverage_end": 2.4,
            "bore_mm": 41,
            "rod_mm": 12,
            "positive_volume_cm3": 125,
            "negative_volume_cm3": 32,
            "port_position_mm": 3,
            "sag_target_percent": 30,
            "rebound_clicks": 14,
            "compression_clicks": 12,
            "max_pressure_psi": 325,
        },
    },
    chambers=Chambers(
        travel=55, bore=41, volume=125000, negative_area=1207.1570, negative_volume=32000, port=3, gas=90.0
    ),
    share=0.60,
    bike_share=0.525,
    unsprung=4,
    reference_unsprung=4.0,
    lever=((0, 2.9), (55, 2.4)),
    ratio=0.42,
    compression_ratio=0.2,
    answer=State(mass=52.5500, psi=229.48, rest=1.203, sag=16.5000, damping=5151.72),
    reference=State(mass=51.5400, psi=243.81, rest=1.194, sag=15.1250, damping=5295.36),
    wheel_sag=46.432,
    clicks=7,
    total=14,
    compression=6,
)


# Mass: 0.58·(66 + 3) + 0.525·11 − 4.00 = 41.795 kg. Shares of the bike and 4.0 kg unsprung: our estimate.
# At the wheel 41.795·9.80665 = 409.87 N; without the rider, 0.525·11 − 4.00 = 1.775 kg, 17.41 N.
# A = π/4·38² = 1134.11 mm², A_n = A − π/4·11² = 1039.08 mm², V_n = 18 cm³, port at 2.5 mm; gas 90 N: our estimate.
# 195.62 psi = 1.34876 MPa at a bench of 0.101325 MPa: 1.45009 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 0.779 mm: 1134.1·(1.46480 − 0.10132) − 1039.1·(1.64082 − 0.10132) + 90 = 36.7 N (17.41·2.1069 =
# 36.7 N).
# With the rider, 10.904 mm: 1134.1·(1.68718 − 0.10132) − 1039.1·(1.05226 − 0.10132) + 90 = 900.5 N (409.87·2.1969 =
# 900.5 N).
# Riding, n = 1.35: 91.03 N/mm at the shock, 18.105 at the wheel by LR = 2.1969 and its slope; c =
# 2·0.36·√(18105·41.80)·LR² = 3023 N·s/m; the reference rider, 51.540 kg here at 207.42 psi, needs 3930.
# Clicks: 15/2 − 15·ln(3022.9/3929.8)/ln 6 = 9.70.
LEVERAGE_RISING = Sheet(
    body={
        "rider_mass_kg": 66,
        "kit_mass_kg": 3,
        "bike_mass_kg": 11,
        "riding_style": "cross_country",
        "rider_front_share_percent": 42,
        "rear": {
            "stroke_mm": 45,
            "leverage_start": 2.1,
            "leverage_end": 2.5,
            "bore_mm": 38,
            "rod_mm": 11,
            "positive_volume_cm3": 88,
            "negative_volume_cm3": 18,
            "port_position_mm": 2.5,
            "rebound_clicks": 15,
            "max_pressure_psi": 300,
        },
    },
    chambers=Chambers(
        travel=45, bore=38, volume=88000, negative_area=1039.0818, negative_volume=18000, port=2.5, gas=90.0
    ),
    share=0.58,
    bike_share=0.525,
    unsprung=4,
    reference_unsprung=4.0,
    lever=((0, 2.1), (45, 2.5)),
    ratio=0.36,
    answer=State(mass=41.7950, psi=195.62, rest=0.779, sag=10.1250, damping=3022.91),
    reference=State(mass=51.5400, psi=207.42, rest=1.069, sag=12.3750, damping=3929.76),
    wheel_sag=21.788,
    clicks=10,
    total=15,
)


# Mass: 0.61·(105 + 7) + 0.525·18 − 4.00 = 73.770 kg. Share of the standing rider: our estimate. Shares of the bike
# and 4.0 kg unsprung: our estimate.
# At the wheel 73.770·9.80665 = 723.44 N; without the rider, wheel lifted, −4.00 = -4 kg, -39.23 N.
# A = π/4·45² = 1590.43 mm², A_n = A − π/4·20² = 1276.27 mm², V_n = 40 cm³, port at 4 mm; gas 90 N: our estimate.
# 241.68 psi = 1.66631 MPa at a bench of 0.101325 MPa: 1.76763 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 0.000 mm: 1590.4·(1.76763 − 0.10132) − 1276.3·(2.06228 − 0.10132) + 90 = 237.4 N (-39.23·3.0000 =
# -117.7 N), more than is asked: fully extended.
# With the rider, 22.750 mm: 1590.4·(2.18343 − 0.10132) − 1276.3·(1.19492 − 0.10132) + 90 = 2005.7 N (723.44·2.7725 =
# 2005.7 N).
# Riding, n = 1.35: 86.53 N/mm at the shock, 12.199 at the wheel by LR = 2.7725 and its slope; c =
# 2·0.5·√(12199·73.77)·LR² = 7292 N·s/m; the reference rider, 51.540 kg here at 188.05 psi, needs 4642.
# Clicks: 16/2 − 16·ln(7291.9/4641.8)/ln 6 = 3.97.
TABLE_OF_LEVERAGE_WITH_THE_WHEEL_OFF_THE_GROUND = Sheet(
    body={
        "rider_mass_kg": 105,
        "kit_mass_kg": 7,
        "bike_mass_kg": 18,
        "riding_style": "downhill",
        "rear": {
            "stroke_mm": 70,
            "leverage_table": [[0, 3.0], [30, 2.7], [70, 2.5]],
            "datum": "wheel_off_ground",
            "bore_mm": 45,
            "rod_mm": 20,
            "positive_volume_cm3": 190,
            "negative_volume_cm3": 40,
            "port_position_mm": 4,
            "rebound_clicks": 16,
            "max_pressure_psi": 400,
        },
    },
    chambers=Chambers(
        travel=70, bore=45, volume=190000, negative_area=1276.2720, negative_volume=40000, port=4, gas=90.0
    ),
    share=0.61,
    bike_share=0.525,
    unsprung=4,
    reference_unsprung=4.0,
    lever=((0, 3.0), (30, 2.7), (70, 2.5)),
    ratio=0.5,
    answer=State(mass=73.7700, psi=241.68, rest=0.000, sag=22.7500, damping=7291.90),
    reference=State(mass=51.5400, psi=188.05, rest=0.000, sag=19.2500, damping=4641.76),
    wheel_sag=65.662,
    clicks=4,
    total=16,
)


# Mass: 0.60·(74 + 8) + 0.525·13.5 − 4.00 = 52.287 kg. Shares of the bike and 4.0 kg unsprung: our estimate.
# At the wheel 52.287·9.80665 = 512.77 N; without the rider, 0.525·13.5 − 4.00 = 3.088 kg, 30.28 N.
# A = π/4·40² = 1256.64 mm², A_n = A − π/4·12² = 1143.54 mm², V_n = 20 cm³, port at 3 mm; gas 90 N: our estimate.
# 253.77 psi = 1.74970 MPa at a bench of 0.101325 MPa, times 263.15/293.15 K: 1.66160 MPa absolute on the ride, in air
# of 0.079495 MPa.
# Without the rider, 1.520 mm: 1256.6·(1.69151 − 0.07950) − 1143.5·(1.85575 − 0.07950) + 90 = 84.5 N (30.28·2.7909 =
# 84.5 N).
# With the rider, 15.270 mm: 1256.6·(2.02060 − 0.07950) − 1143.5·(1.07684 − 0.07950) + 90 = 1388.8 N (512.77·2.7084 =
# 1388.8 N).
# Riding, n = 1.35: 99.25 N/mm at the shock, 13.950 at the wheel by LR = 2.7084 and its slope; c =
# 2·0.42·√(13950·52.29)·LR² = 5262 N·s/m; the reference rider, 51.540 kg here at 248.86 psi, needs 5174.
# Clicks: 14/2 − 14·ln(5262.3/5173.9)/ln 6 = 6.87.
RIDDEN_AT_MINUS_TEN_AT_2000_M = Sheet(
    body={
        "rider_mass_kg": 74,
        "kit_mass_kg": 8,
        "bike_mass_kg": 13.5,
        "riding_style": "trail",
        "rider_front_share_percent": 40,
        "bench": {"temperature_c": 20, "altitude_m": 0},
        "ride": {"temperature_c": -10, "altitude_m": 2000},
        "rear": {
            "stroke_mm": 50,
            "leverage_start": 2.8,
            "leverage_end": 2.5,
            "bore_mm": 40,
            "rod_mm": 12,
            "positive_volume_cm3": 108,
            "negative_volume_cm3": 20,
            "port_position_mm": 3,
            "rebound_clicks": 14,
            "max_pressure_psi": 330,
        },
    },
    chambers=Chambers(
        travel=50, bore=40, volume=108000, negative_area=1143.5397, negative_volume=20000, port=3, gas=90.0
    ),
    places=Places(bench_air=AIR_AT[0], ride_air=AIR_AT[2000], bench_k=293.15, ride_k=263.15),
    share=0.60,
    bike_share=0.525,
    unsprung=4,
    reference_unsprung=4.0,
    lever=((0, 2.8), (50, 2.5)),
    ratio=0.42,
    answer=State(mass=52.2875, psi=253.77, rest=1.520, sag=13.7500, damping=5262.34),
    reference=State(mass=51.5400, psi=248.86, rest=1.574, sag=13.7500, damping=5173.92),
    wheel_sag=37.807,
    clicks=7,
    total=14,
)


# Mass: 0.69·(92 + 5) + 0.525·25 − 4.00 = 76.055 kg. Share of the seated rider: our estimate. Shares of the bike and
# 4.0 kg unsprung: our estimate.
# At the wheel 76.055·9.80665 = 745.84 N; without the rider, 0.525·25 − 4.00 = 9.125 kg, 89.49 N.
# A = π/4·44² = 1520.53 mm², A_n = A − π/4·19² = 1237.00 mm², V_n = 36 cm³, port at 4 mm; V(0) = 172 − 1·7 = 165 cm³;
# gas 90 N: our estimate.
# 247.30 psi = 1.70511 MPa at a bench of 0.101325 MPa: 1.80643 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 0.632 mm: 1520.5·(1.81701 − 0.10132) − 1237.0·(2.08804 − 0.10132) + 90 = 241.2 N (89.49·2.6951 =
# 241.2 N).
# With the rider, 20.457 mm: 1520.5·(2.22608 − 0.10132) − 1237.0·(1.25277 − 0.10132) + 90 = 1896.4 N (745.84·2.5426 =
# 1896.4 N).
# Riding, n = 1.35: 94.11 N/mm at the shock, 15.443 at the wheel by LR = 2.5426 and its slope; c =
# 2·0.45·√(15443·76.05)·LR² = 6306 N·s/m; the reference rider, 57.860 kg here at 205.97 psi, needs 4779.
# Clicks: 3 + 12·ln(9000/6306)/ln(9000/2500) = 6.33.
E_BIKE_WITH_SPACER_AND_TWO_KNOWN_POINTS = Sheet(
    body={
        "rider_mass_kg": 92,
        "kit_mass_kg": 5,
        "bike_mass_kg": 25,
        "riding_style": "enduro",
        "stance": "seated",
        "rear": {
            "stroke_mm": 65,
            "leverage_start": 2.7,
            "leverage_end": 2.2,
            "bore_mm": 44,
            "rod_mm": 19,
            "positive_volume_cm3": 172,
            "negative_volume_cm3": 36,
            "port_position_mm": 4,
            "volume_spacers": 1,
            "volume_spacer_cm3": 7,
            "rebound_clicks": 18,
            "rebound_points": [[3, 9000], [15, 2500]],
            "max_pressure_psi": 400,
        },
    },
    chambers=Chambers(
        travel=65, bore=44, volume=165000, negative_area=1237.0021, negative_volume=36000, port=4, gas=90.0
    ),
    share=0.69,
    bike_share=0.525,
    unsprung=4,
    reference_unsprung=4.0,
    lever=((0, 2.7), (65, 2.2)),
    ratio=0.45,
    answer=State(mass=76.0550, psi=247.30, rest=0.632, sag=19.8250, damping=6305.94),
    reference=State(mass=57.8600, psi=205.97, rest=0.000, sag=17.8750, damping=4778.76),
    wheel_sag=51.920,
    clicks=6,
    total=18,
)


# Mass: 0.58·(25 + 1) + 0.525·9 − 3.60 = 16.205 kg. Shares of the bike and 4.0 kg unsprung: our estimate, times 9/10
# on so light a bike.
# At the wheel 16.205·9.80665 = 158.92 N; without the rider, 0.525·9 − 3.60 = 1.125 kg, 11.03 N.
# A = π/4·35² = 962.11 mm², A_n = A − π/4·14² = 808.17 mm², V_n = 9 cm³, port at 2 mm; gas 90 N: our estimate.
# 52.82 psi = 0.36415 MPa at a bench of 0.101325 MPa: 0.46547 MPa absolute on the ride, in air of 0.101325 MPa.
# Without the rider, 0.000 mm: 962.1·(0.46547 − 0.10132) − 808.2·(0.56665 − 0.10132) + 90 = 64.3 N (11.03·2.4000 =
# 26.5 N), more than is asked: fully extended.
# With the rider, 10.450 mm: 962.1·(0.55556 − 0.10132) − 808.2·(0.29233 − 0.10132) + 90 = 372.7 N (158.92·2.3450 =
# 372.7 N).
# Riding, n = 1.35: 28.14 N/mm at the shock, 5.269 at the wheel by LR = 2.3450 and its slope; c =
# 2·0.42·√(5269·16.21)·LR² = 1350 N·s/m; the reference rider, 51.540 kg here at 232.47 psi, needs 4579.
# Clicks: 10/2 − 10·ln(1349.8/4578.6)/ln 6 = 11.82, beyond fully open: 10.
CHILD_OF_25_KG_BEHIND = Sheet(
    body={
        "rider_mass_kg": 25,
        "kit_mass_kg": 1,
        "bike_mass_kg": 9,
        "riding_style": "trail",
        "rider_front_share_percent": 42,
        "rear": {
            "stroke_mm": 38,
            "leverage_start": 2.4,
            "leverage_end": 2.2,
            "bore_mm": 35,
            "rod_mm": 14,
            "positive_volume_cm3": 62,
            "negative_volume_cm3": 9,
            "port_position_mm": 2,
            "rebound_clicks": 10,
            "max_pressure_psi": 250,
            "min_pressure_psi": 10,
        },
    },
    chambers=Chambers(travel=38, bore=35, volume=62000, negative_area=808.1747, negative_volume=9000, port=2, gas=90.0),
    share=0.58,
    bike_share=0.525,
    unsprung=3.6,
    reference_unsprung=4.0,
    lever=((0, 2.4), (38, 2.2)),
    ratio=0.42,
    answer=State(mass=16.2050, psi=52.82, rest=0.000, sag=10.4500, damping=1349.81),
    reference=State(mass=51.5400, psi=232.47, rest=0.240, sag=10.4500, damping=4578.60),
    wheel_sag=24.793,
    clicks=10,
    total=10,
    clamped=True,
)
