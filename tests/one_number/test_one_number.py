"""One thing has one number: setup page, answer, card (HTML and PDF) and JSON are read back and held against each other.

Nothing here asks the code how it rounds: the numbers are taken from the texts, and only 1 psi = 6894.757 Pa is known
(NIST SP 811).
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.one_number.drawn import COUNT, KINDS, draw_miss, draw_setup
from tests.one_number.reading import LARGE, SAID, find, pairs, text_of
from webapp import create_app

BAR_PER_PSI = 0.06894757293168
ENDS = ("front", "rear")


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    """A browser on one data folder for all setups of this module."""
    folder = str(tmp_path_factory.mktemp("one_number"))
    given = {"TESTING": True, "DATA": folder, "PUBLIC_BASE_URL": "https://cards.example", "RATELIMIT_ENABLED": False}
    return create_app({**given, "WTF_CSRF_ENABLED": False, "SECRET_KEY": "only-for-tests-0123456789"}).test_client()


@dataclass
class Seen:
    """What one revision says of itself, by where it says it."""

    texts: dict[str, str]
    answer: Mapping[str, Any]

    @property
    def ends(self) -> list[str]:
        """The ends that the setup has, front first."""
        return [name for name in ENDS if self.answer[name] is not None]

    def said(self, name: str, where: str) -> list[tuple[str, ...]]:
        """Return the numbers of every statement of one thing on one page."""
        return [values for _pattern, values in find(name, self.texts[where])]

    def in_force(self, name: str) -> list[tuple[str, ...]]:
        """Return what the large numbers of the setup's page say, an entry for each end that has one."""
        return [values for pattern, values in find(name, self.texts["setup"]) if pattern == LARGE[name]]


def look(client: FlaskClient, code: str, revision: int) -> Seen:
    """Return everything that the newest revision of a setup says."""
    answer = client.get(f"/api/v1/setups/{code}").json
    notes = [*answer["cautions"], *answer["reasons"], *answer.get("advice", [])]
    texts = {
        "setup": text_of(client.get(f"/s/{code}").text),
        "card": text_of(client.get(f"/s/{code}/print").text),
        "json": " ".join(note["message"] for note in notes),
    }
    if revision > 1:
        texts["answer"] = text_of(client.get(f"/s/{code}/{revision}/answer").text)
    return Seen(texts, answer)


def visits(client: FlaskClient, number: int) -> Iterator[tuple[str, Seen]]:
    """Make the setup `number`, then check its sag, its bounce, and change its kit; yield what each revision says."""
    data = draw_setup(number)
    made = client.post("/api/v1/setups", json=data)
    assert made.status_code == 201, made.json
    code, seen = made.json["code"], look(client, made.json["code"], 1)
    yield "new", seen
    style = {"riding_style": data["riding_style"]}
    steps = (
        ("sag-check", sag_entries(seen, number)),
        (f"bounce?end={seen.ends[0]}", {"seen": ("less", "about_right", "more")[number % 3]}),
        ("what-if", {"kit_mass_kg": "14", "rider_mass_now_kg": str(data["rider_mass_kg"]), **style, "do": "save"}),
    )
    for revision, (form, entries) in enumerate(steps, 2):
        if form.startswith("bounce"):
            entries["clicks_out"] = str(seen.answer[seen.ends[0]]["rebound_clicks_out"])
        sent = client.post(f"/s/{code}/{form}", data=entries)
        assert sent.status_code == 303, text_of(sent.text)[:500]
        seen = look(client, code, revision)
        yield form, seen


def sag_entries(seen: Seen, number: int) -> dict[str, str]:
    """Return a sag check of every end at the pressure that its page shows."""
    entries = {"confirm": "y"}
    for name, (pressure, *_rest) in zip(seen.ends, seen.in_force("psi"), strict=True):
        sag = max(1.0, round(2 * seen.answer[name]["sag_expected_mm"] * draw_miss(number)) / 2)
        entries |= {f"{name}.pressure_psi": pressure}
        entries |= {f"{name}.readings_mm-0": f"{sag:g}", f"{name}.readings_mm-1": f"{sag + 0.5:g}"}
    return entries


def test_every_kind_is_drawn_often_enough() -> None:
    assert COUNT >= 60
    assert {KINDS[number % len(KINDS)] for number in range(COUNT)} == set(KINDS)


@pytest.mark.parametrize("number", range(COUNT))
def test_one_thing_has_one_number(client: FlaskClient, number: int) -> None:
    before = None
    for step, seen in visits(client, number):
        faults = [*differing(seen), *apart_from_json(seen), *wrong_bars(seen), *near_misses(seen), *beyond_limit(seen)]
        faults += outside_range(seen)
        faults += unlisted(before, seen) if before else []
        assert not faults, (step, faults)
        assert_enough_is_read(seen)
        before = seen


def differing(seen: Seen) -> Iterator[str]:
    """Yield what is said in another way than by the large numbers of the setup's page."""
    for name in SAID:
        known = {values[:2] if len(values) > 1 else values for values in first_said(seen, name)}
        for where in seen.texts:
            for pattern, values in find(name, seen.texts[where]):
                if not any(agree(name, values, one) for one in known):
                    yield f"{name} on {where}: {values} is none of {sorted(known)} ({pattern})"


