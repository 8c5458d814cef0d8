"""A saved setup as the strings of its card: everything a person needs at the bike, nothing about the rider."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from setup_rules import EndSetup, Setup
from setup_rules.types.request import EndName, SpringEnd
from setup_rules.types.result import ClickStart
from webapp.cards.pages.as_set import NOT_SET, AsSet
from webapp.cards.pages.card_cautions import card_cautions
from webapp.cards.pages.card_words import NO_WORDS, Words, coil_safety_words, safety_words
from webapp.ground.link_codes import spaced
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext
from webapp.ground.text.local_time import DEFAULT_ZONE, local
from webapp.ground.text.own_units import (
    altitude_words,
    length_text,
    pressure_ranges,
    pressure_text,
    temperature_words,
)
from webapp.ground.text.phrases import air, maximum_pa, pump_range_pa, rate_parts
from webapp.setups.revision import Revision

#: An extra row is left to the larger cards.
RowKind = Literal["first", "main", "plain", "extra", "write"]


@dataclass(frozen=True, slots=True)
class CardPart:
    """One number and the unit or words that follow it."""

    value: str
    unit: str = ""


_NONE: Final = NO_WORDS


@dataclass(frozen=True, slots=True)
class CardCell:
    """One spring end's entry in a row: its numbers and a remark. Without numbers: room to write them.

    `elsewhere` is what a sag reads where the spring is set, where that is not the number itself.
    """

    parts: tuple[CardPart, ...] = ()
    remark: Words = _NONE
    elsewhere: str = ""


@dataclass(frozen=True, slots=True)
class CardRow:
    """One row of the card: what it is, how to read it, and an entry for each spring end."""

    kind: RowKind
    label: Words
    detail: Words
    cells: tuple[CardCell, ...]


@dataclass(frozen=True, slots=True)
class CardHead:
    """The head of a spring end's column: which end, and its installed travel."""

    name: Words
    travel: Words


@dataclass(frozen=True, slots=True)
class CardView:
    """The whole card as strings, the same for every size and for the browser's print."""

    title: str
    bike: str
    issued: str
    shop: str
    heads: tuple[CardHead, ...]
    rows: tuple[CardRow, ...]
    bench: Words
    cautions: tuple[str, ...]
    service: str
    code: str
    address: str
    link: Words
    safety: Words

    def more_cautions(self, shown: int) -> str:
        """Return how many cautions a card that spells out `shown` of them leaves to the page, or nothing."""
        left = len(self.cautions) - shown
        if left <= 0:
            return ""
        if not self.address:
            return _left_to_the_shop(left, more=bool(shown))
        if not shown:
            return ngettext("%(num)d caution: scan the code", "%(num)d cautions: scan the code", left)
        return ngettext("%(num)d more caution: scan the code", "%(num)d more cautions: scan the code", left)


def _left_to_the_shop(left: int, *, more: bool) -> str:
    """Return how many cautions there are beside those on a card that has no code to scan."""
    if more:
        return ngettext("%(num)d more caution: ask the shop", "%(num)d more cautions: ask the shop", left)
    return ngettext("%(num)d caution: ask the shop", "%(num)d cautions: ask the shop", left)


def _issue_line(date: str, revision: int, short_code: str) -> str:
    if short_code:
        return _("%(date)s, version %(number)d, shop code %(short)s", date=date, number=revision, short=short_code)
    return _("%(date)s, version %(number)d", date=date, number=revision)


