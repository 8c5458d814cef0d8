"""The strings of the suspension unit library's pages."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from setup_rules.types.limits import LIMITS
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say
from webapp.library.merging import assumed_fields

if TYPE_CHECKING:
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


def _label(name: str) -> str:
    own = {
        "negative_spring": _("Negative spring"),
        "negative_size": _("Size of the negative chamber"),
        "max_volume_spacers": _("Maximum volume spacers"),
    }
    return own.get(name) or say(LIMITS[name].label)
