"""The strings of the unit library's pages."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from setup_rules.types.limits import LIMITS
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.library.merging import assumed_fields

if TYPE_CHECKING:
    from webapp.library.saved_unit import SavedUnit, UnitPage


@dataclass(frozen=True, slots=True)
class UnitLine:
    """One unit in the list."""

    unit_id: int
    name: str
    kind: str
    travels: str
    known: str


@dataclass(frozen=True, slots=True)
class UnitView:
    """What is said of a unit above its form: its name and what is assumed in its place."""

    name: str
    assumed: tuple[str, ...]


def present_units(page: UnitPage) -> tuple[UnitLine, ...]:
    """Return the lines of one page of the library."""
    return tuple(_line(saved) for saved in page.units)


def _line(saved: SavedUnit) -> UnitLine:
    unit = saved.unit
    unknown = len(assumed_fields(unit))
    return UnitLine(
        unit_id=saved.unit_id,
        name=unit.name,
        kind=_("Fork") if unit.kind == "fork" else _("Shock"),
        travels=", ".join(numbers.general(t) for t in unit.travels_mm) or _("not known"),
        known=_("all entered") if not unknown else _("%(n)d assumed", n=unknown),
    )


def present_unit(saved: SavedUnit) -> UnitView:
    """Return what is said of a unit above its form."""
    names = assumed_fields(saved.unit)
    return UnitView(saved.unit.name, tuple(_label(name) for name in names))


def _label(name: str) -> str:
    own = {"negative_spring": _("Negative spring"), "max_volume_spacers": _("Most volume spacers")}
    return own.get(name) or _(LIMITS[name].label)
