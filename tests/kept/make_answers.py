"""How `answers-v3.json.gz` was made: 500 drawn requests with chains of steps, answered by the rules at that time.

It drew and answered once, with `setup_rules/` as of commit 5183edf (rules version 2), and does not do so again: what it
would write now are the answers of today's rules, which prove nothing about yesterday's. It is kept to show what was
drawn and refuses to run on other rules. Rules version 3 moved cases on purpose, before its release and in three steps:
35 where a chart is for a bare bike (all with an entered share), 95 where the middle click does not follow an entered
share or a chart is for somebody who stands, 169 where a sag was measured elsewhere than on the ride (18 of them in a
number or in what is done, the others say what it reads there). These were answered anew by `python -m
tests.kept.make_answers again`, as of the commit named in the file; the others stayed as they were. When the rules
change on purpose, freeze a version 4 in the same way; the data folder of version 1 stays, and `next` holds what its
setups answered to their next check under the rules of version 2, one of them (both ends checked, cooler ride) under
those of version 3.
"""

from __future__ import annotations

import gzip
import json
import random
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import setup_rules as rules
from tests.kept import replay
from tests.kept.unpack import BASE_URL, read_manifest, unpack
from webapp import create_app

COMMIT: Final = "5183edf"
SEED: Final = 20_261_125
CASES: Final = 500
#: Every this many cases are also asked over HTTP.
HTTP_EVERY: Final = 8
TARGET: Final = Path(__file__).parent / "answers-v3.json.gz"
PSI_PA: Final = 6894.757293168361

STYLES: Final = ("cross_country", "trail", "enduro", "downhill", "park")
SEEN: Final = ("less", "about_right", "more", "one_swing", "several_swings")
FELT: Final = (
    "hits_the_end",
    "kicks_back",
    "packs_down",
    "dives",
    "wallows",
    "harsh_small_hits",
    "travel_left_over",
    "feels_right",
)
Drawn = dict[str, Any]


def draw_request(rng: random.Random) -> Drawn:
    """Return a legal request; a third lie anywhere in the limits, the others where bikes usually lie."""
    while True:
        data = _whole(rng, wide=rng.random() < 0.33)
        try:
            rules.read_request(data)
        except rules.RequestError:
            continue
        return data


def _between(rng: random.Random, wide: bool, usual: tuple[float, float], all_of_it: tuple[float, float]) -> float:
    low, high = all_of_it if wide else usual
    return round(rng.uniform(low, high), rng.choice((0, 1, 3)))


def _whole(rng: random.Random, *, wide: bool) -> Drawn:
    data: Drawn = {
        "rider_mass_kg": _between(rng, wide, (45, 110), (20, 160)),
        "riding_style": rng.choice(STYLES),
    }
    _maybe(rng, 0.6, data, "kit_mass_kg", _between(rng, wide, (1, 9), (0, 40)))
    _maybe(rng, 0.6, data, "bike_mass_kg", _between(rng, wide, (9, 25), (5, 35)))
    _maybe(rng, 0.3, data, "stance", rng.choice(("standing", "seated")))
    _maybe(rng, 0.2, data, "rider_front_share_percent", _between(rng, wide, (35, 50), (20, 60)))
    for place in ("bench", "ride"):
        _maybe(rng, 0.45, data, place, _conditions(rng, wide))
    ends = rng.choice((("front",), ("rear",), ("front", "rear"), ("front", "rear")))
    if "front" in ends:
        data["front"] = _front(rng, wide)
    if "rear" in ends:
        data["rear"] = _rear(rng, wide)
    return data


def _maybe(rng: random.Random, chance: float, data: Drawn, name: str, value: Any) -> None:
    if rng.random() < chance:
        data[name] = value


def _conditions(rng: random.Random, wide: bool) -> Drawn:
    place: Drawn = {}
    _maybe(rng, 0.8, place, "temperature_c", _between(rng, wide, (-5, 35), (-30, 60)))
    _maybe(rng, 0.7, place, "altitude_m", _between(rng, wide, (0, 2500), (-430, 6000)))
    return place


def _front(rng: random.Random, wide: bool) -> Drawn:
    travel = float(rng.choice((80, 100, 120, 130, 140, 150, 160, 170, 180, 200)))
    end: Drawn = {"travel_mm": _between(rng, wide, (travel, travel), (40, 220))}
    _maybe(rng, 0.7, end, "stanchion_mm", float(rng.choice((30, 32, 34, 35, 36, 38, 40))))
    _maybe(rng, 0.4, end, "longest_travel_mm", end["travel_mm"] + rng.choice((0, 10, 20, 40)))
    _maybe(rng, 0.5, end, "head_angle_deg", _between(rng, wide, (62, 71), (58, 76)))
    return _common(rng, wide, end, end["travel_mm"], float(rng.choice((26, 30, 34))), (30, 160))