def present_card(
    saved: Revision,
    address: str,
    *,
    link: Words = NO_WORDS,
    short_code: str = "",
    as_set: Mapping[EndName, AsSet] | None = None,
    shop: str = "",
    zone: str = DEFAULT_ZONE,
) -> CardView:
    """Return the strings of the card of `saved`.

    Parameters
    ----------
    saved : Revision
        The saved setup in one revision.
    address : str
        What the QR code opens; "" for a card without one.
    link : Words
        What the card says of its link, where it does not simply work.
    short_code : str
        The shop's code of the setup, "" where it is no shop's.
    as_set : mapping, optional
        What a shop set on each end, where this version came from a service.
    shop : str
        Which shop it is from and who set it, in one line (`shop_line`).
    zone : str
        The time zone whose day it is dated by.
    """
    setup = saved.setup
    bike, date = saved.texts.bike_label or _("Bike"), numbers.plain_day(local(saved.created_at, zone))
    return CardView(
        title=_("Setup card: %(bike)s, %(date)s", bike=bike, date=date),
        bike=bike,
        issued=_issue_line(date, saved.number, short_code),
        shop=shop,
        heads=tuple(_head(end) for end in setup.ends()),
        rows=tuple(_rows(setup, as_set or {})),
        bench=_bench(setup),
        cautions=card_cautions(setup),
        service=saved.texts.service_note,
        code=spaced(saved.code),
        address=address,
        link=link,
        safety=coil_safety_words() if all(end.coil for end in setup.ends()) else safety_words(),
    )


def _head(end: EndSetup) -> CardHead:
    length = numbers.halves(end.travel_mm)
    if end.end == "front":
        name, travel = Words(_("Front fork"), _("Front")), _("%(mm)s mm travel", mm=length)
    else:
        name, travel = Words(_("Rear shock"), _("Rear")), _("%(mm)s mm stroke", mm=length)
    return CardHead(name, Words(travel, _("%(mm)s mm", mm=length)))


def _rows(setup: Setup, as_set: Mapping[EndName, AsSet]) -> Iterator[CardRow]:
    """Yield the rows in the order in which they are used at the bike."""

    ends, asked = setup.ends(), dict(setup.request.ends())

    def was_set(end: EndSetup) -> AsSet:
        return as_set.get(end.end, NOT_SET)

    yield _row(ends, "first", *_spring_words(ends, was_set), lambda end: _spring(end, was_set(end)))
    if any(end.second for end in ends):
        own_valve = Words(_("its own valve, in the manual's order"), "")
        yield _row(ends, "main", Words(_("Second chamber"), _("Second")), own_valve, _second)
    if any(end.coil for end in ends):
        yield _row(ends, "main", Words(_("Preload"), _("Preload")), _NONE, _preload)
    yield _row(ends, "main", Words(_("Target sag"), _("Target sag")), _gap_words(ends), _sag)
    yield from _click_rows(ends, asked, was_set)
    if any(end.coil is None for end in ends):
        spacers = _air_only(lambda end: _spacers(end, asked[end.end].air_lubricant_cm3))
        yield _row(ends, "plain", Words(_("Volume spacers"), _("Spacers")), _NONE, spacers)
        yield _row(
            ends,
            "plain",
            Words(_("Maximum pressure"), _("Maximum")),
            _NONE,
            _air_only(lambda end: _maximum(end, setup)),
        )
        yield _row(ends, "extra", Words(_("Minimum pressure"), _("Minimum")), _NONE, _air_only(_minimum))
    measured = Words(_("Measured sag"), _("Measured"))
    yield _row(ends, "write", measured, Words(_("and date"), ""), lambda end: _read(was_set(end)))


def _row(
    ends: tuple[EndSetup, ...], kind: RowKind, label: Words, detail: Words, cell: Callable[[EndSetup], CardCell]
) -> CardRow:
    return CardRow(kind, label, detail, tuple(cell(end) for end in ends))


def _click_rows(
    ends: tuple[EndSetup, ...], asked: Mapping[EndName, SpringEnd], was_set: Callable[[EndSetup], AsSet]
) -> Iterator[CardRow]:
    """Yield the adjusters: rebound, and compression where any end has it."""
    counted = Words(_("clicks out from fully closed"), "")

    def rebound(end: EndSetup) -> CardCell:
        known = asked[end.end].rebound_clicks is not None
        return _clicks(end.rebound, was_set(end).rebound_out, counted=known)

    def compression(end: EndSetup) -> CardCell:
        known = asked[end.end].compression_clicks is not None
        return _clicks(end.compression, was_set(end).compression_out, counted=known)

    yield _row(ends, "main", Words(_("Rebound"), _("Rebound")), counted, rebound)
    if any(end.compression for end in ends):
        # The soft hyphen lets the longest word of all break on the narrow label.
        name = _("Com\u00adpression")
        yield _row(ends, "main", Words(name, name), counted, compression)


