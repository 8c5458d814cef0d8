"""The cautions of a setup in the few words that a card has room for."""

from __future__ import annotations

from typing import Final

from setup_rules import Setup
from setup_rules.types.result import Note
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext
from webapp.ground.text.own_unit_sentences import fill_pressures
from webapp.ground.text.phrases import most_allowed_pa, sentence

#: Longest caution on a card, in characters; the page behind the code has the whole sentence.
CAUTION_LENGTH: Final = 120

#: Cautions that every card carries already, in its safety line or beside its maximum pressure.
_SAID_ELSEWHERE: Final = frozenset({"start_point", "stop_and_ask", "maximum_assumed"})
#: The others in a card's few words, by what their key begins with; one that is not listed here is shown as it stands,
#: cut to length.
_IN_SHORT: Final = {
    "second_chamber": lazy_gettext("Two chambers under pressure: pump and empty both as the manual says."),
    "second_limited": lazy_gettext(
        "Second chamber needs {wanted} psi, but never pump above {psi}: watch for hard hits."
    ),
    "second_limited.assumed": lazy_gettext(
        "Second chamber needs {wanted} psi: read its printed maximum. Until then never above {psi} psi."
    ),
    "coil_preload": lazy_gettext("Coil under preload stores energy: turn the preload back before taking it off."),
    "coil_out_of_reach": lazy_gettext(
        "Target sag out of reach with these springs: ask for {rate} N/mm ({pounds} lb/in)."
    ),
    "coil_too_short": lazy_gettext(
        "Do not fit this spring: its coils would touch. A stroke of at least {needed} mm is needed."
    ),
    "coil_bind.assumed": lazy_gettext("Never more than {room} mm of preload, or the coils touch. Check the manual."),
    "coil_bind": lazy_gettext("Never more than {room} mm of preload, or the coils touch."),
    "coil_stroke_unknown": lazy_gettext("Check that the coil's stroke is at least the travel plus the preload."),
    "preload_assumed": lazy_gettext("Maximum preload {limit} mm is our estimate: check the manual."),
    "preload_above_limit": lazy_gettext("Measured with {preload} mm of preload, over {limit} mm: turn it back."),
    "coil_negative": lazy_gettext("Coil negative spring: altitude changes the sag. Check it where you ride."),
    "limited.maximum": lazy_gettext(
        "Limited: the target sag is out of reach. Ask a workshop for an air spring made for more load."
    ),
    "limited.assumed": lazy_gettext("Limited by our cautious maximum: read the printed one and enter it."),
    "limited.maximum.near": lazy_gettext("Limited by the maximum, but close enough to the target: measure the sag."),
    "limited.minimum": lazy_gettext(
        "Limited: the target sag is out of reach. Ask a workshop for an air spring made for less load."
    ),
    "limited.minimum.near": lazy_gettext("Limited by the minimum, but close enough to the target: measure the sag."),
    "pressure_above_assumed": lazy_gettext(
        "Needs about {wanted} psi: read the printed maximum and enter it. Until then never above {limit} psi."
    ),
    "pressure_above_on_ride": lazy_gettext(
        "Needs {wanted} psi, which would pass the maximum of {limit} psi on the ride: set {psi} psi."
    ),
    "pressure_above_maximum": lazy_gettext(
        "Needs {wanted} psi, but never pump above {limit} psi: expect {sag} mm of sag."
    ),
    "pressure_below_minimum": lazy_gettext(
        "Needs {wanted} psi, but never ride below {limit} psi: expect {sag} mm of sag."
    ),
    "sag_unusual": lazy_gettext("Target sag is outside the usual {low} to {high} %. Ride carefully at first."),
    "travel_spacers": lazy_gettext(
        "Travel set by spacers: with the air out, compress fully and check the gap around the tyre before riding."
    ),
    "lower_legs": lazy_gettext("Opening the lower legs where you ride changes their air and the sag: check it there."),
    "travel_unusual": lazy_gettext("Unusual travel for this stanchion: trust the sag check more."),
}


def card_cautions(setup: Setup) -> tuple[str, ...]:
    """Return the cautions of a setup in a card's few words, each once."""
    both = len(setup.ends()) > 1
    notes = (note for note in setup.cautions if note.code not in _SAID_ELSEWHERE)
    return tuple(dict.fromkeys(_caution(note, setup, name_end=both) for note in notes))


def _caution(note: Note, setup: Setup, *, name_end: bool) -> str:
    short = _find_short(note.said.key.removeprefix("caution."))
    most = most_allowed_pa(note, setup)
    text = fill_pressures(str(short), note.said.values, most) if short else sentence(note, setup)
    if note.end and name_end:
        end = _("Fork") if note.end == "front" else _("Shock")
        text = f"{end}: {text}"
    return _cut(text, CAUTION_LENGTH)


def _find_short(name: str) -> object:
    """Return the few words for the caution of that name, or of the longest name that it begins with; None without."""
    parts = name.split(".")
    names = (".".join(parts[:count]) for count in range(len(parts), 0, -1))
    return next((_IN_SHORT[one] for one in names if one in _IN_SHORT), None)


def _cut(text: str, length: int) -> str:
    """Return `text`, or as many whole words of it as fit `length` characters with an ellipsis."""
    if len(text) <= length:
        return text
    return text[: length - 1].rsplit(" ", 1)[0].rstrip(" ,;:.") + "…"
