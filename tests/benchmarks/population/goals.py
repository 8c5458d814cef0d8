"""What the rules have to reach on the population, and a whole table held against it."""

from __future__ import annotations

from .figures import SHOP
from .habits import SIDES
from .table import FIRST, KEEPING, SHIFTED, SLIPS, TOOL, Rows

#: What rules that know the gap have to reach, off the pressure limits and in a shop's mix of forks and shocks;
#: `check_goals` holds a whole table against it. By kind the first guess reaches it for shocks only (700 cases a kind:
#: 1.02 and 1.06 times the oracle's; air forks 1.19 and 1.18, coil forks 1.26 and 1.24): the rules take smaller bores
#: for thick stanchions than the population, since downhill forks would otherwise fall below common practice.
GOALS = {
    "first miss over the oracle's": 1.1,
    "band": (85.0, 95.0),
    "three readings: re-pumps": 0.9,
    "three readings: done after one": 85.0,
    "both ways: done after one": 93.0,
    "slips: re-pumps": 1.1,
    "shifted: gap in band": 80.0,
}


def check_goals(figures: dict[str, Rows]) -> None:
    """Hold a table, `dict(blocks(number, seed, goals_only=True))`, against the goals; raise with all missed ones."""
    missed = _missed_first_goals(figures[FIRST])
    three, slips = figures[TOOL + "three readings"][SHOP], figures[SLIPS + "three readings"][SHOP]
    low, high = GOALS["band"]
    banded = {f"{TOOL}{name}: gap in band": figures[TOOL + name][SHOP]["gap in band"] for name in SIDES}
    kept = figures[KEEPING + "habit only"][SHOP]
    banded |= {f"keeps checking, {name}": value for name, value in kept.items() if name != "cases"}
    missed += [f"{name}: {value:.1f}" for name, value in banded.items() if not low <= value <= high]
    both = [figures[TOOL + name][SHOP]["done <=1"] for name in SIDES if "above" in name]
    far = slips["final > 6 %"]
    held = {
        f"three readings: {three['re-pumps']:.2f} re-pumps": three["re-pumps"] <= GOALS["three readings: re-pumps"],
        f"three readings: {three['done <=1']:.1f} % done after one": (
            three["done <=1"] >= GOALS["three readings: done after one"]
        ),
        f"both ways: {both} % done after one": min(both) >= GOALS["both ways: done after one"],
        f"3 % slips: {slips['re-pumps']:.2f} re-pumps": slips["re-pumps"] <= GOALS["slips: re-pumps"],
        f"3 % slips: {far:.2f} % end more than 6 % of travel off": far == 0.0,
    }
    for name in ("one reading", "three readings"):
        value = figures[SHIFTED + name][SHOP]["gap in band"]
        held[f"shifted, {name}: gap in band {value:.1f} %"] = value >= GOALS["shifted: gap in band"]
    missed += [name for name, is_met in held.items() if not is_met]
    assert not missed, "\n".join(missed)


def _missed_first_goals(first: Rows) -> list[str]:
    most, (low, high) = GOALS["first miss over the oracle's"], GOALS["band"]
    ratios = {what: first[SHOP][what] for what in ("median ratio", "p90 ratio")}
    bands = {what: first[SHOP][what] for what in ("needed in band", "gap in band")}
    return [f"{name} {value:.2f}" for name, value in ratios.items() if value > most] + [
        f"first guess: {name} {value:.1f} %" for name, value in bands.items() if not low <= value <= high
    ]