def first_said(seen: Seen, name: str) -> list[tuple[str, ...]]:
    """Return the numbers of a thing where it is said first: on the setup's page, else on that of the answer."""
    for where in ("setup", "answer", "json", "card"):
        for pattern in SAID[name]:
            found = [values for one, values in find(name, seen.texts.get(where, "")) if one == pattern]
            if found:
                return found
    return []


def agree(name: str, values: tuple[str, ...], known: tuple[str, ...]) -> bool:
    """Tell whether two statements of one thing have the same numbers, as far as both give them."""
    if name == "target_percent":
        return values[-1] == known[-1]
    if name in ("sag_range", "range_psi"):
        return values[0] == known[0] and values[min(1, len(values) - 1)] == known[min(1, len(known) - 1)]
    if name in ("rebound", "compression"):
        return values[:2] == known[:2]
    return values[0] == known[0]


def apart_from_json(seen: Seen) -> Iterator[str]:
    """Yield large numbers that are not those of the JSON, which has a finer last digit (0.1 psi, 0.1 mm)."""
    keys = {"psi": "pressure_psi", "target": "sag_target_mm", "rebound": "rebound_clicks_out"}
    for name, key in keys.items():
        for end, (shown, *_more) in zip(seen.ends, seen.in_force(name), strict=True):
            exact = seen.answer[end][key]
            step = 0.0 if name == "rebound" else 0.5 if name == "psi" and exact >= 40 else 0.25
            if abs(float(shown) - exact) > step + (0.051 if step else 0.0):
                yield f"{key} of the {end}: {shown} on the page, {exact} in the JSON"
    for end in seen.ends:
        psi, bar = (seen.answer[end][f"pressure_{unit}"] for unit in ("psi", "bar"))
        if abs(psi * BAR_PER_PSI - bar) > 0.0085:  # half of 0.1 psi and half of 0.01 bar
            yield f"{psi} psi beside {bar} bar in the JSON"


def wrong_bars(seen: Seen) -> Iterator[str]:
    """Yield every bar that is not the bar of the psi beside it."""
    for where, text in seen.texts.items():
        yield from (f"{psi} psi beside {bar} bar on {where}" for psi, bar in pairs(text) if not is_bar_of(psi, bar))


def is_bar_of(psi: str, bar: str) -> bool:
    """Tell whether a bar is that of a psi to its one decimal; a maximum and what is held at it are never rounded up."""
    exact = float(psi) * BAR_PER_PSI
    return bar in (f"{exact:.1f}", f"{int(exact * 10 + 1e-6) / 10:.1f}")


def near_misses(seen: Seen) -> Iterator[str]:
    """Yield an expected sag that stands half a millimetre beside its target though the two are nearer."""
    for end in seen.ends:
        target, expected = (seen.answer[end][f"sag_{which}_mm"] for which in ("target", "expected"))
        shown = {float(values[0]) for where in seen.texts for values in seen.said("expected", where)}
        targets = {float(values[0]) for values in seen.in_force("target")}
        if len(seen.ends) == 1 and abs(expected - target) < 0.4 and shown - targets:
            yield f"expected {shown - targets} beside a target of {targets}"


def outside_range(seen: Seen) -> Iterator[str]:
    """Yield a pressure to set that lies outside the range that is said to be right."""
    ranges = [
        values for pattern, values in find("range_psi", seen.texts["card"]) if pattern.startswith("likely between")
    ]
    said = find("psi", seen.texts["card"])
    pressures = [values[0] for pattern, values in said if pattern.endswith("bar likely between")]
    for pressure, (low, *high) in zip(pressures, ranges, strict=True):
        if not float(low) <= float(pressure) <= float(high[0] if high else low):
            yield f"{pressure} psi is to be set, {low} to {high} psi is said to be right"


def beyond_limit(seen: Seen) -> Iterator[str]:
    """Yield what a limited end must not say, and what it must."""
    if len(seen.ends) > 1 or not seen.answer[seen.ends[0]]["limited"]:
        return
    end = seen.answer[seen.ends[0]]
    reached = abs(end["sag_expected_mm"] - end["sag_target_mm"]) < 2
    wrong = ["likely between", "Most forks", "Most shocks", "By your sag checks", "in the range"]
    wrong += [] if reached else ["mm is close", "Then correct the pressure", "close enough to the target"]
    for where, text in seen.texts.items():
        yield from (f"“{words}” on {where} of a limited setup" for words in wrong if words in text)
    if "Limit: " not in seen.texts["setup"] or "imited" not in seen.texts["card"]:
        yield "a limited setup does not say so"
    for where in ("setup", "card", "json"):
        beyond = "sk a workshop for an air spring|ead the (printed )?(maximum|one)"
        way_out = "easure the sag|easure it" if reached else beyond
        if not re.search(way_out, seen.texts[where]):
            yield f"no way out on {where} of a limited setup"


