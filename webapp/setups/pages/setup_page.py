"""A saved setup as the strings of its page: the large numbers, the steps, and the reasons."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules import EndSetup, RearEnd, Setup
from setup_rules.types.request import SpringEnd
from setup_rules.types.result import RULES_VERSION, ClickStart
from webapp.ground.device_units import DeviceUnits, device_units
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.i18n import ngettext
from webapp.ground.text.own_units import (
    Shown,
    length_text,
    length_words,
    pressure_ranges,
    pressure_text,
    pressure_words,
)
from webapp.ground.text.phrases import air, end_word, maximum_pa, pump_range_pa, sentence, source
from webapp.setups.pages.coil_page import CoilPage, coil_facts, present_coil
from webapp.setups.pages.pictures import EndPictures, present_pictures
from webapp.setups.pages.plot_page import PlotPage, present_plot
from webapp.setups.pages.pushes import scale_fact
from webapp.setups.pages.second_chamber_page import SecondPage, present_second, second_facts
from webapp.setups.pages.steps import Stage, present_stages
from webapp.setups.revision import Revision
from webapp.setups.told_reasons import told_reasons

_STYLES = {
    "cross_country": "Cross-country",
    "trail": "Trail",
    "enduro": "Enduro",
    "downhill": "Downhill",
    "park": "Jumps and pump track",
}


#: Where the right pressure lies, by end and by whether a sag check is known of.
_NEEDED = {
    ("front", False): _l("Most forks like this need %(range)s (%(other)s). Measure sag to find yours."),
    ("rear", False): _l("Most shocks like this need %(range)s (%(other)s). Measure sag to find yours."),
    ("front", True): _l("By your sag checks, this fork needs %(range)s (%(other)s)."),
    ("rear", True): _l("By your sag checks, this shock needs %(range)s (%(other)s)."),
}
#: The same where pushes have shown the spring, and no sag check has yet shown the rest.
_PUSHED = {
    "front": _l("By your pushes, this fork needs %(range)s (%(other)s). Measure sag to be sure."),
    "rear": _l("By your pushes, this shock needs %(range)s (%(other)s). Measure sag to be sure."),
}
#: The same on a bike whose spring is known from earlier riders.
_OF_THIS_BIKE = {
    "front": _l("By its earlier riders, the fork of this bike needs %(range)s (%(other)s). Measure sag to be sure."),
    "rear": _l("By its earlier riders, the shock of this bike needs %(range)s (%(other)s). Measure sag to be sure."),
}
#: The same where the range goes on beyond the maximum.
_CUT = {
    ("front", False): _l("Forks like this need %(low)s or more. Never pump above %(most)s. Measure sag to find yours."),
    ("rear", False): _l("Shocks like this need %(low)s or more. Never pump above %(most)s. Measure sag to find yours."),
    ("front", True): _l("By your sag checks, this fork needs %(low)s or more. Never pump above %(most)s."),
    ("rear", True): _l("By your sag checks, this shock needs %(low)s or more. Never pump above %(most)s."),
}

#: Cautions that change what the large numbers mean, so that they stand above them.
GRAVE = frozenset(
    {
        "pressure_above_maximum",
        "pressure_below_minimum",
        "limited",
        "coil_out_of_reach",
        "coil_too_short",
        "preload_above_limit",
    }
)


@dataclass(frozen=True, slots=True)
class EndPage:
    """One spring end: its three numbers with their ranges, further facts, steps, and its plot."""

    name: str
    heading: str
    place: str
    installed: str
    pressure: Shown | None
    likely: str
    pressure_range: str
    sag: Shown
    sag_percent: str
    sag_range: str
    sag_wheel: str
    sag_bench: str
    rebound_out: str
    rebound_total: str
    rebound_note: str
    warnings: tuple[str, ...]
    facts: tuple[tuple[str, str], ...]
    plot: PlotPage
    pictures: EndPictures
    coil: CoilPage | None
    second: SecondPage | None


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution, and the fork or shock that it is about, "" for both."""

    whose: str
    said: str


@dataclass(frozen=True, slots=True)
class ReasonLine:
    """Why a number is what it is, and where that comes from."""

    message: str
    source: str


@dataclass(frozen=True, slots=True)
class ReasonGroup:
    """The reasons of one spring end."""

    heading: str
    lines: tuple[ReasonLine, ...]


