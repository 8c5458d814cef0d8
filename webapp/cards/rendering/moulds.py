"""Cards cast in a mould: cards that differ from one laid out before in short texts and the code only.

WeasyPrint takes a tenth of a second for each card, most of it for a layout that the card before had too. A mould keeps
such a layout; the next card's texts and code take the places of the last one's. Nothing is guessed: a text goes only
where WeasyPrint has set one as wide on one line, a line is broken only at widths that it has broken before, and what
does not fit (other tags, other long texts, letters of another font) is left to it, and teaches the moulds.
"""

from __future__ import annotations

import functools
import re
import threading
import zlib
from collections import OrderedDict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from webapp.cards.rendering.drawings import (
    Change,
    NoMouldError,
    Run,
    change_drawing,
    draw_code,
    find_code,
    read_letters,
    read_runs,
)
from webapp.cards.rendering.fragments import FORM, Fragment, take_apart
from webapp.cards.rendering.lines import Bounds, Line, find_breaks, read_lines
from webapp.cards.rendering.sizes import CardSize, Step
from webapp.cards.rendering.texts import Texts, read_texts
from webapp.cards.rendering.type_case import CannotSetError, TypeCase
from webapp.ground.text.i18n import language

#: Frames that are remembered, and moulds of each; what is longest out of use makes room.
FRAMES: Final = 24
MOULDS: Final = 8
#: Languages whose letters the fonts draw in no way of their own.
LANGUAGES: Final = ("en",)
_LENGTH: Final = re.compile(r"/Length \d+")

DrawPage = Callable[[Step], str]


class Mould:
    """A finished card whose texts and code can be replaced."""

    def __init__(self, texts: Texts, card: bytes, case: TypeCase, *, compact: bool) -> None:
        """Read a finished card (NoMouldError where it cannot serve)."""
        self.texts, self._case = texts, case
        whole, maps = case.give_fonts(card)
        if not maps.keys() <= case.faces.keys():
            raise NoMouldError("a text is drawn in a font that is not the card's")
        letters = {name: read_letters(one) for name, one in maps.items()}
        self.fragment = take_apart(whole)
        self._drawing = zlib.decompress(self.fragment.streams[FORM]).decode("latin-1")
        self._code = find_code(self._drawing, texts.path) if texts.path else None
        self._lines = read_lines(texts.texts, read_runs(self._drawing, letters), compact=compact)

    def teach(self, bounds: Bounds) -> None:
        """Note how wide this card's lines are."""
        for line in self._lines:
            if line.is_fixed or not line.runs:
                continue
            rows = [line.runs] if line.is_whole else [(run,) for run in line.runs]
            for row in rows:
                end = row[-1].x + self._lay(row[-1], row[-1].text.rstrip(" "))[1]
                bounds.note_whole(line.room, end - row[0].x)
            if not line.is_whole:
                for run, word in find_breaks(line, self.texts.texts[line.texts[0]].text):
                    bounds.note_broken(line.room, self._lay(run, f"{run.text.rstrip(' ')} {word}")[1])

    def cast(self, texts: Texts, bounds: Bounds) -> Fragment:
        """Return a card of other texts.

        Raises
        ------
        NoMouldError, CannotSetError
            When the card would be laid out otherwise, or may be.
        """
        if texts.frame != self.texts.frame or bool(texts.path) != bool(self.texts.path):
            raise NoMouldError("another frame")
        changes: list[Change] = [] if self._code is None else [(*self._code, draw_code(texts.path))]
        for line in self._lines:
            changes += self._change_line(line, texts, bounds)
        return self._with_drawing(change_drawing(self._drawing, changes))

    def _change_line(self, line: Line, texts: Texts, bounds: Bounds) -> list[Change]:
        new = [texts.texts[number].text for number in line.texts]
        if not line.runs or new == [self.texts.texts[number].text for number in line.texts]:
            return []
        if line.is_fixed:
            raise NoMouldError("a text has changed that has to stay")
        if line.is_whole:
            return self._set_beside(line, [new[0].lstrip(" "), *new[1:]], bounds)
        return self._set_broken(line, new[0], bounds)

    def _set_beside(self, line: Line, new: Sequence[str], bounds: Bounds) -> list[Change]:
        changes, moved, end = [], 0.0, 0.0
        for run, text in zip(line.runs, new, strict=True):
            drawn, width = self._lay(run, text)
            changes.append(run.moved(run.x + moved, drawn))
            end = run.x + moved + self._lay(run, text.rstrip(" "))[1]
            moved += width - self._lay(run, run.text)[1]
        if not bounds.fits(line.room, end - line.runs[0].x):
            raise NoMouldError("a line is too wide")
        return changes

    def _set_broken(self, line: Line, text: str, bounds: Bounds) -> list[Change]:
        rows = [row for part in text.split("\n") for row in self._break(line, part, bounds)]
        if len(rows) != len(line.runs):
            raise NoMouldError("a text has another number of lines")
        return [run.moved(run.x, self._lay(run, row)[0]) for run, row in zip(line.runs, rows, strict=True)]

    def _break(self, line: Line, text: str, bounds: Bounds) -> Iterator[str]:
        """Yield a text's lines, each as full as it goes."""
        row = ""
        for word in text.split(" "):
            longer = f"{row} {word}" if row else word
            if bounds.fits(line.room, self._lay(line.runs[0], longer)[1]):
                row = longer
                continue
            if not row or not word.isalnum():
                raise NoMouldError("a word may be broken itself")
            yield row
            row = word
        yield row

    def _lay(self, run: Run, text: str) -> tuple[str, float]:
        drawn, width = self._case.faces[run.font].lay(text)
        return drawn, width * float(run.size) / 1000

    def _with_drawing(self, drawing: str) -> Fragment:
        stream = zlib.compress(drawing.encode("latin-1"))
        length = f"/Length {len(stream)}"
        form = tuple(_LENGTH.sub(length, one) if isinstance(one, str) else one for one in self.fragment.objects[FORM])
        objects = (form, *self.fragment.objects[1:])
        return replace(self.fragment, objects=objects, streams={**self.fragment.streams, FORM: stream})


