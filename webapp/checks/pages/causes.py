"""Which cause moves a pressure how far: the parts of a change, which add up to the change that is shown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from setup_rules import EndSetup, Setup
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.own_units import pressure_text
from webapp.ground.text.phrases import end_word, place_word

#: What each cause is called.
_NAMES: Final = {
    "weight": _l("Rider, kit and bike weight"),
    "luggage": _l("Luggage on the bike"),
    "sag": _l("Target sag and riding style"),
    "air": _l("Temperature and altitude"),
    "spring": _l("Spacers, oil and travel"),
    "limit": _l("Pressure limits"),
    "other": _l("Other changes"),
}


@dataclass(frozen=True, slots=True)
class CausePage:
    """The parts of one end's change: what and how much, each with its sign, and the whole."""

    heading: str
    place: str
    parts: tuple[tuple[str, str], ...]
    total: str


def present_causes(stages: Sequence[tuple[str, Setup]]) -> tuple[CausePage, ...]:
    """Return for each end with two causes or more what each adds to its pressure.

    `stages` are the setup as it is, under an empty name, and after each cause on top of those before. The parts are
    differences of the pressures as they are shown, so that they add up to the whole whatever is rounded.
    """
    by_end = [{end.end: end for end in setup.ends()} for _name, setup in stages]
    pages = []
    for name in by_end[0]:
        ends = [found[name] for found in by_end if name in found]
        if len(ends) == len(stages) > 2 and all(end.coil is None for end in ends):
            pages.append(_page([cause for cause, _setup in stages], ends))
    return tuple(pages)


def _page(causes: Sequence[str], ends: Sequence[EndSetup]) -> CausePage:
    shown = [pressure_text(end.pressure_pa, end.max_pressure_pa) for end in ends]
    values, unit = [text.number for text in shown], shown[0].unit
    steps = zip(causes[1:], values[1:], values, strict=False)
    parts = tuple((str(_NAMES[cause]), _signed(after - before, unit)) for cause, after, before in steps)
    return CausePage(end_word(ends[0].end), place_word(ends[0].end), parts, _signed(values[-1] - values[0], unit))


def _signed(change: float, unit: str) -> str:
    rounded = round(change, 1)
    sign = "+" if rounded > 0 else "−" if rounded < 0 else "±"
    return _("%(sign)s%(amount)s %(unit)s", sign=sign, amount=numbers.general(abs(rounded)), unit=unit)
