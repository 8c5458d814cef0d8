"""A message of the rules or of the pages as a sentence in the reader's language."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from setup_rules.messages.marking import Plural, Template
from setup_rules.messages.message import Message, Value, fill
from setup_rules.types.errors import LimitError, RequestError, SetupRulesError
from webapp.ground.text import numbers
from webapp.ground.text.i18n import look_up
from webapp.ground.text.messages import TEMPLATES


def say(message: Message | str) -> str:
    """Return a message in the reader's language, its numbers as the reader writes them.

    A text is in the reader's words already and comes back unchanged.
    """
    if isinstance(message, str):
        return message
    return fill_in(template_for(message), message.values)


def template_for(message: Message) -> str:
    """Return the template of a message in the reader's language, in the form for its count, its fields open."""
    template = _template_of(message)
    if isinstance(template, Plural):
        count = int(message.values[template.count])  # type: ignore[arg-type]  # a count is a number
        return look_up(template.one, template.other, count)
    return look_up(template)


def say_error(error: SetupRulesError) -> str:
    """Return what an error of the rules says, in the reader's language where it holds messages."""
    if isinstance(error, RequestError):
        return " ".join(say(problem.said) for problem in error.problems)
    return say(error.said) if isinstance(error, LimitError) else str(error)


def in_english(message: Message | str) -> str:
    """Return a message in English whoever reads: what is stored beside it. A text comes back unchanged."""
    if isinstance(message, str):
        return message
    template = _template_of(message)
    form = template.form(message.values) if isinstance(template, Plural) else template
    return fill(form, message.values, message=in_english)


def fill_in(text: str, values: Mapping[str, Value]) -> str:
    """Return a text in the reader's language with its `{name}` fields filled, numbers as the reader writes them."""
    return fill(text, values, numbers.exact, say)


def list_messages(key: str, parts: Sequence[Message]) -> Message:
    """Return one or more messages as one: two and two side by side as the template `key` has it.

    Halves rather than one after the other, so that a long list does not nest deep.
    """
    if len(parts) == 1:
        return parts[0]
    half = len(parts) // 2
    return Message.of(key, first=list_messages(key, parts[:half]), rest=list_messages(key, parts[half:]))


def _template_of(message: Message) -> Template:
    return message.template or TEMPLATES[message.key]
