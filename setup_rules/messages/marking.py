"""Marks English sentences for extraction: what stands in `N_` or `NN_` is what a translator is given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Plural:
    """A sentence in two forms, of which the whole number in the value called `count` chooses one."""

    one: str
    other: str
    count: str = "count"

    def form(self, values: Mapping[str, object]) -> str:
        """Return the English form for the count among `values`."""
        return self.one if values[self.count] == 1 else self.other


#: A whole sentence with `{name}` fields, or two forms of one.
Template = str | Plural


def N_(text: str) -> str:  # noqa: N802 the name that tools for extraction look for
    """Return `text` unchanged: it is translated where it is shown, not where it is written."""
    return text


def NN_(one: str, other: str, count: str = "count") -> Plural:  # noqa: N802 as above
    """Return both forms of a sentence unchanged, chosen by the value called `count`."""
    return Plural(one, other, count)
