"""A sag check on a setup that was made on a bike teaches the bike, once; a struck one takes its lesson back.

A setup keeps its own checks, so what they teach is worked out again whenever they change: what the setup taught before
is taken out of the bike's memory, as far as it is still in there, and what it teaches now is put in its place. The
memory itself keeps sums alone. A setup that was made before its spring was mended or replaced teaches nothing more.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from setup_rules import Setup, SpringMemory, add_lesson, keep_after, lesson_of
from setup_rules.types.constants import MEMORY_KEPT
from setup_rules.types.spring_memory import SpringEvent
from webapp.demo_day.bike import ENDS
from webapp.demo_day.queries import bikes as queries
from webapp.demo_day.queries.bikes import HeldMemory
from webapp.ground.events import revision_added

#: How the kinds of revision begin that change which checks count.
_KINDS: Final = ("sag_check", "check_", "restored")
#: A memory that has kept less than this of its first lesson begins to count anew.
_LEAST_KEPT: Final = 1e-6


def listen() -> None:
    """Hear of every revision that is added."""
    revision_added.connect(teach_bike)


def teach_bike(kind: str, *, connection: Any, setup_id: int, setup: Setup) -> None:
    """Teach the bike that a setup was made on, in the transaction that stores the check itself."""
    if not kind.startswith(_KINDS):
        return
    bike_id = queries.bike_of_setup(connection, setup_id)
    if bike_id is None:
        return
    queries.hold_bike(connection, bike_id)
    for name in ENDS:  # also one that the setup has no more: its checks may have been struck
        held = queries.memory_of(connection, bike_id, name)
        tied = queries.lesson_held(connection, setup_id, name)
        earlier = tied if tied is not None and tied.memory.riders else None
        lesson = lesson_of(setup, name)
        if tied is None or tied.era != held.era or (earlier is None and lesson is None):
            continue
        after, noted = replace_lesson(held, earlier, lesson)
        queries.store_memory(connection, bike_id, name, after)
        queries.store_lesson(connection, setup_id, name, noted or nothing_yet(after))


def nothing_yet(held: HeldMemory) -> HeldMemory:
    """Return what a setup has taught that has taught nothing: it says with which spring the setup was made."""
    return replace(held, memory=SpringMemory.nothing())


def replace_lesson(
    held: HeldMemory, earlier: HeldMemory | None, lesson: SpringMemory | None
) -> tuple[HeldMemory, HeldMemory | None]:
    """Return a memory with a setup's `earlier` lesson replaced by `lesson`, and what is noted of that."""
    if earlier is None:
        held = happened(held, "another_rider")
        share, since = 1.0, held
    else:
        share, since = held.kept / earlier.kept, earlier
        held = replace(held, memory=add_lesson(held.memory, earlier.memory, -share))
    if lesson is None:
        return held, None
    return replace(held, memory=add_lesson(held.memory, lesson, share)), replace(since, memory=lesson)


def happened(held: HeldMemory, event: SpringEvent) -> HeldMemory:
    """Return a memory after something happened to its spring: widened, or ended with a new era begun."""
    share = MEMORY_KEPT[event].value
    memory, kept = keep_after(held.memory, event), held.kept * share
    if kept < _LEAST_KEPT:
        return HeldMemory(memory=memory, era=held.era + 1)
    return HeldMemory(memory=memory, era=held.era, kept=kept)
