"""A message of the rules or of the pages as a sentence in the reader's language."""

from __future__ import annotations

from collections.abc import Mapping

from setup_rules.messages.marking import Plural
from setup_rules.messages.message import Message, Value, fill
from webapp.ground.text import numbers
from webapp.ground.text.i18n import look_up
from webapp.ground.text.messages import TEMPLATES


def say(message: Message | str) -> str:
    """Return a message in the reader's language, its numbers as the reader writes them.

    A text is in the reader's words already and comes back unchanged.
    """
    if isinstance(message, str):
        return message
    template = message.template or TEMPLATES[message.key]
    if isinstance(template, Plural):
        count = int(message.values[template.count])  # type: ignore[arg-type]  # a count is a number
        return fill_in(look_up(template.one, template.other, count), message.values)
    return fill_in(look_up(template), message.values)


def fill_in(text: str, values: Mapping[str, Value]) -> str:
    """Return a text in the reader's language with its `{name}` fields filled, numbers as the reader writes them."""
    return fill(text, values, numbers.exact, say)
