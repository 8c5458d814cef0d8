"""The strings of the suspension unit library's pages."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from setup_rules.types.limits import LIMITS
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import ngettext
from webapp.ground.text.sentences import say
from webapp.library.merging import assumed_fields

if TYPE_CHECKING:
    from webapp.library.actions.unit_learning import UnitLearning
    from webapp.library.saved_suspension_unit import SavedSuspensionUnit, SuspensionUnitPage


@dataclass(frozen=True, slots=True)
class SuspensionUnitLine:
    """One suspension unit in the list."""

    suspension_unit_id: int
    name: str
    kind: str
    travels: str
    known: str


@dataclass(frozen=True, slots=True)
class SuspensionUnitView:
    """What is said of a suspension unit above its form: its name and what is assumed in its place."""

    name: str
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LearnedView:
    """What sag checks taught of a suspension unit: what was let go ("": none), and what its owner may do."""

    said: str
    forgotten: str
    can_forget: bool
    can_take_back: bool


def present_suspension_units(page: SuspensionUnitPage) -> tuple[SuspensionUnitLine, ...]:
    """Return the lines of one page of the library."""
    return tuple(_line(saved) for saved in page.suspension_units)


def _line(saved: SavedSuspensionUnit) -> SuspensionUnitLine:
    suspension_unit = saved.suspension_unit
    unknown = len(assumed_fields(suspension_unit))
    return SuspensionUnitLine(
        suspension_unit_id=saved.suspension_unit_id,
        name=suspension_unit.name,
        kind=_("Fork") if suspension_unit.kind == "fork" else _("Shock"),
        travels=", ".join(f"{t:g}" for t in suspension_unit.travels_mm) or _("not known"),
        known=_("all entered") if not unknown else _("%(n)d estimated", n=unknown),
    )


def present_suspension_unit(saved: SavedSuspensionUnit) -> SuspensionUnitView:
    """Return what is said of a suspension unit above its form."""
    names = assumed_fields(saved.suspension_unit)
    return SuspensionUnitView(saved.suspension_unit.name, tuple(_label(name) for name in names))


def present_learned(found: UnitLearning, *, for_owner: bool) -> LearnedView:
    """Return what is said of what sag checks taught of a suspension unit."""
    return LearnedView(
        said=_say_learned(found),
        forgotten=_say_forgotten(found),
        can_forget=for_owner and bool(found.riders),
        can_take_back=for_owner and found.forgotten_at is not None,
    )


def _say_learned(found: UnitLearning) -> str:
    if not found.riders or found.since is None:
        return _("No sag check has taught anything of it yet. Bikes and setups that choose this entry will.")
    riders = ngettext(
        "From the sag checks of one rider since %(since)s:",
        "From the sag checks of %(n)d riders since %(since)s:",
        found.riders,
        n=found.riders,
        since=numbers.day(found.since),
    )
    return f"{riders} {_say_percent(found.percent)}"


def _say_percent(percent: float | None) -> str:
    if percent is None:
        return _("the pressure that it needs cannot be told for want of its sizes.")
    if abs(percent) < 1:
        return _("it needs what is typical, within 1 %.")
    if percent > 0:
        return _("it needs about %(percent)d %% more pressure than is typical.", percent=round(percent))
    return _("it needs about %(percent)d %% less pressure than is typical.", percent=round(-percent))


def _say_forgotten(found: UnitLearning) -> str:
    if found.forgotten_at is None:
        return ""
    return _("What was learned before %(day)s is not used.", day=numbers.day(found.forgotten_at))


def _label(name: str) -> str:
    own = {
        "negative_spring": _("Negative spring"),
        "negative_size": _("Size of the negative chamber"),
        "max_volume_spacers": _("Maximum volume spacers"),
    }
    return own.get(name) or say(LIMITS[name].label)
