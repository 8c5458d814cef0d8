"""A page that repeats what was typed stays a page."""

from __future__ import annotations

import pytest
from flask.testing import FlaskClient

from webapp.ground.text.page_text import clean_text


@pytest.mark.parametrize("typed", ["\x00", "\x0b", "\x7f", "\x85", "\ufdd0", "\uffff", "\U0010fffe"])
def test_what_html_cannot_hold_is_shown_as_its_sign(client: FlaskClient, typed: str) -> None:
    page = client.post("/leak", data={"first_psi": f"8{typed}4"}).text
    assert typed not in page
    assert 'value="8\N{REPLACEMENT CHARACTER}4"' in page


def test_everything_else_stays_as_it_was_typed() -> None:
    text = "84\t\r\n\f psi, ½ – 🚵 \u200f"
    assert clean_text(text) == text
