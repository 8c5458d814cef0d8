"""Files that were written to hurt: each is refused soon and in little memory, however it is nested or repeated."""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable

import pytest

from webapp.ground.fields.uploaded_text import FILE_LIMIT
from webapp.library.forms.suspension_unit_csv import read_csv
from webapp.library.forms.suspension_unit_file import SuspensionUnitFileError
from webapp.library.forms.suspension_unit_toml import read_toml
from webapp.library.forms.toml_depth import is_too_much

#: The longest that one thread may be kept busy by a refused file [s of its own time]: the goal of an honest import.
LONGEST_S = 5.0
MOST_BYTES = 40_000_000

UNIT = "[[unit]]\n"
TOML = {
    "a key of 15,000 parts": UNIT + ".".join("a" * 15_000) + " = 1\n",
    "a quoted key of many parts": UNIT + '."'.join(f'a{n}"' for n in range(5_000))[:-1] + '" = 1\n',
    "a key of many parts with blanks": UNIT + " . ".join("a" * 8_000) + " = 1\n",
    "a table below 15,000 others": "[" + ".".join("a" * 15_000) + "]\n",
    "a deep key in a table on one line": UNIT + "note = {" + ".".join("a" * 15_000) + " = 1}\n",
    "a deep key after a text with quotes": UNIT + 'note = """x""""" \n' + ".".join("a" * 15_000) + " = 1\n",
    "arrays within arrays": UNIT + "note = " + "[" * 100_000 + "\n",
    "tables within tables": UNIT + "note = " + "{a=" * 50_000 + "\n",
    "a text that never ends": UNIT + 'note = "' + '\\"' * (FILE_LIMIT // 2 - 20),
    "a long text that never ends": UNIT + 'note = """' + '""\\"' * (FILE_LIMIT // 4 - 20),
    "keys without end": UNIT + "\n".join(f"k{n} = 1" for n in range(150_000)),
    "wrong keys in every table": (UNIT + "\n".join(f"k{n}=1" for n in range(30)) + "\n") * 9_000,
    "tables without end": UNIT * (FILE_LIMIT // len(UNIT)),
    "one chart of a hundred thousand rows": UNIT
    + 'kind="fork"\nname="A"\n[[unit.charts]]\ntravel_mm=120\nrows=['
    + "[60,50]," * 100_000
    + "]\n",
    "travels without end": UNIT + 'kind="fork"\nname="A"\ntravels_mm=[' + "120," * 300_000 + "]\n",
    "a number of half a million digits": UNIT + 'kind="fork"\nname="A"\nmax_pressure_psi=0x' + "f" * 500_000 + "\n",
}
CSV = {
    "70,000 columns": ",".join(f"column{n}" for n in range(70_000)) + "\nfork\n",
    "70,000 cells": "kind,name\n" + "fork," * 70_000 + "\n",
    "rows without end": "kind,name\n" + "fork\n" * 300_000,
    "wrong in every row": "kind,name,travels_mm,charts,note\n" + "shock,,x,x,\t\n" * 9_999,
    "a chart of many rows": 'kind,name,charts\nfork,A,"120: ' + "60=50 " * 20_000 + '"\n',
}


def refused(read: Callable[[str], object], text: str) -> tuple[float, int]:
    """Return how long [s of this thread] it took to refuse `text`, and how many problems were named."""
    begun = time.thread_time()
    with pytest.raises(SuspensionUnitFileError) as found:
        read(text)
    return time.thread_time() - begun, len(found.value.problems)


@pytest.mark.parametrize("name", TOML)
def test_no_toml_file_keeps_a_thread_busy(name: str) -> None:
    took_s, problems = refused(read_toml, TOML[name])
    assert took_s < LONGEST_S
    assert 1 <= problems <= 1_001


@pytest.mark.parametrize("name", CSV)
def test_no_csv_file_keeps_a_thread_busy(name: str) -> None:
    took_s, problems = refused(read_csv, CSV[name])
    assert took_s < LONGEST_S
    assert 1 <= problems <= 1_001


def test_a_deep_key_costs_no_more_memory_than_its_file() -> None:
    tracemalloc.start()
    try:
        refused(read_toml, TOML["a key of 15,000 parts"])
        _now, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < MOST_BYTES


def test_dots_in_texts_and_numbers_are_no_depth() -> None:
    dotted = "a.b.c.d.e.f.g"
    text = f"""
# {dotted}
[[unit]]
kind = "fork"  # {dotted} "
name = "{dotted}"
note = '{dotted} "'
travels_mm = [120.5, 130.5, 140.5, 150.5, 160.5, 170.5]
[[unit]]
kind = "shock"
name = \"\"\"Sedge\\\" {dotted} ""55\"\"\"
"""
    assert len(read_toml(text).suspension_units) == 2


@pytest.mark.parametrize(
    "text",
    [
        "".join(f"a{n}=1\n" for n in range(190_000)),
        "a=[" + "1," * 900_000 + "]",
        "a=[" + "{}," * 600_000 + "]",
        "\n" * 1_900_000,
        "#\n" * 900_000,
        "".join(f"[a{n}]\n" for n in range(190_000)),
        "".join(f"[a.b.c.d.e{n}]\n" for n in range(99_000)),
        "[[unit.charts]]\n" * 120_000,
    ],
    ids=["keys", "numbers", "tables in a row", "blank lines", "comments", "tables", "tables of long names", "charts"],
)
def test_two_megabytes_of_toml_are_refused_before_they_are_parsed(text: str) -> None:
    """The parser needs two to four seconds for each of them; counting needs hundredths."""
    began = time.thread_time()
    with pytest.raises(SuspensionUnitFileError) as caught:
        read_toml("[[unit]]\n" + text)
    assert time.thread_time() - began < 0.5
    assert "Split it" in caught.value.problems[0].message


def test_as_many_forks_with_a_chart_as_a_chain_has_fit_into_a_file() -> None:
    chart = (
        '[[unit.charts]]\ntravel_mm = 140\nweight = "rider"\nsag_percent = 20\nrows = [[55, 62], [70, 78], [85, 94]]\n'
    )
    fork = '[[unit]]\nkind = "fork"\nname = "F{}"\ntravels_mm = [120, 140]\nstanchion_mm = 34\n' + chart
    text = "".join(fork.replace("{}", str(n)) for n in range(4_000))
    assert not is_too_much(text)
