"""How `more-answers-v3.json.gz` was made: 150 drawn requests with what `make_answers` leaves out.

Coils, a second chamber, pushes, luggage, scales, lubricant and a chart with luggage, answered once by the rules of the
commit named in the file, 23 of them anew since sags are compared where they are meant. It does not answer by other
rules: see `make_answers`.
"""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path
from typing import Any, Final

import setup_rules as rules
from tests.kept import make_answers
from tests.kept.make_answers import Drawn

SEED: Final = 20_261_126
CASES: Final = 150
TARGET: Final = Path(__file__).parent / "more-answers-v3.json.gz"
#: What an end with a coil has no use for.
_AIR: Final = (
    "max_pressure_psi min_pressure_psi bore_mm rod_mm positive_volume_cm3 negative_volume_cm3 port_position_mm "
    "negative_rate_n_per_mm negative_length_mm negative_spring negative_size volume_spacers volume_spacer_cm3 chart "
    "chart_weight chart_sag_percent chart_travel_mm"
)
AIR: Final = frozenset(_AIR.split())


def draw_request(rng: random.Random) -> Drawn:
    """Return a legal request that has at least one of these features at each end."""
    while True:
        data = make_answers.draw_request(rng)
        _loads(rng, data)
        for name in ("front", "rear"):
            if name in data:
                rng.choice(FEATURES)(rng, data, name)
        try:
            rules.read_request(data)
        except rules.RequestError:
            continue
        return data


def _loads(rng: random.Random, data: Drawn) -> None:
    for end in ("front", "rear"):
        if rng.random() < 0.4:
            data[f"luggage_{end}_kg"] = round(rng.uniform(1, 15), 1)
    if rng.random() < 0.3:
        data.pop("rider_front_share_percent", None)
        whole = data["rider_mass_kg"] + data.get("kit_mass_kg", 4.0) + data.get("bike_mass_kg", 14.0)
        side = rng.choice(("front", "rear"))
        data[f"{side}_axle_kg"] = round(whole * rng.uniform(*{"front": (0.36, 0.48), "rear": (0.52, 0.64)}[side]), 1)


def _length(data: Drawn, name: str) -> float:
    return float(data[name]["travel_mm" if name == "front" else "stroke_mm"])


def _coil(rng: random.Random, data: Drawn, name: str) -> None:
    end = data[name]
    for field in AIR & end.keys():
        del end[field]
    end["spring"] = "coil"
    usual = rng.uniform(5, 9) if name == "front" else rng.uniform(60, 110)
    if rng.random() < 0.6:
        end["stocked_rates_n_per_mm"] = [round(usual * (0.7 + 0.1 * step), 2) for step in range(7)]
    if rng.random() < 0.4:
        end["fitted_rate_n_per_mm"] = round(usual * rng.uniform(0.85, 1.15), 2)
    if rng.random() < 0.4:
        end["preload_pitch_mm"] = rng.choice((1.0, 1.25, 1.5))
    if rng.random() < 0.4:
        end["preload_mm_max"] = rng.choice((2.0, 3.0, 5.0))
    if rng.random() < 0.3:
        end["coil_stroke_mm"] = _length(data, name) + rng.choice((0.5, 2.0, 6.0))


def _second(rng: random.Random, data: Drawn, name: str) -> None:
    data[name] |= {
        "second_volume_cm3": round(rng.uniform(10, 60), 1),
        "second_pressure_ratio": round(rng.uniform(1.3, 2.2), 2),
    }


def _pushes(rng: random.Random, data: Drawn, name: str) -> None:
    length = _length(data, name)
    places = [round(length * part, 1) for part in (0.2, 0.4, 0.6)]
    base, psi = (350.0, 75.0) if name == "front" else (900.0, 170.0)
    forces = [base * (1 + 2.2 * part + 1.5 * part**2) * rng.uniform(0.9, 1.1) for part in (0.2, 0.4, 0.6)]
    forces.sort()
    data[name]["spring_test"] = {
        "pressure_psi": psi,
        "compression_mm": places,
        "force_down_n": [round(1.06 * force, 1) for force in forces],
        "force_up_n": [round(0.94 * force, 1) for force in forces],
    }


def _lubricant(rng: random.Random, data: Drawn, name: str) -> None:
    data[name]["air_lubricant_cm3"] = round(rng.uniform(1, 8), 1)


#: Those that many drawn bikes cannot have come up more often.
FEATURES: Final = (_coil, _second, _second, _pushes, _pushes, _lubricant)


def draw_step(rng: random.Random, setup: rules.Setup) -> Drawn:
    """Return a step as `make_answers` draws them; a check of a coil names rate and preload, no pressure."""
    step = make_answers.draw_step(rng, setup)
    end = next((one for one in setup.ends() if one.end == step["data"].get("end")), None)
    if step["do"] == "sag_check" and end is not None and end.coil is not None:
        del step["data"]["pressure_psi"]
        step["data"] |= {
            "spring_rate_n_per_mm": round(end.coil.rate_n_per_m / 1000, 2),
            "preload_mm": round(end.coil.preload_mm, 1),
        }
    return step


def make_case(number: int) -> Drawn:
    """Return one case with its answers."""
    rng = random.Random(f"{SEED} {number}")
    return make_answers.answered(rng, draw_request(rng), (0, 1, 2, 3), draw_step)


def make() -> None:
    """Write the kept answers; refuses where some are kept already."""
    if TARGET.exists():
        sys.exit("They are kept: what today's rules answer proves nothing about yesterday's.")
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], check=True, capture_output=True, text=True).stdout
    cases: list[dict[str, Any]] = [make_case(number) for number in range(CASES)]
    version = rules.recommend(rules.read_request(cases[0]["request"])).rules_version
    make_answers.write(TARGET, {"commit": commit.strip(), "rules_version": version, "seed": SEED, "cases": cases})


if __name__ == "__main__":
    if sys.argv[1:] == ["again"]:
        make_answers.answer_again(TARGET)
    else:
        make()
