"""The crew's few fields: a weight and a style, what a pump reads, a reason, and the version that a page showed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from wtforms import HiddenField
from wtforms.fields import Field

from webapp.demo_day.bike import ENDS, REASON_LONGEST
from webapp.ground.fields.page_form import SaveOnceForm, given
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.text_and_choice import ChoiceField, TextField
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.whole_numbers import read_whole_number
from webapp.setups.forms.setup_form import RIDING_STYLES

#: The styles without the line that describes each: five lines on one small screen.
STYLES: Final = tuple((value, label, "") for value, label, _line in RIDING_STYLES)
_READ: Final = (
    ("pressure_psi", _l("Pump reads")),
    ("rebound_clicks_out", _l("Rebound clicks out")),
    ("compression_clicks_out", _l("Compression clicks out")),
    ("spring_rate_n_per_mm", _l("Spring rate")),
    ("preload_mm", _l("Preload")),
    ("second_pressure_psi", _l("Second chamber reads")),
)
_LIMITS: Final = {
    "pressure_psi": "read_pressure_psi",
    "second_pressure_psi": "read_pressure_psi",
    "rebound_clicks_out": "clicks_out",
    "compression_clicks_out": "clicks_out",
}


class PressForm(SaveOnceForm):
    """A button on the page of a bike. `version` is that of the bike as it was shown."""

    version = HiddenField()

    @property
    def seen(self) -> int | None:
        """The version that the page showed, None where it says none."""
        return read_whole_number(str(self.version.data or ""))

    def show_version(self, version: int) -> None:
        """Let the next press be one on the bike as it is shown now."""
        self.version.data = str(version)


class RiderForm(PressForm):
    """A rider: nothing but a weight and a style."""

    rider_mass_kg = QuantityField("rider_mass_kg", _l("Rider weight"), required=True)
    riding_style = ChoiceField(STYLES, _l("Riding style"), needed=_l("Riding style: choose one."))

    def read(self) -> dict[str, Any] | None:
        """Return the rider as plain data, or None after putting every problem beside its field."""
        if not self.validate():
            return None
        return {"rider_mass_kg": given(self.rider_mass_kg), "riding_style": self.riding_style.data}


class AsideForm(PressForm):
    """Why a bike is set aside."""

    reason = TextField(REASON_LONGEST, _l("Why is it set aside?"))


class ReadingForm(PressForm):
    """What stands on a bike, as a pump and the adjusters read; the fields are those that its springs have."""

    def draw_for(self, document: Mapping[str, Any], sent: Any = None, *, pumps_only: bool = False) -> None:
        """Bind the fields of a bike's springs, to what was sent."""
        self.parts: dict[str, list[Field]] = {}
        for end in ENDS:
            if end in document:
                self.parts[end] = [self._bound(end, *one, sent) for one in _fields_of(document[end], pumps_only)]

    def _bound(self, end: str, key: str, label: Any, sent: Any) -> Field:
        name = f"{end}.{key}"
        field = QuantityField(_LIMITS.get(key, key), label).bind(self, name, _meta=self.meta)
        field.whose = {"front": str(_l("fork")), "rear": str(_l("shock"))}[end]
        self.offer_units(field)
        field.process(sent if sent else None)
        self._fields[name] = field
        return field

    def read(self) -> dict[str, Any] | None:
        """Return what was read by end, or None after putting every problem beside its field."""
        if not self.validate():
            return None
        read = {
            end: {one.short_name.partition(".")[2]: one.data for one in fields} for end, fields in self.parts.items()
        }
        kept = {end: {key: value for key, value in one.items() if value is not None} for end, one in read.items()}
        return {end: one for end, one in kept.items() if one}


def _fields_of(fitted: Mapping[str, Any], pumps_only: bool) -> Iterator[tuple[str, Any]]:
    coil = fitted.get("spring") == "coil"
    has = {
        "pressure_psi": not coil,
        "rebound_clicks_out": not pumps_only,
        "compression_clicks_out": not pumps_only and fitted.get("compression_clicks") is not None,
        "spring_rate_n_per_mm": coil and not pumps_only,
        "preload_mm": coil and not pumps_only,
        "second_pressure_psi": fitted.get("second_volume_cm3") is not None,
    }
    return ((key, label) for key, label in _READ if has[key])
