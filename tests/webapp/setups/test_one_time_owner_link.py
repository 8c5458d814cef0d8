"""The owner's link is shown once, in the browser that saved the setup."""

from __future__ import annotations

from flask import Flask

from webapp.setups.one_time_owner_link import hand_over, owner_link_once

CODE, OTHER, KEY = "0" * 26, "1" * 26, "2" * 26


def test_the_link_is_handed_over_once(app: Flask) -> None:
    with app.test_request_context():
        hand_over(CODE, KEY)
        assert owner_link_once(CODE) == f"https://cards.example/owner/{KEY}"
        assert owner_link_once(CODE) is None


def test_another_setups_page_does_not_take_it(app: Flask) -> None:
    with app.test_request_context():
        hand_over(CODE, KEY)
        assert owner_link_once(OTHER) is None
        assert owner_link_once(CODE) is not None


def test_a_repeated_save_has_no_key_to_hand_over(app: Flask) -> None:
    with app.test_request_context():
        hand_over(CODE, None)
        assert owner_link_once(CODE) is None
