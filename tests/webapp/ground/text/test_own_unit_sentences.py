"""Sentences of the rules on a device whose pump reads bar; 1 psi = 6894.757 Pa (NIST SP 811)."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from flask import Flask

from setup_rules.messages.marking import Plural
from setup_rules.messages.message import Message, fields_of
from webapp.ground.config import host_cookie_name
from webapp.ground.text.messages import TEMPLATES
from webapp.ground.text.own_unit_sentences import fill_pressures, say_in_own_units
from webapp.ground.text.sentences import say

BAR_PER_PSI = 0.06894757293168


@pytest.fixture
def bar(app: Flask) -> Iterator[None]:
    """A request of a device whose units are stones, bar and inches."""
    cookie = host_cookie_name("setup_card_units", app.config)
    with app.test_request_context("/", headers={"Cookie": f"{cookie}=st-bar-in-c-m"}):
        yield


def test_advice_names_the_pressures_of_the_pump_first(bar: None) -> None:
    said = say_in_own_units(Message.of("sag_let_out.shock", change=26, psi=171, sag=15, low=13.5, high=17))
    assert "Let about 1.8 bar (26 psi) out of the shock, to 11.8 bar (171 psi)." in said


def test_a_range_has_its_unit_once(bar: None) -> None:
    said = say_in_own_units(Message.of("pressure.checked.fork", psi=87, low=67, high=112))
    assert "this fork needs 4.6 to 7.7 bar (67 to 112 psi)." in said


def test_a_limit_is_rounded_down_and_nothing_within_it_above_it(bar: None) -> None:
    assert "8.2 bar (120 psi) is our" in say_in_own_units(Message.of("caution.maximum_assumed.fork", limit=120))
    set_to = Message.of("sag_pump.fork", change=5, psi=120, sag=34, low=30, high=38)
    assert "to 8.3 bar (120 psi)" in say_in_own_units(set_to)  # 120 psi are 8.27 bar
    assert "to 8.2 bar (120 psi)" in say_in_own_units(set_to, 120 * BAR_PER_PSI * 1e5)


def test_what_was_measured_above_the_limit_stays_above_it(bar: None) -> None:
    said = say_in_own_units(Message.of("caution.pumped_above_maximum.fork", psi=150, limit=120))
    assert "measured at 10.3 bar (150 psi), above its maximum of 8.2 bar (120 psi)" in said


def test_who_chose_psi_reads_what_the_rules_say(app: Flask) -> None:
    message = Message.of("caution.maximum_assumed.fork", limit=120)
    with app.test_request_context("/"):
        assert say_in_own_units(message) == say(message)
    assert say_in_own_units("as typed") == "as typed"


def test_no_sentence_names_a_psi_alone_or_another_number_than_that_psi(bar: None) -> None:
    checked = 0
    for key, template in TEMPLATES.items():
        text = template.other if isinstance(template, Plural) else template
        if not re.search(r"\{\w+\} psi", text):
            continue
        values = {name: 40 + 7 * number for number, name in enumerate(sorted(fields_of(text)))}
        said = fill_pressures(text, values)
        assert len(re.findall(r"\d psi", said)) == len(re.findall(r"bar \([^)]*\d psi\)", said)), (key, said)
        for own, psi in re.findall(r"(?<!to )(\d+\.\d) bar \((\d+) psi\)", said):
            assert float(own) == pytest.approx(int(psi) * BAR_PER_PSI, abs=0.1), (key, said)
            checked += 1
    assert checked > 60
