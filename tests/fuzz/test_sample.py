"""A small sample of the fuzz, which `.ci/run` sends at length, and the judge itself: it sees what it has to see."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from werkzeug.test import Client

from tests.fuzz.__main__ import run_api, run_forms
from tests.fuzz.judge import Judge, html_fault, id_fault, json_fault
from tests.fuzz.plain_html import is_plainly_right


@pytest.fixture(autouse=True)
def quiet() -> Iterator[None]:
    """Let the fuzzing libraries warn of what they like."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def test_a_sample_of_the_json_interface_holds(tmp_path: Path) -> None:
    judge = run_api(tmp_path, 30, 7)
    assert judge.fuzzed >= 30
    assert judge.told() == []


def test_a_sample_of_the_forms_holds(tmp_path: Path) -> None:
    judge = run_forms(tmp_path, 40, 7)
    assert judge.fuzzed >= 30
    assert judge.told() == []


PAGE = '<!doctype html><html lang="en"><head><title>x</title></head><body>{}</body></html>'


@pytest.mark.parametrize(
    "body", ["<p>a</p></section>", "<p a=1 a=2>", "\x00", '<i id="a"></i><i id="a"></i>', "<b><p></b>"]
)
def test_the_judge_sees_what_is_no_html(body: str) -> None:
    fine = PAGE.format("<p>fine &amp; well</p>")
    assert (html_fault(fine), id_fault(fine), is_plainly_right(fine)) == ("", "", True)
    assert (html_fault(PAGE.format(body)) or id_fault(PAGE.format(body))).startswith("HTML")


#: Fragments that HTML's rules close, open, move or refuse where they stand.
BROKEN = (
    *("<p><div>a</div></p>", "<a href='#'><a href='#'>b</a></a>", "<ul>text<li>a</li></p></ul>"),
    *("<table><p>a</p></table>", "<table><tbody><td>a</td></tbody></table>", "<button><button>a</button></button>"),
    *("<select><p>a</p></select>", "<form><form></form></form>", "<h1><h2>a</h2></h1>", "a & b &foo; c&ampd"),
    *("<div/>", "<i><b>a</i></b>", "</br>", "<option>a<option>b</option></option>", "a < b"),
    *('<p title="a"title="b">c</p>', "<body>", "<title>a</title><li>b", "<svg><p>a</p></svg>", "<textarea>a"),
    *("<table><tbody><tr>a<td>b</td></tr></tbody></table>", "<p>a\x01</p>", "<p>a"),
)


@pytest.mark.parametrize("body", BROKEN)
def test_nothing_is_called_plainly_right_that_html5lib_finds_fault_with(body: str) -> None:
    assert not is_plainly_right(PAGE.format(body))
    assert not is_plainly_right(PAGE.format("<p>a</p>") + body)


def test_the_judge_sees_what_is_no_json() -> None:
    assert json_fault(b'{"a": 1.5e300}') == ""
    assert json_fault(b'{"a": NaN}')
    assert json_fault(b'{"a": -Infinity}')
    assert json_fault(b'{"a": ')


def test_the_judge_blames_failures_and_what_takes_long(monkeypatch: pytest.MonkeyPatch) -> None:
    def app(_environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        start_response("500 Oh", [("Content-Type", "text/plain")])
        return [b"x"]

    monkeypatch.setattr("tests.fuzz.judge.SLOW_CPU_S", 0.0)
    judge = Judge(app)
    Client(judge).get("/a")
    assert [fault.split(" ")[0].rstrip(":") for fault in judge.told()] == ["500", "slow"]