@dataclass(frozen=True, slots=True)
class SetupPage:
    """The whole page of one revision of a saved setup."""

    code: str
    title: str
    saved_on: str
    revision: int
    latest_revision: int
    service_note: str
    riding_style: str
    bench: str
    ride: str
    minds_place: bool
    earlier_rules: str
    ends: tuple[EndPage, ...]
    stages: tuple[Stage, ...]
    cautions: tuple[Caution, ...]
    reasons: tuple[ReasonGroup, ...]
    units: DeviceUnits

    @property
    def has_travel_to_plan(self) -> bool:
        """Whether it has a fork with an air spring, whose travel spacers can be planned."""
        return any(end.name == "front" and end.coil is None for end in self.ends)

    @property
    def has_air(self) -> bool:
        """Whether any end is set by air, so that a word about pumping belongs on the page."""
        return any(end.coil is None for end in self.ends)

    @property
    def is_latest(self) -> bool:
        """Whether this is the newest revision."""
        return self.revision == self.latest_revision


def present_setup(saved: Revision) -> SetupPage:
    """Return the page of `saved`, every string ready to show."""
    setup = saved.setup
    request = setup.request
    return SetupPage(
        code=saved.code,
        title=saved.texts.bike_label or _("Your setup"),
        saved_on=numbers.day(saved.created_at),
        revision=saved.number,
        latest_revision=saved.latest_number,
        service_note=saved.texts.service_note,
        riding_style=style_word(request.riding_style),
        bench=air(request.bench),
        ride=air(request.ride) if request.ride != request.bench else "",
        minds_place=setup.minds_place,
        earlier_rules=_say_rules(setup),
        ends=tuple(_present_end(end, setup) for end in setup.ends()),
        stages=present_stages(setup.ends()),
        cautions=_present_cautions(setup),
        reasons=_present_reasons(setup),
        units=device_units(),
    )


def _present_cautions(setup: Setup) -> tuple[Caution, ...]:
    """Return every caution for the one box: those of the whole, then each end's own that stand above no number."""
    named = len(setup.ends()) > 1
    for_all = [Caution("", sentence(n, setup)) for n in setup.cautions if n.end is None]
    for_ends = [
        Caution(end_word(end.end) if named else "", sentence(n, setup))
        for end in setup.ends()
        for n in setup.cautions
        if n.end == end.end and n.code not in GRAVE
    ]
    return (*for_all, *for_ends)


def _say_rules(setup: Setup) -> str:
    """Return that the numbers come from earlier rules, where they do."""
    if setup.rules_version == RULES_VERSION:
        return ""
    return _("These numbers come from an earlier version of the rules. The next sag check uses the current rules.")


def style_word(style: str) -> str:
    """Return what people call a riding style."""
    return _(_STYLES[style])


def _present_reasons(setup: Setup) -> tuple[ReasonGroup, ...]:
    """Return the reasons by spring end, front first, and those of the whole last."""
    groups = []
    for name, heading in (("front", _("Fork")), ("rear", _("Shock")), (None, _("Both"))):
        lines = tuple(ReasonLine(sentence(n, setup), source(n)) for n in told_reasons(setup) if n.end == name)
        if lines:
            groups.append(ReasonGroup(heading, lines))
    return tuple(groups)


def _present_end(end: EndSetup, setup: Setup) -> EndPage:
    front = end.end == "front"
    travel = numbers.halves(end.travel_mm)
    return EndPage(
        name=end.end,
        heading=end_word(end.end),
        place=_("front") if front else _("rear"),
        installed=_("%(mm)s mm travel", mm=travel) if front else _("%(mm)s mm stroke", mm=travel),
        pressure=None if end.coil else pressure_text(end.pressure_pa, end.max_pressure_pa),
        likely="" if end.coil else _likely(end),
        pressure_range="" if end.coil else _pressure_range(end, setup),
        sag=length_text(end.sag_target_mm),
        sag_percent=numbers.halves(end.sag_target_percent),
        sag_range=_sag_range(end),
        sag_wheel="" if front else _wheel_sag(end),
        sag_bench=_sag_at_bench(end),
        rebound_out=str(end.rebound.out) if end.rebound else "",
        rebound_total=str(end.rebound.total) if end.rebound else "",
        rebound_note=_rebound_note(end.rebound, assumed=_present_entries(end, setup).rebound_clicks is None),
        warnings=tuple(sentence(n, setup) for n in setup.cautions if n.end == end.end and n.code in GRAVE),
        facts=_facts(end, setup),
        plot=present_plot(end),
        pictures=present_pictures(end),
        coil=present_coil(end),
        second=present_second(end),
    )


def _sag_range(end: EndSetup) -> str:
    sag = numbers.mm_range(end.sag_low_mm, end.sag_high_mm)
    if end.coil is not None and not end.coil.fits:
        return _("Nothing to measure until another spring is in it.")
    if end.coil is not None:
        return _("With this spring and preload, expect %(range)s at first.", range=sag)
    if end.limited and end.reaches_target:
        return _("Limited: at this pressure, expect %(range)s. The target is just within reach.", range=sag)
    if end.limited:
        return _("Limited: at this pressure, expect %(range)s. The target is out of reach.", range=sag)
    return _("At this pressure, expect %(range)s at first. Then correct the pressure.", range=sag)