def _spring_words(ends: tuple[EndSetup, ...], was_set: Callable[[EndSetup], AsSet]) -> tuple[Words, Words]:
    """Return what is set on the springs, and how: air, coils, or one of each."""
    ranged = any(not end.limited and was_set(end).pressure_pa is None for end in ends)
    band = _("likely range") if ranged else ""
    pump = _("Pump, cycle 5 to 10 times, re-check, repeat")
    fit = _("Turn the preload back before taking a spring off")
    kinds = {end.coil is None for end in ends}
    if kinds == {True}:
        return Words(_("Start pressure"), _("Pressure")), Words(pump, band)
    if kinds == {False}:
        return Words(_("Spring rate"), _("Rate")), Words(fit, band)
    return Words(_("Spring"), _("Spring")), Words(f"{pump}. {fit}", band)


def _spring(end: EndSetup, was_set: AsSet) -> CardCell:
    if end.coil is None:
        return _pressure(end, was_set)
    coil = end.coil
    if coil.stroke_needed_mm is not None:
        needed = numbers.general(coil.stroke_needed_mm)
        return CardCell(
            (CardPart(_("none")),),
            Words(
                _("do not fit: a stroke of at least %(mm)s mm is needed", mm=needed), _("stroke ≥ %(mm)s mm", mm=needed)
            ),
        )
    band = numbers.rate_range(coil.rate_low_n_per_m, coil.rate_high_n_per_m)
    return CardCell(
        tuple(CardPart(number, unit) for number, unit in rate_parts(coil)),
        _likely_words(numbers.rate(coil.rate_low_n_per_m), f"{numbers.rate(coil.rate_high_n_per_m)} N/mm", band),
    )


def _likely_words(low: str, high: str, band: str) -> Words:
    """Return a range in words, and as figures where there is no room for words."""
    return Words(_("likely between %(low)s and %(high)s", low=low, high=high), band)


def _second(end: EndSetup) -> CardCell:
    second = end.second
    if second is None:
        return CardCell((CardPart(numbers.DASH),))
    most = pressure_text(second.max_pressure_pa, second.max_pressure_pa)
    known = Words(_("maximum %(most)s", most=most.short), _("max. %(most)s", most=most.value))
    check = Words(_("maximum %(most)s, our estimate: check yours", most=most.short), _("check maximum"))
    parts = _both_units(second.pressure_pa, second.max_pressure_pa)
    return CardCell(parts, check if second.max_pressure_assumed else known)


def _both_units(pressure_pa: float, most_pa: float) -> tuple[CardPart, ...]:
    """Return a pressure in both units, that of the device first."""
    shown = pressure_text(pressure_pa, most_pa)
    value, _space, unit = shown.second.partition(" ")
    return CardPart(shown.value, shown.unit), CardPart(value, unit)


def _preload(end: EndSetup) -> CardCell:
    coil = end.coil
    if coil is None or not coil.fits:
        return CardCell((CardPart(numbers.DASH),))
    turns = "" if coil.preload_turns is None else _("turns: %(turns)s", turns=numbers.turns(coil.preload_turns))
    most = _("at most %(mm)s mm", mm=numbers.preload(coil.preload_max_mm))
    if coil.preload_max_assumed:
        most = _("at most %(mm)s mm, our estimate", mm=numbers.preload(coil.preload_max_mm))
    words = ", ".join(filter(None, (turns, most)))
    return CardCell((CardPart(numbers.preload(coil.preload_mm), _("mm")),), Words(words, turns))


def _air_only(cell: Callable[[EndSetup], CardCell]) -> Callable[[EndSetup], CardCell]:
    """Return a cell of an air spring; a coil has a dash there."""
    return lambda end: cell(end) if end.coil is None else CardCell((CardPart(numbers.DASH),))


def _gap_words(ends: tuple[EndSetup, ...]) -> Words:
    """Return what sag is, as it is read at the bike."""
    if any(end.datum == "wheel_off_ground" for end in ends):
        return Words(_("gap from seal to O-ring after you step off, wheel lifted"), "")
    return Words(_("gap from seal to O-ring after you step off"), "")


