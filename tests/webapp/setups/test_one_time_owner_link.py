"""The owner's link is shown once, in the browser that saved the setup."""

from __future__ import annotations

from flask import Flask

from webapp.setups.one_time_owner_link import remember_owner_link, take_owner_link

CODE, OTHER, KEY = "0" * 26, "1" * 26, "2" * 26


def test_the_link_is_handed_over_once(app: Flask) -> None:
    with app.test_request_context():
        remember_owner_link(CODE, KEY)
        assert take_owner_link(CODE) == f"https://cards.example/owner/{KEY}"
        assert take_owner_link(CODE) is None


def test_another_setups_page_does_not_take_it(app: Flask) -> None:
    with app.test_request_context():
        remember_owner_link(CODE, KEY)
        assert take_owner_link(OTHER) is None
        assert take_owner_link(CODE) is not None


def test_a_repeated_save_has_no_key_to_hand_over(app: Flask) -> None:
    with app.test_request_context():
        remember_owner_link(CODE, None)
        assert take_owner_link(CODE) is None
