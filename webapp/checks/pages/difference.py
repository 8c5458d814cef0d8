"""Two setups side by side: what each number was, what it is, and the difference in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from setup_rules import EndSetup, Setup
from setup_rules.advice.wording import preload_values, rate_n_per_mm
from setup_rules.types.result import ClickStart
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext
from webapp.ground.text.own_units import (
    length_span,
    length_text,
    length_words,
    mass_text,
    pressure_text,
    pressure_words,
    sag_words,
)
from webapp.ground.text.phrases import air, end_word, place_word, preload_words, setting_words
from webapp.setups.pages.setup_page import style_word


@dataclass(frozen=True, slots=True)
class DifferenceRow:
    """One number before and after. `words` says how it differs; it is empty where it does not."""

    label: str
    before: str
    after: str
    words: str


@dataclass(frozen=True, slots=True)
class DifferenceGroup:
    """The rows of one spring end, or of rider and air. `takes_coil_off`: the coil in it has to come off.

    `clicks` are the rows of the adjusters among them, which a what-if lists whether or not they move.
    """

    name: str
    heading: str
    place: str
    rows: tuple[DifferenceRow, ...]
    takes_coil_off: bool = False
    clicks: tuple[DifferenceRow, ...] = ()

    @property
    def differs(self) -> bool:
        """Whether anything in it is another than before."""
        return any(row.words for row in self.rows)


def differences(before: Setup, after: Setup) -> tuple[DifferenceGroup, ...]:
    """Return every number of two setups of one bike side by side, spring ends first.

    The weight of rider and kit is never written out: only whether it differs.
    """
    groups = [
        DifferenceGroup(
            new.end,
            end_word(new.end),
            place_word(new.end),
            tuple(_end_rows(old, new)),
            old.coil is not None and setting_words(old) != setting_words(new),
            tuple(_click_rows(old, new)),
        )
        for old, new in ((before.front, after.front), (before.rear, after.rear))
        if old is not None and new is not None
    ]
    groups.append(DifferenceGroup("both", _("Rider and air"), "", tuple(_request_rows(before, after))))
    return tuple(groups)


def _end_rows(old: EndSetup, new: EndSetup) -> Iterator[DifferenceRow]:
    yield from _spring_rows(old, new)
    yield _row(
        _("Target sag"),
        _sag(old),
        _sag(new),
        _longer_or_shorter(old.sag_target_mm, new.sag_target_mm),
    )
    if (old.names_bench_target or new.names_bench_target) and old.reaches_target and new.reaches_target:
        yield _row(
            _("Target sag where set"),
            length_words(old.bench_target_mm),
            length_words(new.bench_target_mm),
            _longer_or_shorter(old.bench_target_mm, new.bench_target_mm),
        )
    yield _row(
        _("Expected sag range"),
        length_span(old.sag_low_mm, old.sag_high_mm),
        length_span(new.sag_low_mm, new.sag_high_mm),
        _range_words(old, new),
    )
    yield from _click_rows(old, new)
    if new.coil is None:
        spacers = new.volume_spacers - old.volume_spacers
        yield _row(_("Volume spacers"), str(old.volume_spacers), str(new.volume_spacers), _more_or_less(spacers, ""))
    if old.travel_mm != new.travel_mm:
        label = _("Travel") if new.end == "front" else _("Stroke")
        before, after = (f"{numbers.halves(end.travel_mm)} mm" for end in (old, new))
        yield _row(label, before, after, _more_or_less(new.travel_mm - old.travel_mm, "mm"))


def _click_rows(old: EndSetup, new: EndSetup) -> Iterator[DifferenceRow]:
    yield _clicks_row(_("Rebound, clicks out"), old.rebound, new.rebound, (_("faster"), _("slower")))
    if old.compression or new.compression:
        yield _clicks_row(_("Compression, clicks out"), old.compression, new.compression, (_("softer"), _("firmer")))


def spring_shown(end: EndSetup) -> tuple[str, str]:
    """Return what is set on the spring of an end, as it is shown: pressure or rate, and preload or second chamber."""
    if end.second is not None:
        return setting_words(end), pressure_words(end.second.pressure_pa, end.second.max_pressure_pa)
    return setting_words(end), "" if end.coil is None else preload_words(end.coil)


def _spring_rows(old: EndSetup, new: EndSetup) -> Iterator[DifferenceRow]:
    """Yield what is set on the spring: the pressure, or rate and preload; another kind of spring says both."""
    if old.coil is None and new.coil is None:
        yield _pressure_row(old, new)
        yield from _second_rows(old, new)
        return
    held = [None if one.coil is None or not one.coil.fits else one.coil for one in (old, new)]
    was, now = (numbers.DASH if one is None else preload_words(one) for one in held)
    if held[0] is None or held[1] is None:
        yield _row(_("Spring"), setting_words(old), setting_words(new), _("changed"))
    else:
        change = rate_n_per_mm(held[1].rate_n_per_m) - rate_n_per_mm(held[0].rate_n_per_m)
        words = _more_or_less(round(change, 1), "N/mm")
        yield _row(_("Spring rate"), setting_words(old), setting_words(new), words or _("changed"))
    more = sum(sign * preload_values(one.preload_mm)["preload"] for sign, one in zip((-1, 1), held, strict=True) if one)
    yield _row(_("Preload"), was, now, _more_or_less(round(more, 1), "mm") or _("changed"))


def _second_rows(old: EndSetup, new: EndSetup) -> Iterator[DifferenceRow]:
    if old.second is None and new.second is None:
        return
    was, now = (
        numbers.DASH if one.second is None else pressure_words(one.second.pressure_pa, one.second.max_pressure_pa)
        for one in (old, new)
    )
    words = _("changed")
    if old.second is not None and new.second is not None:
        change = float(numbers.psi(new.second.pressure_pa)) - float(numbers.psi(old.second.pressure_pa))
        words = _more_or_less(change, "psi")
    yield _row(_("Second chamber"), was, now, words)


def _pressure_row(old: EndSetup, new: EndSetup) -> DifferenceRow:
    before, after = (pressure_text(end.pressure_pa, end.max_pressure_pa) for end in (old, new))
    words = _more_or_less(round(after.number - before.number, 1), after.unit)
    was, now = (pressure_words(end.pressure_pa, end.max_pressure_pa) for end in (old, new))
    return _row(_("Start pressure"), was, now, words)


def _sag(end: EndSetup) -> str:
    return sag_words(end.sag_target_mm, end.sag_target_percent)


def _longer_or_shorter(before_mm: float, after_mm: float) -> str:
    """Return how two lengths [mm] differ as they are shown, in the device's unit."""
    was, now = length_text(before_mm), length_text(after_mm)
    if now.second:
        return _more_or_less(round(round(now.number, 2) - round(was.number, 2), 2), now.unit)
    return _more_or_less(_format_value(after_mm) - _format_value(before_mm), "mm")