def _band_words(end: EndSetup) -> Words:
    if end.limited:
        return Words(_("limited"), _("limited"))
    if end.pressure_high_pa > end.max_pressure_pa:
        least = pressure_text(pump_range_pa(end)[0], end.max_pressure_pa).short
        return Words(_("likely %(low)s or more", low=least), _("%(low)s or more", low=least))
    low, high = (pressure_text(bound, end.max_pressure_pa) for bound in pump_range_pa(end))
    band = pressure_ranges(*pump_range_pa(end), end.max_pressure_pa)[0]
    return _likely_words(low.value, high.short, band)


def _read(was_set: AsSet) -> CardCell:
    """Return the sag that the shop measured, or room to write one's own."""
    if was_set.sag_mm is None:
        return CardCell(remark=Words(_("mm"), _("mm")))
    return CardCell((CardPart(numbers.general(was_set.sag_mm), _("mm")),), Words(_("in the shop"), ""))


def _pressure(end: EndSetup, was_set: AsSet) -> CardCell:
    if was_set.pressure_pa is not None:
        shown = pressure_text(end.pressure_pa, end.max_pressure_pa).value
        parts = _both_units(was_set.pressure_pa, end.max_pressure_pa)
        return CardCell(parts, Words(_("set; calculated %(pressure)s", pressure=shown), _("set")))
    return CardCell(_both_units(end.pressure_pa, end.max_pressure_pa), _band_words(end))


def _sag(end: EndSetup) -> CardCell:
    length, percent = length_text(end.sag_target_mm), numbers.halves(end.sag_target_percent)
    parts = CardPart(length.value, length.unit), CardPart(percent, "%")
    there = _("where set: %(sag)s", sag=length_text(end.bench_target_mm).short) if end.names_bench_target else ""
    return CardCell(parts, Words(length.second, length.second), there)


def _clicks(start: ClickStart | None, was_set: int | None, *, counted: bool) -> CardCell:
    if was_set is not None:
        of = _("of %(total)d", total=start.total) if start else _("clicks")
        return CardCell((CardPart(str(was_set), of),), Words(_("set"), ""))
    if start is None:
        return CardCell(remark=Words(_("clicks"), _("clicks")))
    assumed = _NONE if counted else Words(_("assumed: count yours"), _("assumed"))
    return CardCell((CardPart(str(start.out), _("of %(total)d", total=start.total)),), assumed)


def _spacers(end: EndSetup, lubricant_cm3: float) -> CardCell:
    oil = _("and %(cm3)s cm³ of lubricant", cm3=numbers.general(lubricant_cm3)) if lubricant_cm3 else ""
    none = "" if end.volume_spacers else _("none entered")  # also true of a 0 that was typed
    words = ", ".join(filter(None, (none, oil)))
    return CardCell((CardPart(str(end.volume_spacers)),), Words(words, oil))


def _maximum(end: EndSetup, setup: Setup) -> CardCell:
    return _limit_cell(maximum_pa(end, setup), maximum_pa(end, setup), assumed=end.max_pressure_assumed)


def _minimum(end: EndSetup) -> CardCell:
    return _limit_cell(end.min_pressure_pa, end.max_pressure_pa, assumed=end.min_pressure_assumed)


def _limit_cell(limit_pa: float, most_pa: float, *, assumed: bool) -> CardCell:
    check = Words(_("our estimate: check yours"), _("check yours"))
    return CardCell(_both_units(limit_pa, most_pa), check if assumed else _NONE)


def _bench(setup: Setup) -> Words:
    """Return where it was set, and for which ride where that is elsewhere: there the sag is meant."""
    bench, ride = setup.request.bench, setup.request.ride
    temperature, altitude = temperature_words(bench.temperature_c), altitude_words(bench.altitude_m)
    here = {"temperature": temperature.replace("-", "−"), "altitude": altitude.replace("-", "−")}
    short = _("At %(temperature)s, %(altitude)s altitude", **here)
    if bench == ride:
        return Words(_("Set at %(temperature)s, %(altitude)s altitude", **here), short)
    places = {"here": air(bench).replace("-", "−"), "there": air(ride).replace("-", "−")}
    return Words(_("Set at %(here)s, for a ride at %(there)s", **places), short)
