"""Clicks after a change of pressure: far enough, and they follow the spring; otherwise they stay where they stand."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from setup_rules.advice.wording import VARIANT, variant_of
from setup_rules.messages.catalogue import sources
from setup_rules.messages.message import Message
from setup_rules.messages.rounding import whole
from setup_rules.types.request import FrontEnd, RearEnd, SetupRequest
from setup_rules.types.result import ClickStart, EndSetup, Note, Setup, TakenBounce
from setup_rules.types.units import PSI_PA

#: A pressure that moves by more than this share carries the clicks with it: less is worth about half a click of 16.
FAR_SHARE: Final = 0.10


def moved_far(before: EndSetup | None, after: EndSetup | None) -> bool:
    """Return whether the pressure or rate of one end moved so far that its clicks follow; true for another spring."""
    if before is None or after is None:
        return True
    if (before.coil is None) != (after.coil is None):
        return True
    return abs(after.setting - before.setting) > FAR_SHARE * before.setting


def offset_for(offset: int, start: ClickStart, out: int) -> int:
    """Return the request's click offset that sets an adjuster to `out`: clicks lost at an end stop do not count."""
    return offset + out - start.out - start.beyond


def request_with_clicks_of(before: EndSetup, after: EndSetup, request: SetupRequest) -> SetupRequest:
    """Return `request` with the click offsets that leave one end's adjusters where they stood in `before`."""
    end = request.front if before.end == "front" else request.rear
    if end is None:
        return request
    offsets: dict[str, int] = {}
    if before.rebound and after.rebound and before.rebound.total == after.rebound.total:
        offsets["rebound_offset_clicks"] = offset_for(end.rebound_offset_clicks, after.rebound, before.rebound.out)
    if before.compression and after.compression and before.compression.total == after.compression.total:
        offset = offset_for(end.compression_offset_clicks, after.compression, before.compression.out)
        offsets["compression_offset_clicks"] = offset
    if all(getattr(end, name) == offset for name, offset in offsets.items()):
        return request
    return with_offsets(request, end, offsets)


def with_offsets(request: SetupRequest, end: FrontEnd | RearEnd, offsets: dict[str, int]) -> SetupRequest:
    """Return `request` with other click offsets of one of its ends."""
    if isinstance(end, FrontEnd):
        return replace(request, front=replace(end, **offsets))  # type: ignore[arg-type]
    return replace(request, rear=replace(end, **offsets))  # type: ignore[arg-type]


def follow_notes(before: Setup, after: Setup) -> tuple[Note, ...]:
    """Return what pressures that moved by more than `FAR_SHARE` do to the rebound of each end, and where it stops."""
    pairs = [(one, other) for one, other in ((before.front, after.front), (before.rear, after.rear)) if one and other]
    far = [(one, other) for one, other in pairs if moved_far(one, other) and (one.coil is None) == (other.coil is None)]
    return tuple(note for pair in far for note in (_follow_note(*pair), *_follow_stop(*pair)))


def _follow_stop(before: EndSetup, after: EndSetup) -> tuple[Note, ...]:
    """Return the word that rebound which followed a pressure stands at an end of its adjuster."""
    stood, stands = before.rebound, after.rebound
    if stood is None or stands is None or stood.total != stands.total:
        return ()
    return stop_notes(after, stands.out - stood.out, "rebound")


def _follow_note(before: EndSetup, after: EndSetup) -> Note:
    least = PSI_PA if before.coil is None else 1.0
    variant, percent = variant_of(after), 100 * (after.setting / max(before.setting, least) - 1)
    moved = "more" if percent > 0 else "less"
    values: dict[str, float] = {"percent": whole(abs(percent))}
    stood, stands = before.rebound, after.rebound
    if stood is None or stands is None or stood.total != stands.total or stood.out == stands.out:
        said = Message.of(f"rebound_stays.{moved}.{variant}", **values)
        return Note("rebound_stays", said, sources.DAMPING, after.end)
    values |= {"before": stood.out, "out": stands.out, "total": stands.total}
    said = Message.of(f"rebound_follows.{moved}.{variant}", **values)
    return Note("rebound_follows", said, sources.DAMPING, after.end, "out" if stands.out > stood.out else "in")


def bounces_kept(before: Setup, after: Setup) -> tuple[TakenBounce, ...]:
    """Return the bounce checks that still count: those of ends whose pressure did not move far."""
    far = {name for name in ("front", "rear") if moved_far(_end(before, name), _end(after, name))}
    return tuple(bounce for bounce in before.bounces if bounce.end not in far)


def _end(setup: Setup, name: str) -> EndSetup | None:
    return setup.front if name == "front" else setup.rear


def stop_notes(after: EndSetup, turned: int, kind: str) -> tuple[Note, ...]:
    """Return the word that a turn of `turned` clicks has led to an end of the adjuster; empty elsewhere."""
    start = after.rebound if kind == "rebound" else after.compression
    if start is None or not turned or start.out not in (0, start.total):
        return ()
    stop = "open" if start.out == start.total else "closed"
    said = Message.of(f"last_click.{kind}.{stop}.{VARIANT[after.end]}")
    return (Note("last_click", said, "", after.end, "out" if turned > 0 else "in"),)
