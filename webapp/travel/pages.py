"""A planned change of travel as the strings of its page: stacks, numbers before and after, geometry, and the plot."""

from __future__ import annotations

from dataclasses import dataclass

from setup_rules import EndSetup
from setup_rules.advice.travel_plan import TravelPlan
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext
from webapp.ground.text.own_units import pressure_ranges, pressure_text
from webapp.ground.text.phrases import pump_range_pa
from webapp.ground.text.sentences import say
from webapp.travel.wording import describe_stack, describe_stack_and_travel


@dataclass(frozen=True, slots=True)
class TravelPlotPage:
    """What the plot of old and new curve shows, and every word in it."""

    name: str
    points: tuple[tuple[float, float], ...]
    before: tuple[tuple[float, float], ...]
    load: tuple[tuple[float, float], ...]
    rest_mm: float
    rest_label: str
    sag_mm: float
    sag_low_mm: float
    sag_high_mm: float
    title: str
    description: str
    across: str
    upward: str
    curve_label: str
    curve_name: str
    before_label: str
    load_label: str
    sag_label: str


@dataclass(frozen=True, slots=True)
class TravelPage:
    """The plan, every string ready to show. Without `after` only `nearest` has options."""

    wanted: str
    stacks: tuple[str, ...]
    nearest: tuple[str, ...]
    rows: tuple[tuple[str, str, str], ...]
    geometry: tuple[tuple[str, str], ...]
    assumed: str
    learned: str
    newly_known: str
    warnings: tuple[str, ...]
    unchecked: tuple[str, ...]
    plot: TravelPlotPage | None


def present_travel(plan: TravelPlan) -> TravelPage:
    """Return the page of a plan."""
    before, after = plan.before.front, plan.after.front if plan.after else None
    if before is None:
        raise ValueError("A plan without a fork cannot be shown.")
    return TravelPage(
        wanted=_("%(mm)s mm", mm=numbers.halves(plan.wish.travel_mm)),
        stacks=tuple(say(describe_stack(stack)) for stack in plan.stacks.exact),
        nearest=tuple(say(describe_stack_and_travel(stack)) for stack in plan.stacks.nearest),
        rows=_rows(before, after) if after else (),
        geometry=_geometry(plan),
        assumed=_list_assumed(plan),
        learned=_say_what_is_kept(after) if after else "",
        newly_known=_explain_new_start(plan),
        warnings=_list_limits_reached(plan),
        unchecked=_list_unchecked(plan),
        plot=_plot(before, after) if after else None,
    )


def _rows(before: EndSetup, after: EndSetup) -> tuple[tuple[str, str, str], ...]:
    """Return (what, before, after) for each number that the change moves."""

    def row(what: str, show: str, *values: float) -> tuple[str, str, str]:
        first, second = (show % numbers.halves(value).replace("-", "−") for value in values)
        return what, first, second

    was_set, now_set = (_pressure(one.pressure_pa, one.max_pressure_pa) for one in (before, after))
    was_likely, now_likely = (pressure_ranges(*pump_range_pa(one), one.max_pressure_pa)[0] for one in (before, after))
    rows = [
        row(_("Travel"), "%s\u00a0mm", before.travel_mm, after.travel_mm),
        (_("Set pressure"), was_set, now_set),
        (_("Likely pressure range"), was_likely, now_likely),
        *_second_rows(before, after),
        row(_("Target sag"), "%s\u00a0mm", before.sag_target_mm, after.sag_target_mm),
        row(_("Target sag, % of travel"), "%s\u00a0%%", before.sag_target_percent, after.sag_target_percent),
    ]
    if before.rebound and after.rebound:
        clicks = _("%(out)d of %(all)d", out=before.rebound.out, all=before.rebound.total)
        later = _("%(out)d of %(all)d", out=after.rebound.out, all=after.rebound.total)
        rows.append((_("Rebound, clicks out"), clicks, later))
    return tuple(rows)


def _second_rows(before: EndSetup, after: EndSetup) -> list[tuple[str, str, str]]:
    if before.second is None or after.second is None:
        return []
    was, now = (_pressure(one.pressure_pa, one.max_pressure_pa) for one in (before.second, after.second))
    return [(_("Second chamber"), was, now)]


def _pressure(pressure_pa: float, most_pa: float) -> str:
    # Hard spaces keep a number and its unit on one line of a narrow table.
    text = pressure_text(pressure_pa, most_pa)
    return f"{text.short} ({text.second})".replace(" ", "\u00a0").replace("\u00a0(", " (")


