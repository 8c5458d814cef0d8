"""A bike of the shop as a form: a setup's form without its rider, where a fork or shock of one travel asks for none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any, Final

from wtforms import HiddenField
from wtforms.fields import Field

from setup_rules import FrontEnd, RearEnd, RequestError
from webapp.demo_day.bike import ENDS, NUMBER_LONGEST
from webapp.ground.fields.text_and_choice import TextField
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH, exact_number
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.sentences import say
from webapp.ground.whole_numbers import read_whole_number
from webapp.library.merging import with_suspension_unit
from webapp.setups.forms.setup_form import FORK, SHOCK, FindSuspensionUnit, SetupForm, filled_values

#: What of a setup's form is the rider's or the day's.
_OF_RIDER: Final = (
    *("rider_mass_kg", "kit_mass_kg", "stance", "rider_front_share_percent", "front_axle_kg", "rear_axle_kg"),
    *("bench", "ride", "bike_label", "service_note"),
)
_LENGTH: Final = {"front": "travel_mm", "rear": "stroke_mm"}


class BikeForm(SetupForm):
    """What a bike is called and what is fitted to it. `version` is that of the bike as it was shown."""

    version = HiddenField()
    number = TextField(NUMBER_LONGEST, _l("Number"), hint=_l("As on its tag."))
    label = TextField(BIKE_LABEL_LENGTH, _l("Label"), hint=_l("For example “blue trail bike, size M”. No names."))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in _OF_RIDER:
            del self[name]
        self.riding_style.hint = _("What it is usually ridden for: chosen at first for each rider.")
        self.front.form.wanted.label.text = _("The bike has a suspension fork")
        self.rear.form.wanted.label.text = _("The bike has a rear shock")
        only = _("Not needed where the library knows one travel or stroke only.")
        for end, key in _LENGTH.items():
            field = self[end].form[key]
            field.required, field.hint = False, f"{field.hint} {only}"
        if not self.is_submitted():
            self.riding_style.data = "trail"

    @property
    def seen(self) -> int | None:
        """The version that the page showed, None where it says none."""
        return read_whole_number(str(self.version.data or ""))

    def unit_box(self, end: str) -> TextField:
        """Return the box for the library's fork or shock at an end."""
        return self.front_unit if end == "front" else self.rear_unit

    def find_field(self, path: str) -> Field | None:
        """Return the field under the dotted name `path`; the library's entry of an end is its box."""
        end, _dot, rest = path.partition(".")
        return self.unit_box(end) if rest == "unit" else super().find_field(path)

    def read_bike_data(self, before: Mapping[str, Any] | None, find_unit: FindSuspensionUnit) -> dict[str, Any] | None:
        """Return the bike as plain data, or None after putting every problem beside its field.

        `before` is the document of a bike that is edited: what the form has no field for stays.
        """
        valid = self.validate()
        self._check_leverage()
        data: dict[str, Any] = {"number": self.number.data, "label": self.label.data}
        data["riding_style"] = self.riding_style.data
        if self.bike_mass_kg.data is not None:
            data["bike_mass_kg"] = self.bike_mass_kg.data
        for end in ENDS:
            if self[end].form.wanted.data:
                data[end] = self._end_data(end, before or {}, find_unit)
        return data if valid and not self.problems() else None

    def _end_data(self, end: str, before: Mapping[str, Any], find_unit: FindSuspensionUnit) -> dict[str, Any]:
        form, box = self[end].form, self.unit_box(end)
        typed = filled_values(form)
        if end == "rear":
            typed = {key: value for key, value in (typed | self._leverage()).items() if key != "wheel_travel_mm"}
        if box.data and typed.get("spring") == "coil":
            self.refuse(f"{end}.unit", _("The library holds air springs. Clear this field, or choose air."))
        if box.data and typed.get("negative_spring") == form.negative_spring.default:
            typed.pop("negative_spring")  # what the form starts with was not typed
        unit = before.get("units", {}).get(end)
        same = (unit or "") == box.data
        kept = {key: value for key, value in _extras(end, before, find_unit).items() if same or key in _OF_FRAME}
        return kept | typed | ({"unit": box.data} if box.data else {})

    def refuse_request(self, error: RequestError) -> None:
        """Put what the rules' reader refused beside its field."""
        for problem in error.problems:
            if not self._said_of_leverage(problem.field):
                self.refuse(problem.field, say(problem.said))

    def show_bike(self, number: str, label: str, document: Mapping[str, Any], find_unit: FindSuspensionUnit) -> None:
        """Fill the form with a saved bike: of a fork or shock of the library only what was said beside it."""
        self.show({"number": number, "label": label or None})
        self.riding_style.data = document.get("riding_style", "trail")
        if document.get("bike_mass_kg") is not None:
            self.bike_mass_kg.text = exact_number(document["bike_mass_kg"])
        for end in ENDS:
            self[end].form.wanted.data = bool(document.get(end))
            self.unit_box(end).text = self.unit_box(end).data = document.get("units", {}).get(end, "")
            for key, value in _own_values(end, document, find_unit).items():
                _show_value(self[end].form, key, value)


#: Keys without a field that belong to the frame, not to the fork or shock.
_OF_FRAME: Final = ("leverage_table",)


def _own_values(end: str, document: Mapping[str, Any], find_unit: FindSuspensionUnit) -> dict[str, Any]:
    """Return the values of an end that neither the library's entry nor a default brings."""
    usual = {one.name: one.default for one in fields(FrontEnd if end == "front" else RearEnd)}
    fitted = {key: value for key, value in (document.get(end) or {}).items() if value != usual.get(key)}
    name = document.get("units", {}).get(end)
    unit = find_unit(FORK if end == "front" else SHOCK, name) if name else None
    if unit is None:
        return fitted
    length = {_LENGTH[end]: fitted[_LENGTH[end]]} if len(unit.travels_mm) != 1 else {}
    brought = with_suspension_unit(unit, length)
    return {key: value for key, value in fitted.items() if key in length or not _same(brought.get(key), value)}


def _same(one: Any, other: Any) -> bool:
    """Return whether two plain values are one, rows as lists or as tuples."""
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(_same(a, b) for a, b in zip(one, other, strict=True))
    return bool(one == other)


def _extras(end: str, before: Mapping[str, Any], find_unit: FindSuspensionUnit) -> dict[str, Any]:
    """Return what is known of an end that the form has no field for."""
    own = _own_values(end, before, find_unit) if before.get(end) else {}
    shown = {field.short_name for field in BikeForm(formdata=None)[end].form} - {"spring_test"}
    return {key: value for key, value in own.items() if key not in shown}


def _show_value(form: Any, key: str, value: Any) -> None:
    if key not in form or value is None or isinstance(value, dict):
        return
    field = form[key]
    if hasattr(field, "choices"):
        field.data = value
    elif isinstance(value, list | tuple):
        field.text = " ".join(exact_number(one) for one in value)
    elif hasattr(field, "text"):
        field.text = value if isinstance(value, str) else exact_number(value)
