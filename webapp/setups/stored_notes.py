"""A note as plain data and back, also one that was stored before sentences had keys: that one keeps its text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from setup_rules.messages.message import Message
from setup_rules.types.result import Note, Way
from webapp.setups.stored_messages import values_data, values_from_data

#: What a stored note of old holds of its direction, as words of its own sentence.
_OLD_WAYS: Final[Mapping[str, Way]] = {
    "out": "out",
    "out (quicker)": "out",
    "in": "in",
    "in (slower)": "in",
    "more": "more",
    "less": "less",
}
#: Codes whose sentence asks for a change of a direction.
_DIRECTED: Final = frozenset(
    {"rebound_turn", "ride_rebound", "ride_compression", "ride_sag_target", "ride_volume_spacers"}
)
#: What old sources say of our estimates, and what is said today.
_OLD_SOURCE: Final = "our estimate, from memory"
_SOURCE: Final = "our estimate"


def note_data(note: Note) -> dict[str, Any]:
    """Return a note as plain data that `note_from_data` takes back unchanged."""
    data: dict[str, Any] = {
        "code": note.code,
        "source": note.source,
        "end": note.end,
        "values": values_data(note.said.values),
    }
    data |= {"template": note.said.template} if note.said.template else {"key": note.said.key}
    return data | ({"way": note.way} if note.way else {})


def note_from_data(data: Mapping[str, Any]) -> Note:
    """Return the note that `note_data` was given, or an old one with its template as it was stored.

    Raises
    ------
    KeyError, TypeError
        When the data is no such note.
    """
    if "key" in data:
        said, way = Message(data["key"], values_from_data(data["values"])), data.get("way", "")
    else:
        said, way = Message(data["code"], data.get("values", {}), data["template"]), data.get("way") or _old_way(data)
    source = str(data.get("source", "")).replace(_OLD_SOURCE, _SOURCE)
    return Note(data["code"], said, source, data.get("end"), way)


def _old_way(data: Mapping[str, Any]) -> Way:
    """Return the direction of an old note, from the values that it was stored with."""
    values = data.get("values", {})
    if data["code"] not in _DIRECTED:
        return ""
    return _OLD_WAYS.get(str(values.get("way") or values.get("more") or ""), "")