def _rear(rng: random.Random, wide: bool) -> Drawn:
    stroke = _between(rng, wide, (38, 75), (20, 100))
    start, last = rng.uniform(2.2, 3.3), rng.uniform(1.9, 2.9)
    end: Drawn = {"stroke_mm": stroke}
    if rng.random() < 0.35:
        rows, bend = rng.randint(3, 9), rng.uniform(-0.15, 0.15)
        places = [n / (rows - 1) for n in range(rows)]
        curve = [(round(x * stroke, 2), round(start + (last - start) * x + bend * x * (1 - x), 3)) for x in places]
        end["leverage_table"] = [list(row) for row in curve]
    else:
        end |= {"leverage_start": round(start, 2), "leverage_end": round(last, 2)}
    return _common(rng, wide, end, stroke, float(rng.choice((34, 38, 44))), (80, 320))


def _common(rng: random.Random, wide: bool, end: Drawn, travel: float, bore: float, psi: tuple[float, float]) -> Drawn:
    end["negative_spring"] = rng.choice(("air", "air", "coil"))
    if end["negative_spring"] == "air":
        _maybe(rng, 0.3, end, "negative_size", rng.choice(("small", "large")))
    _maybe(rng, 0.2, end, "datum", "wheel_off_ground")
    _maybe(rng, 0.5, end, "sag_target_percent", _between(rng, wide, (15, 33), (5, 45)))
    _maybe(rng, 0.75, end, "rebound_clicks", rng.randint(6, 24))
    _maybe(rng, 0.4, end, "compression_clicks", rng.randint(4, 20))
    _maybe(rng, 0.15, end, "rebound_offset_clicks", rng.randint(-4, 4))
    _maybe(rng, 0.3, end, "max_pressure_psi", float(rng.choice((120, 150, 180, 250, 300, 350))))
    _maybe(rng, 0.2, end, "min_pressure_psi", float(rng.choice((20, 30, 40))))
    _maybe(rng, 0.3, end, "volume_spacers", rng.randint(0, 4))
    if "rebound_clicks" in end:
        total, firm = end["rebound_clicks"], round(rng.uniform(700, 3000), 1)
        _maybe(rng, 0.15, end, "rebound_points", [[1, firm], [total - 1, round(firm * rng.uniform(0.1, 0.6), 1)]])
    _internals(rng, end, travel, bore)
    if rng.random() < 0.25:
        _chart(rng, end, psi)
    return end


def _internals(rng: random.Random, end: Drawn, travel: float, bore: float) -> None:
    if rng.random() < 0.3:
        end["bore_mm"] = bore
        swept = 3.14159 / 4 * bore**2 * travel / 1000
        _maybe(rng, 0.6, end, "positive_volume_cm3", round(swept * rng.uniform(1.25, 2.2), 1))
        _maybe(rng, 0.5, end, "rod_mm", float(rng.choice((8, 10, 12))))
    _maybe(rng, 0.2, end, "volume_spacer_cm3", round(rng.uniform(3, 12), 1))
    if end["negative_spring"] == "air":
        _maybe(rng, 0.2, end, "negative_volume_cm3", round(rng.uniform(10, 60), 1))
        _maybe(rng, 0.2, end, "port_position_mm", round(rng.uniform(2, 8), 1))
    else:
        _maybe(rng, 0.3, end, "negative_rate_n_per_mm", round(rng.uniform(2, 9), 2))
        _maybe(rng, 0.3, end, "negative_length_mm", round(rng.uniform(10, 40), 1))


def _chart(rng: random.Random, end: Drawn, psi: tuple[float, float]) -> None:
    masses = sorted(rng.sample(range(45, 120, 5), rng.randint(2, 6)))
    foot, slope = rng.uniform(0.1, 0.3), rng.uniform(0.3, 0.6)
    end["chart"] = [[m, round(psi[0] + (psi[1] - psi[0]) * (foot + slope * (m - 40) / 80), 1)] for m in masses]
    _maybe(rng, 0.5, end, "chart_weight", rng.choice(("rider", "rider_and_kit")))
    _maybe(rng, 0.5, end, "chart_sag_percent", float(rng.choice((20, 25, 30))))
    if "travel_mm" in end:
        _maybe(rng, 0.3, end, "chart_travel_mm", end["travel_mm"])


