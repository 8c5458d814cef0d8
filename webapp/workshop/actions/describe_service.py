"""A service in one line, for the setup's history and the front of the card."""

from __future__ import annotations

from collections.abc import Iterator

from setup_rules.workshop.checklist import Step
from webapp.ground.text.free_text import SERVICE_NOTE_LENGTH
from webapp.ground.text.i18n import gettext as _
from webapp.workshop.actions.records import ServiceRecord


def describe_service(record: ServiceRecord) -> str:
    """Return what was done, cut to the length of a setup's service note."""
    parts = [text for step in record.steps if step.state == "done" for text in _short(step)]
    text = "; ".join(parts)
    if len(text) <= SERVICE_NOTE_LENGTH:
        return text
    return text[: SERVICE_NOTE_LENGTH - 1].rsplit(" ", 1)[0].rstrip(" ,;") + "…"


def _short(step: Step) -> Iterator[str]:
    v = step.values
    if step.kind == "travel" and "after_mm" in v:
        yield _("travel %(before)s → %(after)s mm", before=f"{v['before_mm']:g}", after=f"{v['after_mm']:g}")
    elif step.kind == "seals" and v.get("what"):
        yield _("seals: %(what)s", what=v["what"])
    elif step.kind == "lubricant" and v.get("what"):
        yield _("lubricant renewed")
    elif step.kind == "leak" and v.get("verdict") == "tight":
        yield _("no leak")