def _geometry(plan: TravelPlan) -> tuple[tuple[str, str], ...]:
    g = plan.geometry
    slacker = _("slacker") if g.head_angle_deg < 0 else _("steeper")
    higher = _("higher") if g.bottom_bracket_mm > 0 else _("lower")
    longer = _("longer") if g.front_centre_mm > 0 else _("shorter")
    return (
        (_("Head angle"), f"{numbers.number(abs(g.head_angle_deg), 1)}° {slacker}"),
        (_("Bottom bracket"), f"{numbers.number(abs(g.bottom_bracket_mm), 1)} mm {higher}"),
        (_("Front centre"), f"{numbers.number(abs(g.front_centre_mm), 1)} mm {longer}"),
    )


def _list_assumed(plan: TravelPlan) -> str:
    wish = plan.wish
    figures = (
        (wish.wheelbase_mm, _("wheelbase 1200 mm")),
        (wish.chainstay_mm, _("chainstay 435 mm")),
        (wish.bottom_bracket_drop_mm, _("bottom bracket 25 mm below the axles")),
    )
    missing = [text for value, text in figures if value is None]
    return _("Not entered, so our estimates are used: %(what)s.", what=", ".join(missing)) if missing else ""


def _say_what_is_kept(after: EndSetup) -> str:
    if not after.checks_used:
        return _("No sag check saved yet, so the range is wide. Measure sag after the change.")
    return ngettext(
        "The result of your sag check of this fork is kept. Measure sag again after the change.",
        "The results of your %(n)d sag checks of this fork are kept. Measure sag again after the change.",
        after.checks_used,
        n=after.checks_used,
    )


def _explain_new_start(plan: TravelPlan) -> str:
    """Return why "before" is not what was saved, where the fork turned out to be a longer one shortened."""
    saved, before = plan.saved.front, plan.before.front
    if saved is None or before is None or numbers.psi(saved.pressure_pa) == numbers.psi(before.pressure_pa):
        return ""
    return _(
        "The saved setup shows %(saved)s psi. It did not include the maximum travel of %(longest)s mm, "
        "which changes the air chamber. With this value, the pressure would have been %(before)s psi.",
        saved=numbers.psi(saved.pressure_pa),
        before=numbers.psi(before.pressure_pa),
        longest=numbers.halves(plan.wish.longest_travel_mm),
    )


def _list_limits_reached(plan: TravelPlan) -> tuple[str, ...]:
    if plan.after is None:
        return ()
    grave = {"pressure_above_maximum", "pressure_below_minimum"}
    return tuple(say(n.said) for n in plan.after.cautions if n.end == "front" and n.code in grave)


def _list_unchecked(plan: TravelPlan) -> tuple[str, ...]:
    texts = []
    if plan.wish.unit_limit_mm is None:
        texts.append(_("You did not enter the fork's maximum travel. Check the manual before you fit anything."))
    if plan.wish.frame_limit_mm is None:
        texts.append(
            _(
                "You did not enter the frame's maximum fork travel. Ask the frame manufacturer. A fork that is "
                "too long can break the frame."
            )
        )
    return tuple(texts)


def _plot(before: EndSetup, after: EndSetup) -> TravelPlotPage:
    travels = {"old": numbers.halves(before.travel_mm), "new": numbers.halves(after.travel_mm)}
    sag = numbers.halves(after.sag_target_mm)
    return TravelPlotPage(
        name="travel",
        points=tuple(zip(after.curve.compression_mm, after.curve.force_n, strict=True)),
        before=tuple(zip(before.curve.compression_mm, before.curve.force_n, strict=True)),
        load=tuple(zip(after.curve.compression_mm, after.curve.load_n, strict=True)),
        rest_mm=after.rest_mm,
        rest_label=_("rest"),
        sag_mm=after.sag_target_mm,
        sag_low_mm=after.sag_low_mm,
        sag_high_mm=after.sag_high_mm,
        title=_("Fork: force over travel, before and after"),
        description=_(
            "At %(new)s mm of travel, it takes %(full)s N to use all of it. At %(old)s mm, it took "
            "%(was)s N. The new sag is %(sag)s mm.",
            **travels,
            full=numbers.number(after.full_force_n),
            was=numbers.number(before.full_force_n),
            sag=sag,
        ),
        across=_("Fork travel used, mm"),
        upward=_("Force, N"),
        curve_label="",
        curve_name=_("now %(mm)s mm", mm=travels["new"]),
        before_label=_("was %(mm)s mm", mm=travels["old"]),
        load_label=_("rider"),
        sag_label=_("sag %(sag)s mm", sag=sag),
    )
