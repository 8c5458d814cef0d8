"""Finding: what a person has at hand leads to the setup, anything else to a sentence."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask

from setup_rules import read_request
from webapp.ground.action_errors import LinkUnknownError
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_setup import find_setup


def test_a_whole_card_link_in_capitals_is_found(app: Flask, whole_request: dict[str, Any]) -> None:
    with app.app_context():
        code = create_setup(read_request(whole_request)).saved.code
        assert find_setup(f"https://CARDS.EXAMPLE/S/{code}").code == code
        assert find_setup(f" {code.lower()} ").code == code


@pytest.mark.parametrize("text", ["", "0" * 26, "x" * 25, "' OR 1=1 --", "\x00" * 26])
def test_what_leads_nowhere_is_unknown(app: Flask, text: str) -> None:
    with app.app_context(), pytest.raises(LinkUnknownError):
        find_setup(text)


@pytest.mark.parametrize("revision", [0, -1, 2, 2**63, 10**30])
def test_a_revision_that_does_not_exist_is_unknown(app: Flask, whole_request: dict[str, Any], revision: int) -> None:
    with app.app_context():
        code = create_setup(read_request(whole_request)).saved.code
        with pytest.raises(LinkUnknownError, match="version"):
            find_setup(code, revision)