def draw_step(rng: random.Random, setup: rules.Setup) -> Drawn:
    """Return a step that fits where a setup stands; some are drawn so far off that the rules refuse them."""
    end = rng.choice(setup.ends())
    kinds = ["sag_check", "sag_check", "ride", "what_if"]
    kinds += ["bounce_check"] if end.rebound else []
    kinds += ["travel"] if setup.request.front else []
    kind = rng.choice(kinds)
    return {"do": kind, "data": _STEPS[kind](rng, setup, end)}


def _sag(rng: random.Random, _setup: rules.Setup, end: rules.EndSetup) -> Drawn:
    near = end.sag_expected_mm * rng.choice((1.0, 1.0, rng.uniform(0.7, 1.35), rng.uniform(0.3, 2.5)))

    def readings(factor: float) -> list[float]:
        return [round(near * factor * rng.uniform(0.97, 1.03), 1) for _n in range(rng.randint(1, 4))]

    ways = rng.choice((("readings_mm",), ("readings_mm",), ("readings_from_above_mm", "readings_from_below_mm")))
    factors = {"readings_mm": 1.0, "readings_from_above_mm": 0.93, "readings_from_below_mm": 1.07}
    data: Drawn = {"end": end.end, "pressure_psi": round(end.pressure_pa / PSI_PA * rng.uniform(0.9, 1.1), 1)}
    data |= {way: readings(factors[way]) for way in ways}
    _maybe(rng, 0.7, data, "confirm", True)
    _maybe(rng, 0.2, data, "datum", rng.choice(("bike_at_rest", "wheel_off_ground")))
    _maybe(rng, 0.25, data, "temperature_c", float(rng.randint(-5, 35)))
    _maybe(rng, 0.2, data, "altitude_m", float(rng.randint(0, 2500)))
    return data


def _bounce(rng: random.Random, _setup: rules.Setup, end: rules.EndSetup) -> Drawn:
    start = end.rebound
    data: Drawn = {"end": end.end, "clicks_out": min(max(start.out + rng.randint(-3, 3), 0), start.total)}
    if rng.random() < 0.6:
        return data | {"seen": rng.choice(SEEN)}
    dip = round(rng.uniform(20, 90), 1)
    return data | {"dip_mm": dip, "beyond_mm": round(dip * rng.uniform(0.02, 0.7), 1)}


def _felt(rng: random.Random, _setup: rules.Setup, end: rules.EndSetup) -> Drawn:
    data: Drawn = {"end": end.end, "felt": rng.sample(FELT, rng.choice((1, 1, 1, 2)))}
    _maybe(rng, 0.4, data, "travel_used_mm", round(end.travel_mm * rng.uniform(0.6, 1.0), 1))
    _maybe(rng, 0.3, data, "hard_hits", rng.choice((0, 1, 3)))
    return data


def _change(rng: random.Random, setup: rules.Setup, end: rules.EndSetup) -> Drawn:
    choices: tuple[Drawn, ...] = (
        {"kit_mass_kg": float(rng.randint(0, 18))},
        {"rider_mass_kg": round(setup.request.rider_mass_kg * rng.uniform(0.85, 1.15), 1)},
        {"riding_style": rng.choice(STYLES)},
        {"ride": _conditions(rng, wide=False)},
        {"bench": _conditions(rng, wide=False), "ride": _conditions(rng, wide=False)},
        {end.end: {"sag_target_percent": float(rng.randint(12, 36))}},
        {end.end: {"volume_spacers": rng.randint(0, 4)}},
        {end.end: {"rebound_clicks": rng.randint(6, 24)}},
    )
    return rng.choice(choices)


def _other_travel(rng: random.Random, setup: rules.Setup, _end: rules.EndSetup) -> Drawn:
    now = setup.request.front.travel_mm if setup.request.front else 0.0
    longest = max(now, setup.request.front.longest_travel_mm or now) + rng.choice((0, 10, 20, 30))
    sizes = rng.choice(((10.0,), (10.0, 20.0), (5.0, 10.0, 30.0)))
    wish: Drawn = {
        "travel_mm": longest - rng.choice((0, 5, 10, 20, 30, 40)),
        "longest_travel_mm": longest,
        "spacers": [[size, rng.randint(1, 3)] for size in sizes],
    }
    _maybe(rng, 0.3, wish, "unit_limit_mm", longest)
    _maybe(rng, 0.3, wish, "frame_limit_mm", longest - rng.choice((0, 0, 20)))
    _maybe(rng, 0.4, wish, "wheelbase_mm", float(rng.randint(1050, 1300)))
    _maybe(rng, 0.3, wish, "chainstay_mm", float(rng.randint(420, 460)))
    _maybe(rng, 0.3, wish, "bottom_bracket_drop_mm", float(rng.randint(-10, 50)))
    return wish


_STEPS: Final = {"sag_check": _sag, "bounce_check": _bounce, "ride": _felt, "what_if": _change, "travel": _other_travel}


