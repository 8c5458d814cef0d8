"""A sentence as data: which template, and the values that fill it. It becomes words where it is shown.

Numbers stay numbers (rounded to what is shown), so that whoever shows them can write them in the reader's way.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Union

from setup_rules.messages.catalogue import TEMPLATES
from setup_rules.messages.marking import Plural

#: What fills a field: a number, a symbol or a text of the person's own, or a label (a message that is a name).
Value = Union[str, int, float, "Message"]

_FIELD = re.compile(r"\{(\w+)\}")


@dataclass(frozen=True, slots=True)
class Message:
    """One sentence: the `key` of its template and the `values` of the template's fields.

    `template` is empty but for a sentence that was stored before templates had keys: then it is that sentence's own.
    """

    key: str
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)
    template: str = ""

    @classmethod
    def of(cls, key: str, /, **values: Value) -> Message:
        """Return the message with this key and these values.

        Examples
        --------
        >>> str(Message.of("problem.no_fork"))
        'This setup has no fork. Choose the shock.'
        """
        return cls(key, values)

    @property
    def english(self) -> str:
        """The sentence in English."""
        template = self.template or TEMPLATES[self.key]
        return fill(template.form(self.values) if isinstance(template, Plural) else template, self.values)

    def __str__(self) -> str:
        return self.english


def fields_of(template: str) -> frozenset[str]:
    """Return the names of the fields in one form of a template."""
    return frozenset(_FIELD.findall(template))


def plain_number(value: float) -> str:
    """Return a number as English prose has it: no trailing zeros, no minus before a zero.

    Examples
    --------
    >>> plain_number(27.50), plain_number(-0.0), plain_number(12)
    ('27.5', '0', '12')
    """
    return str(value) if isinstance(value, int) else f"{value + 0.0:.10g}"


def fill(
    template: str,
    values: Mapping[str, Value],
    number: Callable[[float], str] = plain_number,
    message: Callable[[Message], str] = str,
) -> str:
    """Return `template` with its `{name}` fields filled: numbers written by `number`, messages by `message`."""

    def shown(found: re.Match[str]) -> str:
        value = values[found[1]]
        if isinstance(value, str):
            return value
        return message(value) if isinstance(value, Message) else number(value)

    return _FIELD.sub(shown, template)