def _range_words(old: EndSetup, new: EndSetup) -> str:
    """Return how two ranges of sag differ: how sure one is of it matters more than where it lies."""
    was, now = (_format_value(end.sag_high_mm) - _format_value(end.sag_low_mm) for end in (old, new))
    if was == now:
        return _("moved")
    return _("narrower: more certain") if now < was else _("wider: less certain")


def _format_value(length_mm: float) -> float:
    return float(numbers.halves(length_mm))


def _clicks_row(label: str, old: ClickStart | None, new: ClickStart | None, words: tuple[str, str]) -> DifferenceRow:
    before, after = (
        _("none") if one is None else _("%(out)d of %(total)d", out=one.out, total=one.total) for one in (old, new)
    )
    turned = new.out - old.out if old and new else 0
    way = words[0] if turned > 0 else words[1]
    said = ngettext("%(num)d click, %(way)s", "%(num)d clicks, %(way)s", abs(turned), way=way) if turned else ""
    return _row(label, before, after, said or _("different adjuster"))


def _request_rows(before: Setup, after: Setup) -> Iterator[DifferenceRow]:
    old, new = before.request, after.request
    yield _row(_("Riding style"), style_word(old.riding_style), style_word(new.riding_style), _("changed"))
    hidden = _("not shown")
    for label, one, other in (
        (_("Rider weight"), old.rider_mass_kg, new.rider_mass_kg),
        (_("Kit weight"), old.kit_mass_kg, new.kit_mass_kg),
    ):
        yield DifferenceRow(label, hidden, hidden, _("changed") if one != other else "")
    for label, one, other in (
        (_("Luggage on the bike, front"), old.luggage_front_kg or 0.0, new.luggage_front_kg or 0.0),
        (_("Luggage on the bike, rear"), old.luggage_rear_kg or 0.0, new.luggage_rear_kg or 0.0),
    ):
        if one or other:
            yield _mass_row(label, one, other)
    yield _mass_row(_("Bike weight"), old.bike_mass_kg, new.bike_mass_kg)
    yield _row(_("Set at"), air(old.bench), air(new.bench), _("changed"))
    yield _row(_("Ridden at"), air(old.ride), air(new.ride), _("changed"))


def _mass_row(label: str, before_kg: float, after_kg: float) -> DifferenceRow:
    before, after = mass_text(before_kg), mass_text(after_kg)
    return _row(label, before.short, after.short, _more_or_less(after.number - before.number, after.unit))


def _row(label: str, before: str, after: str, words: str) -> DifferenceRow:
    """Return a row whose words are only said where the two texts differ."""
    return DifferenceRow(label, before, after, words if before != after else "")


def _more_or_less(change: float, unit: str) -> str:
    if not change:
        return ""
    amount = f"{numbers.general(abs(change))} {unit}".rstrip()
    return _("%(amount)s more", amount=amount) if change > 0 else _("%(amount)s less", amount=amount)