def make_case(number: int) -> Drawn:
    """Return one case with its answers."""
    rng = random.Random(f"{SEED} {number}")
    return answered(rng, draw_request(rng), (0, 1, 2, 3, 4), draw_step)


def answered(rng: random.Random, request: Drawn, steps: tuple[int, ...], draw: Callable[..., Drawn]) -> Drawn:
    """Return a request with as many drawn steps as one of `steps`, and with the answers to all of them."""
    case: Drawn = {"request": request, "steps": [], "answers": []}
    try:
        setup = rules.recommend(rules.read_request(case["request"]))
    except rules.SetupRulesError as error:
        return case | {"answer": replay.refusal(error)}
    case["answer"] = replay.numbers(setup)
    for _n in range(rng.choice(steps)):
        step = draw(rng, setup)
        setup, answer = replay.take(setup, step)
        case["steps"].append(step)
        case["answers"].append(answer)
    return case


def refuse_other_code(*packages: str) -> None:
    """Stop where the code is not that of the commit which made the kept files."""
    if subprocess.run(["git", "diff", "--quiet", COMMIT, "--", *packages], check=False).returncode:
        sys.exit(f"The code differs from commit {COMMIT}: what it says is not what was kept. See the docstring.")


def asked_next() -> list[dict[str, Any]]:
    """Return what the setups of the kept data folder of version 1 answer to their next check, ride or change."""
    manifest, answers = read_manifest(), []
    with tempfile.TemporaryDirectory() as name:
        settings = {"RETENTION_DAYS": 36_500, "RATELIMIT_ENABLED": False, "TESTING": True, "PUBLIC_BASE_URL": BASE_URL}
        client = create_app({"DATA": str(unpack(Path(name) / "kept")), **settings}).test_client()
        for asked in manifest["next"]:
            one = manifest["setups"][asked["setup"]]
            # What changes the rider's weight needs the owner's link, or the weight that was saved.
            headers = {"Setup-Owner-Link": f"{BASE_URL}/owner/{one['owner_key']}"}
            path = f"/api/v1/setups/{one['code']}/{asked['where']}"
            answers.append(replay.plain(client.post(path, json=asked["body"], headers=headers)))
    return answers


def make() -> None:
    """Write the kept answers."""
    refuse_other_code("setup_rules", "webapp")
    cases = [make_case(number) for number in range(CASES)]
    with tempfile.TemporaryDirectory() as folder:
        client = create_app({"DATA": folder, "RATELIMIT_ENABLED": False, "TESTING": True}).test_client()
        for case in cases[::HTTP_EVERY]:
            case["http"] = replay.ask_over_http(client, case)
    first = rules.recommend(rules.read_request(cases[0]["request"]))
    kept = {"commit": COMMIT, "rules_version": first.rules_version, "seed": SEED, "cases": cases, "next": asked_next()}
    write(TARGET, kept)


def answer_again(target: Path) -> None:
    """Answer by today's rules what they answer otherwise, write it in place of the old, and say how much that was."""
    kept: Drawn = json.loads(gzip.decompress(target.read_bytes()))
    commit = subprocess.run(["git", "rev-parse", "--short", "HEAD"], check=True, capture_output=True, text=True).stdout
    again = 0
    with tempfile.TemporaryDirectory() as folder:
        client = create_app({"DATA": folder, "RATELIMIT_ENABLED": False, "TESTING": True}).test_client()
        for case in kept["cases"]:
            now, http = replay.replay(case), replay.ask_over_http(client, case) if "http" in case else {}
            moved = any(replay.differences({"answer": case["answer"], "steps": case["answers"]}, now, ""))
            if moved or any(replay.differences(case.get("http", {}), http)):
                case |= {"answer": now["answer"], "answers": now["steps"], **({"http": http} if http else {})}
                again += 1
    if "next" in kept:
        pairs = zip(kept["next"], asked_next(), strict=True)
        kept["next"] = [now if any(replay.differences(old, now)) else old for old, now in pairs]
    version = rules.recommend(rules.read_request(kept["cases"][0]["request"])).rules_version
    write(target, kept | {"commit": commit.strip(), "rules_version": version})
    sys.stdout.write(f"{again} of {len(kept['cases'])} cases answered anew\n")


def write(target: Path, kept: Drawn) -> None:
    """Write kept cases, the same bytes every time."""
    text = json.dumps(kept, separators=(",", ":"), allow_nan=False)
    target.write_bytes(gzip.compress(text.encode(), 9, mtime=0))


if __name__ == "__main__":
    if sys.argv[1:] == ["again"]:
        answer_again(TARGET)
    else:
        make()
