"""The lines that a finished card's texts stand in, and what is known of how wide such a line may be."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from webapp.cards.rendering.drawings import NoMouldError, Run
from webapp.cards.rendering.texts import Text

#: What two widths may differ by and still be the same [CSS px].
_SLACK: Final = 0.02
#: Texts that are centred or flush right: another one would begin elsewhere.
_FIXED: Final = ("blank", "check")
#: Texts that may be broken into as many lines anew; others are long, and stay as they are.
_BREAK: Final = ("code", "bench", "td")


@dataclass(frozen=True, slots=True)
class Line:
    """Texts side by side, a run each, or one text over several lines; `room` names what is as wide."""

    room: str
    texts: tuple[int, ...]
    runs: tuple[Run, ...]
    is_fixed: bool

    @property
    def is_whole(self) -> bool:
        """Whether all of it stands side by side."""
        return len(self.texts) == len(self.runs)


@dataclass(slots=True)
class Bounds:
    """The widest line [CSS px] that was laid out whole, and the narrowest that had to be broken, by their room."""

    whole: dict[str, float] = field(default_factory=dict)
    broken: dict[str, float] = field(default_factory=dict)

    def fits(self, room: str, width: float) -> bool:
        """Return whether a line of this width fits.

        Raises
        ------
        NoMouldError
            When nothing like it was laid out yet.
        """
        if width <= self.whole.get(room, 0.0) + _SLACK:
            return True
        if width >= self.broken.get(room, float("inf")) - _SLACK:
            return False
        raise NoMouldError("no line of this width was laid out yet")

    def note_whole(self, room: str, width: float) -> None:
        """Note a line that was laid out whole."""
        self.whole[room] = max(self.whole.get(room, 0.0), width)

    def note_broken(self, room: str, width: float) -> None:
        """Note what a line would have been if it had not been broken."""
        self.broken[room] = min(self.broken.get(room, float("inf")), width)


def read_lines(texts: Sequence[Text], runs: Sequence[Run], *, compact: bool) -> tuple[Line, ...]:
    """Return the lines of a finished card (NoMouldError where texts and drawing do not agree).

    Parameters
    ----------
    compact : bool
        Whether the remarks in the table's head stand beside it and not below.
    """
    rest = deque(runs)
    lines: list[Line] = []
    for number, text in enumerate(texts):
        own, is_fixed = _take(text, rest)
        before = lines[-1] if lines and texts[lines[-1].texts[-1]].paragraph == text.paragraph else None
        if before and before.is_whole and before.runs and len(own) == 1 and before.runs[-1].y == own[0].y:
            both = (*before.texts, number), before.runs + own
            lines[-1] = Line(text.room, *both, before.is_fixed or is_fixed)
            continue
        if before and not _is_below(text, compact=compact):  # flowed on to the next line, and may flow back
            lines[-1], is_fixed = replace(before, is_fixed=True), True
        lines.append(Line(text.room, (number,), own, is_fixed))
    if rest:
        raise NoMouldError("more is drawn than the texts say")
    return tuple(lines)


def _is_below(text: Text, *, compact: bool) -> bool:
    """Return whether a text begins a line of its own, as the style sheets say."""
    return text.tag == "span" and not (compact and text.in_head)


def _take(text: Text, rest: deque[Run]) -> tuple[tuple[Run, ...], bool]:
    """Take the runs that draw a text; return them and whether the text may not change."""
    if not text.letters:
        raise NoMouldError("a text of blanks is not drawn, and another one would be")
    own: list[Run] = []
    said = ""
    while said != text.letters:
        if not rest or not _goes_on(text, said, rest[0]):
            if own or text.tag != "span":
                raise NoMouldError("a text is drawn otherwise than it is written")
            return (), False  # left out by a tight step
        own.append(rest.popleft())
        said += own[-1].letters
        if said not in text.letters:
            return tuple(own), True  # cut short
    is_plain = len(own) > 1 or own[0].text.strip(" ") == text.text.strip(" ")
    may_break = len(own) == 1 or text.kind in _BREAK
    return tuple(own), text.kind in _FIXED or not (is_plain and may_break)


def _goes_on(text: Text, said: str, run: Run) -> bool:
    whole = said + run.letters
    return text.letters.startswith(whole) or (whole.endswith("…") and text.letters.startswith(whole[:-1]))


def find_breaks(line: Line, text: str) -> Iterator[tuple[Run, str]]:
    """Yield the first run of each line that was broken for want of room, with the word that found none in it."""
    said = 0
    flat = "".join(text.split())
    kept = {len("".join(text[:at].split())) for at, letter in enumerate(text) if letter == "\n"}
    for run, after in zip(line.runs, line.runs[1:], strict=False):
        said += len(run.letters)
        word = after.text.split()[0]
        if said not in kept and flat.startswith(word, said) and word.isalnum():
            yield run, word