@dataclass(slots=True)
class _Frame:
    """What is known of the cards of one frame: by step, the width of lines, and the moulds, the latest used last."""

    bounds: dict[Step, Bounds] = field(default_factory=dict)
    moulds: list[tuple[Step, Mould]] = field(default_factory=list)


class Moulds:
    """The moulds of a process; safe between threads."""

    def __init__(self) -> None:
        self._frames: OrderedDict[tuple[str, str], _Frame] = OrderedDict()
        self._lock = threading.Lock()

    def forget(self) -> None:
        """Forget everything."""
        with self._lock:
            self._frames.clear()

    def cast(self, size: CardSize, draw: DrawPage) -> Fragment | None:
        """Return a card that a mould takes, None where none does; `draw` gives the card's HTML at a step."""
        if language() not in LANGUAGES:
            return None
        first = read_texts(draw(size.steps[0]))
        with self._lock:
            frame = self._frames.get((size.name, first.frame))
            if frame is None:
                return None
            self._frames.move_to_end((size.name, first.frame))
            return _cast_any(frame, {size.steps[0]: first}, draw)

    def learn(self, size: CardSize, step: Step, draw: DrawPage, card: bytes) -> Fragment:
        """Return a finished card, laid out by WeasyPrint at `step`, as a fragment, and keep it as a mould if it can be.

        A card that comes out of a mould may be set a step tighter than alone: where a text took a line more at the
        step before in the mould's card, and would not in this one.
        """
        texts = read_texts(draw(step))
        try:
            mould = Mould(texts, card, type_case(), compact=size.compact)
            with self._lock:
                frame = self._frame((size.name, read_texts(draw(size.steps[0])).frame))
                mould.teach(frame.bounds.setdefault(step, Bounds()))
                if _cast_any(frame, {step: texts}, draw) is None:
                    frame.moulds = [*frame.moulds, (step, mould)][-MOULDS:]
        except (NoMouldError, CannotSetError):
            return take_apart(card)
        return mould.fragment

    def _frame(self, key: tuple[str, str]) -> _Frame:
        frame = self._frames.setdefault(key, _Frame())
        while len(self._frames) > FRAMES:
            self._frames.popitem(last=False)
        return frame


def _cast_any(frame: _Frame, known: dict[Step, Texts], draw: DrawPage) -> Fragment | None:
    """Return a card from the first mould that takes it, the latest used first."""
    for step, mould in reversed(frame.moulds):
        if step not in known:
            known[step] = read_texts(draw(step))
        try:
            found = mould.cast(known[step], frame.bounds[step])
        except (NoMouldError, CannotSetError):
            continue
        frame.moulds.remove((step, mould))
        frame.moulds.append((step, mould))
        return found
    return None


#: The whole letters, set once for a process.
type_case = functools.cache(TypeCase)
moulds: Final = Moulds()