def unlisted(before: Seen, now: Seen) -> Iterator[str]:
    """Yield numbers to set that moved but are not among the large ones of the answer."""
    for name, label in (("psi", "Pressure"), ("rebound", "Rebound"), ("compression", "Compression")):
        for old, new in zip(before.in_force(name), now.in_force(name), strict=True):
            large = rf"{label}(?: of the \w+)? {re.escape(new[0])} (?:psi|clicks?)\b"
            if old[0] != new[0] and not re.search(large, now.texts["answer"]):
                yield f"{label} moved from {old[0]} to {new[0]}, which the answer does not list"


def assert_enough_is_read(seen: Seen) -> None:
    """Fail where a wording moved away from the patterns, so that nothing would be compared."""
    ends = len(seen.ends)
    for name in ("psi", "target", "target_percent", "sag_range", "rebound", "maximum"):
        assert len(seen.said(name, "setup")) >= 2 * ends or name == "maximum", name
    for name in ("psi", "target", "rebound", "maximum"):
        assert len(seen.said(name, "card")) >= 1, name


def test_enough_is_read_of_what_holds_where_it_is_set(client: FlaskClient) -> None:
    found = {name: set[str]() for name in ("bench_target", "bench_expected")}
    for number in range(16):
        for _step, seen in visits(client, number):
            for name, places in found.items():
                places |= {where for where in seen.texts if seen.said(name, where)}
    assert found["bench_target"] >= {"setup", "card"}, found
    assert "answer" in found["bench_expected"], found


@pytest.mark.parametrize("number", [2, 3, 6, 7])
def test_the_printed_card_says_the_numbers_of_the_page(client: FlaskClient, number: int) -> None:
    pdftotext = shutil.which("pdftotext")
    if pdftotext is None:
        pytest.fail("pdftotext is missing: install poppler-utils.")
    *_earlier, (_step, seen) = visits(client, number)
    pdf = client.get(f"/s/{seen.answer['code']}/card.pdf").data
    read = subprocess.run([pdftotext, "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
    printed = " ".join(read.stdout.decode().split())
    for name, row in (
        # From the head of the columns: a label stands beside the middle of its row.
        ("psi", "mm (?:travel|stroke).*?Target"),
        ("target", "Target sag.*?Rebound"),
        ("rebound", "Rebound.*?Volume"),
    ):
        (found,) = re.findall(row, printed)
        for values in seen.in_force(name):
            assert re.search(rf"(?<![\d.]){re.escape(values[0])}(?![\d.])", found), (name, values, found)
    for psi, bar in pairs(printed):
        assert is_bar_of(psi, bar)


@pytest.mark.parametrize("name", ["front", "rear"])
@pytest.mark.parametrize("bar", [5.0, 8.3, 9.9])
def test_no_number_to_pump_is_above_the_maximum_that_was_entered_in_bar(
    client: FlaskClient, name: str, bar: float
) -> None:
    end = {"front": {"travel_mm": 100}, "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4}}[name]
    end |= {"max_pressure_psi": bar / BAR_PER_PSI, "rebound_clicks": 12}
    made = client.post("/api/v1/setups", json={"rider_mass_kg": 150, "riding_style": "cross_country", name: end})
    seen = look(client, made.json["code"], 1)
    assert seen.answer[name]["limited"]
    for where in ("setup", "card"):
        for thing in ("psi", "maximum"):
            named = [float(values[0]) for values in seen.said(thing, where)]
            assert named, (where, thing)
            assert max(named) <= bar / BAR_PER_PSI, (where, thing)
        assert max(float(shown) for _psi, shown in pairs(seen.texts[where])) <= bar


@pytest.mark.parametrize("psi", [60, 72, 120])
def test_no_bar_to_pump_is_above_the_maximum_that_was_entered_in_psi(client: FlaskClient, psi: float) -> None:
    end = {"travel_mm": 100, "max_pressure_psi": psi, "rebound_clicks": 12}
    made = client.post("/api/v1/setups", json={"rider_mass_kg": 150, "riding_style": "cross_country", "front": end})
    seen = look(client, made.json["code"], 1)
    assert seen.answer["front"]["limited"]
    for where in ("setup", "card"):
        bars = [float(bar) for _psi, bar in pairs(seen.texts[where])]
        assert bars
        assert max(bars) <= psi * BAR_PER_PSI


@pytest.mark.parametrize(
    ("page", "words"),
    [
        ("setup", ("92 psi", "91 psi")),
        ("card", ("6.3 bar", "6.4 bar")),
    ],
)
def test_a_number_that_differs_is_noticed(page: str, words: tuple[str, str]) -> None:
    texts = {
        "setup": "Start pressure 92 psi 6.3 bar and Set 92 psi (6.3 bar).",
        "card": "Start pressure 92 psi 6.3 bar likely between 80 and 104 psi",
    }
    seen = Seen(texts, {"front": {}, "rear": None})
    assert not [*differing(seen), *wrong_bars(seen)]
    texts[page] = texts[page][:20] + texts[page][20:].replace(*words)
    assert [*differing(seen), *wrong_bars(seen)]
