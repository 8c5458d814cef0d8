"""A service in one line, for the setup's history and the front of the card."""

from __future__ import annotations

from collections.abc import Iterator

from setup_rules.messages.message import Message
from setup_rules.messages.rounding import as_typed
from setup_rules.workshop.checklist import Step
from webapp.ground.text.free_text import SERVICE_NOTE_LENGTH
from webapp.ground.text.sentences import list_messages, say
from webapp.workshop.actions.records import ServiceRecord


def describe_service(record: ServiceRecord) -> str:
    """Return what was done, cut to the length of a setup's service note: a text, as what people type there is."""
    work = _list_work(record)
    text = say(list_messages("list.work", work)) if work else ""
    if len(text) <= SERVICE_NOTE_LENGTH:
        return text
    return text[: SERVICE_NOTE_LENGTH - 1].rsplit(" ", 1)[0].rstrip(" ,;") + "…"


def name_service(record: ServiceRecord) -> Message:
    """Return what was done, whole, as the reason of the setup's next revision."""
    work = _list_work(record)
    if not work:
        return Message.of("revision.serviced.bare")
    return Message.of("revision.serviced", work=list_messages("list.work", work))


def _list_work(record: ServiceRecord) -> tuple[Message, ...]:
    work = [work for step in record.steps if step.state == "done" for work in _name_work(step)]
    psi = record.as_left.get("pressure_psi")
    if psi is not None:
        word = "fork" if record.spring_end == "front" else "shock"
        work.append(Message.of(f"work.set.{word}", psi=as_typed(round(psi, 1))))
    return tuple(dict.fromkeys(work))  # oil left and right is one thing done


def _name_work(step: Step) -> Iterator[Message]:
    v = step.values
    if step.kind == "travel" and "after_mm" in v:
        yield Message.of("work.travel", before=as_typed(v["before_mm"]), after=as_typed(v["after_mm"]))
    elif step.kind == "seals" and v.get("what"):
        yield Message.of("work.seals", what=v["what"])
    elif step.kind == "lubricant" and v.get("what"):
        yield Message.of("work.lubricant")
    elif step.kind == "leak" and v.get("verdict") == "tight":
        yield Message.of("work.no_leak")
