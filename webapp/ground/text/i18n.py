"""The one door for every text that people read: today it answers in English, later in a chosen language.

`gettext` takes the values of a text's `%(name)s` fields as keywords and leaves a bare `%` alone when there are
none, so "30 % of travel" needs no doubling. Templates use the same function as `_("...")`.
"""

from __future__ import annotations

from collections.abc import Mapping
from gettext import NullTranslations
from typing import Any

from flask import Flask

from setup_rules.messages.marking import Plural
from setup_rules.messages.message import Message, Value, fill, plain_number
from webapp.ground.text.messages import TEMPLATES

_ENGLISH = NullTranslations()


def gettext(message: str, **values: Any) -> str:
    """Return `message` in the reader's language, its `%(name)s` fields filled from `values`."""
    text = _ENGLISH.gettext(message)
    return text % values if values else text


def ngettext(singular: str, plural: str, number: int, **values: Any) -> str:
    """Return the form of a message that fits `number`, its fields filled from `values` and `num`."""
    text = _ENGLISH.ngettext(singular, plural, number)
    return text % {"num": number, **values}


def say(message: Message | str) -> str:
    """Return a message in the reader's language, its numbers as the reader writes them.

    A text is in the reader's words already and comes back unchanged.
    """
    if isinstance(message, str):
        return message
    template = message.template or TEMPLATES[message.key]
    if isinstance(template, Plural):
        text = _ENGLISH.ngettext(template.one, template.other, int(message.values[template.count]))  # type: ignore[arg-type]
    else:
        text = _ENGLISH.gettext(template)
    return fill_in(text, message.values)


def fill_in(text: str, values: Mapping[str, Value]) -> str:
    """Return a text in the reader's language with its `{name}` fields filled, numbers as the reader writes them."""
    return fill(text, values, plain_number, say)


class LazyText:
    """A text that is looked up when it is shown, not when its module is imported."""

    __slots__ = ("_message", "_values")

    def __init__(self, message: str, values: dict[str, Any]) -> None:
        self._message = message
        self._values = values

    def __str__(self) -> str:
        return gettext(self._message, **self._values)

    def __repr__(self) -> str:
        return f"LazyText({self._message!r})"

    def __mod__(self, values: Any) -> str:
        filled: str = str(self) % values
        return filled

    def __eq__(self, other: object) -> bool:
        return str(self) == str(other) if isinstance(other, LazyText | str) else NotImplemented

    def __hash__(self) -> int:
        return hash(str(self))

    def __len__(self) -> int:
        return len(str(self))


def lazy_gettext(message: str, **values: Any) -> LazyText:
    """Return a stand-in for `gettext(message, **values)` that is safe at module level."""
    return LazyText(message, values)


def install(app: Flask) -> None:
    """Give templates `_`, `gettext`, `ngettext` and the `{% trans %}` block."""
    app.jinja_env.add_extension("jinja2.ext.i18n")
    # Old style on purpose: our own gettext fills the fields, and a text without fields may hold a bare "%".
    app.jinja_env.install_gettext_callables(gettext, ngettext, newstyle=False)  # type: ignore[attr-defined]