def _pressure_range(end: EndSetup, setup: Setup) -> str:
    """Return where the right pressure lies: for most of its kind, for this one once its sag was measured."""
    if end.limited:
        return _("Limited: this is the limit, not what the spring would need.")
    if end.pressure_high_pa > end.max_pressure_pa:
        low = pressure_text(pump_range_pa(end)[0], end.max_pressure_pa).short
        most = pressure_text(maximum_pa(end, setup), maximum_pa(end, setup)).short
        return str(_CUT[end.end, end.checks_used > 0] % {"low": low, "most": most})
    shown, other = pressure_ranges(*pump_range_pa(end), end.max_pressure_pa)
    ranges = {"range": shown, "other": other}
    if end.pushed and not end.checks_used:
        return str(_PUSHED[end.end] % ranges)
    asked = dict(setup.request.ends())[end.end]
    if asked.memory is not None and not end.checks_used:
        return str(_OF_THIS_BIKE[end.end] % ranges)
    return str(_NEEDED[end.end, end.checks_used > 0] % ranges)


def _likely(end: EndSetup) -> str:
    """Return the same in a few words for beside the number."""
    if end.limited:
        return _("limited")
    if end.pressure_high_pa > end.max_pressure_pa:
        return _("likely %(low)s or more", low=pressure_text(pump_range_pa(end)[0], end.max_pressure_pa).short)
    return _("likely %(range)s", range=pressure_ranges(*pump_range_pa(end), end.max_pressure_pa)[0])


def _wheel_sag(end: EndSetup) -> str:
    share = 100 * end.wheel_sag_mm / end.wheel_travel_mm if end.wheel_travel_mm else 0.0
    return _(
        "Measured on the shock shaft. The wheel then moves %(sag)s of %(travel)s mm (%(share)s %%).",
        sag=numbers.halves(end.wheel_sag_mm),
        travel=numbers.number(end.wheel_travel_mm),
        share=numbers.number(share),
    )


def _sag_at_bench(end: EndSetup) -> str:
    """Return what the target reads where the spring is set, where that is not the same."""
    if not end.names_bench_target or (end.coil is not None and not end.coil.fits):
        return ""
    return _("on the ride; %(sag)s where it was set", sag=length_words(end.bench_target_mm))


def _present_entries(end: EndSetup, setup: Setup) -> SpringEnd:
    """Return what was asked about the end that was answered."""
    asked = setup.request.front if end.end == "front" else setup.request.rear
    if asked is None:
        raise ValueError(f"The setup answers for the {end.end}, which its request does not have.")
    return asked


def _rebound_note(rebound: ClickStart | None, *, assumed: bool) -> str:
    if rebound is None:
        return _("Count the clicks from fully closed to fully open and start in the middle.")
    if assumed:
        return _(
            "The number of clicks was not entered. Count the clicks from fully closed to fully open and "
            "set the same proportion."
        )
    if rebound.clamped:
        return _("Starting point. This is the end of the adjuster's range.")
    return _("Starting point. Turning clockwise closes it. Turn gently and never force the stop.")


def _facts(end: EndSetup, setup: Setup) -> tuple[tuple[str, str], ...]:
    facts = []
    if end.compression:
        out = ngettext(
            "1 click out, of %(all)d", "%(num)d clicks out, of %(all)d", end.compression.out, all=end.compression.total
        )
        facts.append((_("Compression, from fully closed"), out))
    facts += scale_fact(end, setup)
    facts += coil_facts(end) or _air_facts(end, setup)
    if isinstance(setup.request.rear, RearEnd) and end.end == "rear":
        points = setup.request.rear.leverage_points
        facts.append((_("Leverage ratio"), f"{numbers.number(points[0][1], 2)} → {numbers.number(points[-1][1], 2)}"))
    return tuple(facts)


def _air_facts(end: EndSetup, setup: Setup) -> list[tuple[str, str]]:
    facts = [
        (_("Volume spacers"), str(end.volume_spacers)),
        (_("Maximum pressure"), _bound_text(maximum_pa(end, setup), end.max_pressure_assumed)),
        (_("Minimum pressure"), _bound_text(end.min_pressure_pa, end.min_pressure_assumed)),
    ]
    if setup.request.ride != setup.request.bench:
        there = pressure_words(end.ride_pressure_pa)
        facts.append((_("Out on the ride"), _("A gauge would show %(pressure)s", pressure=there)))
    return facts + second_facts(end, elsewhere=setup.request.ride != setup.request.bench)


def _bound_text(pressure_pa: float, assumed: bool) -> str:
    text = pressure_words(pressure_pa, pressure_pa)
    return _("%(pressure)s, our estimate: check the fork or shock", pressure=text) if assumed else text
