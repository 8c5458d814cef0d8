"""A key of a body is described by name: six figures and words in a row would be mixed up unseen."""

from __future__ import annotations

import inspect

from setup_rules.parsing.correction_parsing import Key


def test_every_word_on_a_key_is_given_by_name() -> None:
    kinds = {one.kind for one in inspect.signature(Key).parameters.values()}
    assert kinds == {inspect.Parameter.KEYWORD_ONLY}
