"""Requests beside one that was drawn: the same but for a place or three. To draw costs more than to answer.

Hypothesis and schemathesis find what is far from any good request; a neighbour of one that was taken gets past the
first check and reaches what lies behind it.
"""

from __future__ import annotations

import copy
import random
from collections import defaultdict, deque
from collections.abc import Iterator, Sequence
from typing import Any, Final

from tests.fuzz.values import ENDS, NONSENSE, UNITS

#: How many values and taken bodies are remembered, the newest of them.
_REMEMBERED: Final = 400
_TAKEN: Final = 20
_CHANGES: Final = (1, 1, 1, 2, 3)
_NO_TEXT: Final[tuple[Any, ...]] = (
    *(None, True, False, 0, -1, 1, 2**31, 2**63, -(2**63) - 1, 10**400, 1e308, -1e308, 5e-324, -0.0),
    *(float("nan"), float("inf"), [], {}, [[]], [None], [1] * 500, {"": ""}, {"a": {"a": {"a": {"a": 1}}}}),
)
_STEPS: Final = (0.0, 1e-9, -1e-9, 0.5, -0.5, 1.0, -1.0)


class Dealer:
    """Deals values and changes requests, the same for the same seed and the same requests before."""

    def __init__(self, first_seed: int) -> None:
        self._choice = random.Random(first_seed)
        self._drawn: deque[str] = deque(maxlen=_REMEMBERED)
        self._taken: defaultdict[str, deque[Any]] = defaultdict(lambda: deque(maxlen=_TAKEN))

    def one_in(self, number: int) -> bool:
        """Return true once in `number` times."""
        return self._choice.randrange(number) == 0

    def pick(self, names: Sequence[str]) -> str:
        """Return one of several."""
        return self._choice.choice(names)

    def remember(self, value: Any) -> None:
        """Keep a text that was drawn, to deal it again elsewhere."""
        if isinstance(value, str):
            self._drawn.append(value)

    def note_taken(self, what: str, body: Any) -> None:
        """Keep a body that was taken, by what it was sent to."""
        self._taken[what].append(copy.deepcopy(body))

    def taken(self, what: str, otherwise: Any) -> Any:
        """Return a copy of a body that was taken before, or of another where none was."""
        known = self._taken.get(what)
        return copy.deepcopy(self._choice.choice(known) if known else otherwise)

    def text(self, beside: str = "") -> str:
        """Return a text for a field that may have held `beside`."""
        way = self._choice.randrange(4)
        if way == 0:
            return self._choice.choice(NONSENSE)
        if way == 1 and self._drawn:
            return self._choice.choice(self._drawn)
        if way == 2 and (number := _number(beside)) is not None:
            return f"{self._near(number):.10g}"
        return f"{self._at_a_limit():.10g}{self._choice.choice(UNITS)}"

    def value(self, beside: Any = None) -> Any:
        """Return a JSON value for a place that may have held `beside`: often of the same kind."""
        if isinstance(beside, int | float) and not isinstance(beside, bool) and not self.one_in(3):
            near = self._near(beside)
            return round(near) if isinstance(beside, int) and abs(near) < 1e300 else near
        way = self._choice.randrange(3)
        if way == 0:
            return self._at_a_limit()
        return self.text() if way == 1 else copy.deepcopy(self._choice.choice(_NO_TEXT))

    def change(self, body: Any) -> Any:
        """Return a body that differs from `body`, which is changed, in one to three places."""
        for _ in range(self._choice.choice(_CHANGES)):
            places = list(_places(body))
            if not places:
                return self.value(body)
            holder, key = self._choice.choice(places)
            way = self._choice.randrange(8)
            if way == 0:
                del holder[key]
            elif way == 1 and isinstance(holder, dict):
                other, name = self._choice.choice(places)
                holder[str(name)] = copy.deepcopy(other[name])
            else:
                holder[key] = self.value(holder[key])
        return body

    def change_fields(self, good: dict[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
        """Return a form's data with one to three fields changed, and now and then one left out."""
        data = dict(good)
        for name in self._choice.sample(names, min(len(names), self._choice.choice(_CHANGES))):
            data[name] = self.text(str(data.get(name, "")))
        if good and self.one_in(6):
            data.pop(self._choice.choice(list(good)), None)
        if "file" in data:
            cells = (good["file"][0].getvalue().decode() if "file" in good else str(data["file"])).split(",")
            cells[self._choice.randrange(len(cells))] = self.text()
            data["file"] = ",".join(cells).encode("utf-8", "surrogatepass")
        return data

    def _near(self, number: float) -> float:
        try:
            return number * self._choice.uniform(0.8, 1.25) + self._choice.choice(_STEPS)
        except OverflowError:
            return float(self._choice.choice(ENDS))

    def _at_a_limit(self) -> float:
        return float(self._choice.choice(ENDS) + self._choice.choice(_STEPS))


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None


def _places(body: Any) -> Iterator[tuple[Any, Any]]:
    items = list(body.items()) if isinstance(body, dict) else list(enumerate(body)) if isinstance(body, list) else []
    for key, value in items:
        yield body, key
        yield from _places(value)
