"""Words for a bike's day: its states, how long ago, what was done to it, and what stands on it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any, Final

from setup_rules.inference.likelihood import GAUGE_SIGMA
from setup_rules.types.units import PSI_PA
from webapp.demo_day.bike import Bike, BikeTurn, EndStanding
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.i18n import ngettext

STATE_WORDS: Final = {
    "in": _l("In"),
    "being_set": _l("Being set"),
    "out": _l("Out"),
    "back": _l("Back, unchecked"),
    "set_aside": _l("Set aside"),
}
#: What somebody did to a bike, by the kind of event: a whole sentence each.
_DONE: Final = {
    "set_up": _l("%(who)s set the bike up for a rider, %(ago)s."),
    "set": _l("%(who)s set the bike, %(ago)s."),
    "read": _l("%(who)s entered what is set on the bike, %(ago)s."),
    "standing": _l("A tool of the shop entered what is set on the bike, %(ago)s."),
    "take_over": _l("%(who)s took the bike over, %(ago)s."),
    "not_done": _l("%(who)s left the bike as it was, %(ago)s."),
    "back": _l("%(who)s took the bike back in, %(ago)s."),
    "checked": _l("%(who)s checked the bike, %(ago)s."),
    "set_aside": _l("%(who)s set the bike aside, %(ago)s."),
    "card": _l("%(who)s made a card for the rider, %(ago)s."),
    "undo": _l("%(who)s took back the last step, %(ago)s."),
    "day_ended": _l("%(who)s ended the day: the rider was erased, %(ago)s."),
    "edited": _l("%(who)s edited the bike, %(ago)s."),
    "archived": _l("%(who)s archived the bike, %(ago)s."),
    "new_tag": _l("%(who)s made a new tag, %(ago)s."),
    "sag_check": _l("A sag check was saved, %(ago)s."),
    "leak": _l("The air spring had lost air, %(ago)s."),
    "service": _l("A spring was serviced, %(ago)s."),
    "spacers": _l("Volume spacers were changed, %(ago)s."),
    "travel": _l("The travel was changed, %(ago)s."),
    "another_spring": _l("Another spring was fitted, %(ago)s."),
}


def state_word(turn: BikeTurn) -> str:
    """Return what people call a state."""
    return str(STATE_WORDS[turn.state])


def state_line(turn: BikeTurn, *, mine: bool = False) -> str:
    """Return the state with who, since when and why, as far as that matters; `mine`: who is the one who looks."""
    if turn.since is None:
        return state_word(turn)
    if mine and turn.state == "being_set":
        return _("Being set · %(time)s", time=lasted(turn.since))
    words = {
        "in": _l("In · %(time)s"),
        "being_set": _l("Being set by %(who)s · %(time)s"),
        "out": _l("Out · %(time)s"),
        "back": _l("Back, unchecked · %(time)s"),
        "set_aside": _l("Set aside · %(time)s · %(reason)s"),
    }
    return str(words[turn.state]) % {"time": lasted(turn.since), "who": turn.by or _("someone"), "reason": turn.reason}


def lasted(since: datetime, now: datetime | None = None) -> str:
    """Return how long ago a moment (aware) is: a time of day would need a zone.

    Examples
    --------
    >>> from datetime import timedelta
    >>> noon = datetime(2026, 5, 3, 12, tzinfo=UTC)
    >>> [lasted(noon - timedelta(minutes=m), noon) for m in (0, 1, 59, 61, 3000)]
    ['under 1 min', '1 min', '59 min', '1 h 1 min', '2 days']
    """
    minutes = max(0, int(((now or datetime.now(UTC)) - since).total_seconds() // 60))
    if not minutes:
        return _("under 1 min")
    if minutes < 60:
        return _("%(n)d min", n=minutes)
    hours, rest = divmod(minutes, 60)
    if hours < 24:
        return _("%(h)d h %(n)d min", h=hours, n=rest)
    return ngettext("%(num)d day", "%(num)d days", hours // 24)


def done_line(kind: str, by: str, at: datetime) -> str:
    """Return what was done to a bike, by whom and how long ago."""
    ago = _("%(time)s ago", time=lasted(at))
    return str(_DONE.get(kind, _l("%(who)s changed the bike, %(ago)s."))) % {"who": by or _("Someone"), "ago": ago}


def psi_words(psi: float) -> str:
    """Return a gauge pressure [psi] as it is shown everywhere, without its unit."""
    return numbers.psi(psi * PSI_PA)


def standing_line(end: EndStanding | None) -> str:
    """Return what is set on one end in one line, "" where nobody knows."""
    if end is None:
        return ""
    parts = []
    if end.pressure_psi is not None:
        parts.append(_("%(psi)s psi", psi=psi_words(end.pressure_psi)))
    if end.second_pressure_psi is not None:
        parts.append(_("second chamber %(psi)s psi", psi=psi_words(end.second_pressure_psi)))
    if end.spring_rate_n_per_mm is not None:
        parts.append(_("%(rate)s N/mm", rate=numbers.rate(1000 * end.spring_rate_n_per_mm)))
    if end.preload_mm is not None:
        parts.append(_("preload %(mm)s mm", mm=numbers.general(end.preload_mm)))
    if end.rebound_clicks_out is not None:
        parts.append(_("rebound %(n)d out", n=end.rebound_clicks_out))
    if end.compression_clicks_out is not None:
        parts.append(_("compression %(n)d out", n=end.compression_clicks_out))
    return ", ".join(parts)


def end_word(end: str) -> str:
    """Return what an end is called."""
    return _("Fork") if end == "front" else _("Shock")


def standing_lines(bike: Bike) -> tuple[tuple[str, str], ...]:
    """Return (fork or shock, what is set on it) for the ends of a bike."""
    ends = [end for end in ("front", "rear") if end in bike.document]
    return tuple((end_word(end), _stands(bike.standing.get(end), bike.document[end])) for end in ends)  # type: ignore[call-overload]


def _stands(end: EndStanding | None, fitted: Mapping[str, Any]) -> str:
    """Return what is set on one end, with a warning where its maximum is lower than that by now."""
    line = standing_line(end) or _("not known")
    psi, most = end.pressure_psi if end else None, fitted.get("max_pressure_psi")
    if psi is None or most is None or psi <= most * (1.0 + GAUGE_SIGMA):
        return line
    return _("%(line)s – above its maximum of %(psi)s psi: let air out", line=line, psi=psi_words(most))


def fitted_line(fitted: Mapping[str, Any], unit: str | None, end: str) -> str:
    """Return what is fitted to one end in one line."""
    length = fitted.get("travel_mm") if end == "front" else fitted.get("stroke_mm")
    travel = _("%(mm)s mm travel", mm=numbers.general(length or 0))
    stroke = _("%(mm)s mm stroke", mm=numbers.general(length or 0))
    parts = [unit or (_("coil spring") if fitted.get("spring") == "coil" else _("air spring"))]
    parts.append(travel if end == "front" else stroke)
    if spacers := fitted.get("volume_spacers"):
        parts.append(ngettext("%(num)d volume spacer", "%(num)d volume spacers", spacers))
    if (most := fitted.get("max_pressure_psi")) is not None:
        parts.append(_("maximum %(psi)s psi", psi=numbers.general(most)))
    return ", ".join(parts)
