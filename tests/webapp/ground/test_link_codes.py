"""Codes in links: random, unmistakable, and read from whatever people type."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.ground.link_codes import ALPHABET, CODE_LENGTH, CodeError, new_code, normalise, spaced

CODE = "01110123456789ABCDEFGHJKMN"


def test_a_new_code_has_130_bits_in_26_letters_and_digits() -> None:
    code = new_code()
    assert len(ALPHABET) == 32
    assert len(code) == CODE_LENGTH == 26
    assert set(code) <= set(ALPHABET)


def test_new_codes_do_not_repeat_and_use_the_whole_alphabet() -> None:
    codes = {new_code() for _ in range(500)}
    assert len(codes) == 500
    assert set("".join(codes)) == set(ALPHABET)


@pytest.mark.parametrize(
    "text",
    [
        CODE,
        CODE.lower(),
        "OIL1O1234567 89abcdefghjkmn",
        "0111-0123-4567-89AB-CDEF-GHJK-MN",
        f"  {CODE}\n",
        f"https://cards.example/s/{CODE.lower()}",
        f"HTTPS://CARDS.EXAMPLE/S/{CODE}",
        f"https://cards.example/setup/s/{CODE}/2?x=1#top",
        f"https://cards.example/s/{CODE}/card.pdf",
        spaced(CODE),
    ],
)
def test_a_code_is_read_in_every_way_that_people_give_it(text: str) -> None:
    assert normalise(text) == CODE


@pytest.mark.parametrize(
    "text",
    ["", "x", CODE[:-1], CODE + "0", CODE[:-1] + "U", CODE[:-1] + "é", "٠" * 26, "/s/", CODE[:-1] + "!", "0" * 900],
)
def test_what_is_no_code_is_refused(text: str) -> None:
    with pytest.raises(CodeError):
        normalise(text)


@given(st.text())
def test_any_text_is_a_code_or_refused(text: str) -> None:
    try:
        code = normalise(text)
    except CodeError:
        return
    assert normalise(code) == code


@given(st.text(alphabet=ALPHABET, min_size=26, max_size=26))
def test_every_code_is_its_own_normal_form_also_spaced_and_in_small_letters(code: str) -> None:
    assert normalise(spaced(code).lower()) == code
