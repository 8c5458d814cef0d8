"""The alphabet of the card's code against Crockford's base32.

Source: "Base 32", Crockford's own description of the encoding.

Confirmed: recomputed with the `base32-crockford` package in this file (1234 → 16J with check symbol D, 42 → 1A with 5,
32 → 10 with *, 519571 → FVCK with H); the description itself was not opened here.

Tolerance: none, symbols and codes are compared whole.
"""

from __future__ import annotations

import base32_crockford
import pytest

from webapp.ground.link_codes import ALPHABET, CODE_LENGTH, new_code, normalise


def test_the_alphabet_is_the_packages_symbols_in_order() -> None:
    assert "".join(base32_crockford.encode(value) for value in range(32)) == ALPHABET


@pytest.mark.parametrize(("value", "checked"), [(1234, "16JD"), (42, "1A5"), (32, "10*"), (519571, "FVCKH")])
def test_the_packages_own_examples_are_written_in_this_alphabet(value: int, checked: str) -> None:
    assert base32_crockford.encode(value, checksum=True) == checked
    digits = ""
    while value:
        value, rest = divmod(value, 32)
        digits = ALPHABET[rest] + digits
    assert digits == checked[:-1]


def test_a_code_holds_130_bits() -> None:
    assert 32**CODE_LENGTH == 2**130


@pytest.mark.parametrize("text", ["olil0-12345 6789abcdefghjkmn".replace(" ", ""), "ZZZZZ-ooooo-IIIII-LLLLL-lilo09"])
def test_look_alikes_are_read_as_the_package_reads_them(text: str) -> None:
    assert base32_crockford.decode(normalise(text)) == base32_crockford.decode(text)


def test_a_fresh_code_is_one_that_the_package_can_read_back() -> None:
    code = new_code()
    assert base32_crockford.encode(base32_crockford.decode(code)).rjust(CODE_LENGTH, "0") == code
