"""The form behind the front page: rider, bike, spring ends and air, read into one `SetupRequest`."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import astuple
from typing import Any, Final

from wtforms import Form, FormField
from wtforms.fields import Field

from setup_rules import Problem, RequestError, SetupRequest, read_request, request_data
from setup_rules.messages.message import Message
from setup_rules.types.limits import LIMITS
from setup_rules.types.request import EndName
from webapp.ground.device_units import DeviceUnits, device_units, units_chosen
from webapp.ground.fields.page_form import SaveOnceForm
from webapp.ground.fields.push_force import FORCE_UNITS, PushForceField
from webapp.ground.fields.quantity import CHOSEN_UNITS, QuantityField
from webapp.ground.fields.spring_test import field_of_list
from webapp.ground.fields.text_and_choice import ChoiceField, TextField
from webapp.ground.text import numbers
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH, SERVICE_NOTE_LENGTH
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.own_unit_sentences import say_in_own_units
from webapp.ground.text.sentences import say
from webapp.library.merging import is_spring_of, suspension_unit_problems, with_suspension_unit
from webapp.library.suspension_unit import NAME_LONGEST, Kind, SuspensionUnit
from webapp.setups.forms.end_forms import SHARED, ConditionsForm, EndField, FrontForm, RearForm
from webapp.setups.forms.leverage import disagrees, leverage_from_travel
from webapp.setups.revision import CardTexts

FORK: Final[Kind] = "fork"
SHOCK: Final[Kind] = "shock"
#: Finds a fork or shock in use by kind and name, None where there is none.
FindSuspensionUnit = Callable[[Kind, str], SuspensionUnit | None]

#: What the form asks of rider and bike as a whole, by the keys of the interface.
_OWN: Final = (
    "rider_mass_kg",
    "kit_mass_kg",
    "riding_style",
    "bike_mass_kg",
    "stance",
    "rider_front_share_percent",
    "front_axle_kg",
    "rear_axle_kg",
)
RIDING_STYLES: Final = (
    ("cross_country", _l("Cross-country"), _l("Long rides on smooth to rough trails. Firm, with little sag.")),
    ("trail", _l("Trail"), _l("Up and down on mixed ground. Start with this one.")),
    ("enduro", _l("Enduro"), _l("Steep, rough descents that you pedal up to. Softer, with more grip.")),
    ("downhill", _l("Downhill"), _l("Fast, rough and mostly downhill. The most sag and the slowest rebound.")),
    ("park", _l("Jumps and pump track"), _l("Smooth take-offs and landings. The firmest setup.")),
)


class UnitsForm(Form):  # type: ignore[misc]
    """The units in which numbers are typed without one."""

    mass = ChoiceField((("kg", "kg", ""), ("lb", "lb", ""), ("st", "st", "")), _l("Weight"), default="kg")
    pressure = ChoiceField((("psi", "psi", ""), ("bar", "bar", ""), ("kpa", "kPa", "")), _l("Pressure"), default="psi")
    length = ChoiceField((("mm", "mm", ""), ("in", "in", "")), _l("Length"), default="mm")
    temperature = ChoiceField((("c", "°C", ""), ("f", "°F", "")), _l("Temperature"), default="c")
    altitude = ChoiceField((("m", "m", ""), ("ft", "ft", "")), _l("Altitude"), default="m")


class SetupForm(SaveOnceForm):
    """Everything that a setup is computed from, and the two texts for its card."""

    units = FormField(UnitsForm, separator=".")
    rider_mass_kg = QuantityField(
        "rider_mass_kg",
        _l("Rider weight"),
        required=True,
        hint=_l("Without kit. You can type a unit: 82 kg, 180 lb or 12 st 7."),
    )
    kit_mass_kg = QuantityField(
        "kit_mass_kg",
        _l("Kit weight"),
        hint=_l("Clothes, helmet, shoes, water, pack. Default: 4 kg (9 lb)."),
    )
    riding_style = ChoiceField(RIDING_STYLES, _l("Riding style"), needed=_l("Riding style: choose one."))
    bike_mass_kg = QuantityField("bike_mass_kg", _l("Bike weight"), hint=_l("Default: 14 kg (31 lb)."))
    stance = ChoiceField(
        (
            ("standing", _l("Standing"), _l("On level pedals, knees and elbows bent. The position for rough ground.")),
            ("seated", _l("Seated"), _l("Sitting and pedalling. Less weight on the fork.")),
        ),
        _l("Position when measuring sag"),
        default="standing",
    )
    rider_front_share_percent = QuantityField(
        "rider_front_share_percent",
        _l("Share of rider's weight on the front wheel"),
        hint=_l(
            "If you have measured it with a scale under each wheel, without the bike's weight. Default: "
            "depends on the position."
        ),
    )
    front_axle_kg = QuantityField("front_axle_kg", _l("Scale under the front wheel"))
    rear_axle_kg = QuantityField("rear_axle_kg", _l("Scale under the rear wheel"))
    front_unit = TextField(
        NAME_LONGEST,
        _l("Fork from the library"),
        hint=_l("Enter its name. Values that you type below replace the saved ones."),
    )
    rear_unit = TextField(
        NAME_LONGEST,
        _l("Shock from the library"),
        hint=_l("Enter its name. Values that you type below replace the saved ones."),
    )
    front = EndField(FrontForm, separator=".")
    rear = EndField(RearForm, separator=".")
    bench = FormField(ConditionsForm, separator=".")
    ride = FormField(ConditionsForm, separator=".")
    bike_label = TextField(
        BIKE_LABEL_LENGTH, _l("Bike"), hint=_l("Label for the card, for example “blue trail bike, size M”.")
    )
    service_note = TextField(
        SERVICE_NOTE_LENGTH, _l("What was done"), hint=_l("One line about the service. Do not enter names.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        #: Names by end of the library's entries that were chosen and whose spring was not described otherwise.
        self.chosen_suspension_units: dict[EndName, str] = {}
        if not self.is_submitted():
            self._offer_device_units()
        chosen = {field.short_name: field.data for field in self.units.form}
        owners = {"front": _("fork"), "rear": _("shock"), "bench": _("here"), "ride": _("there")}
        for field in self.inputs():
            if isinstance(field, QuantityField):
                part = field.name.partition(".")[0]
                field.whose = owners.get(part, "") if field.short_name in SHARED else ""
                if chosen.get(field.kind) in CHOSEN_UNITS.get(field.kind, ()):
                    field.unit_key = chosen[field.kind]
            if isinstance(field, PushForceField):
                field.unit_key = FORCE_UNITS.get(chosen["mass"], field.unit_key)

    def _offer_device_units(self) -> None:
        """Start with the units that this device remembers."""
        for field in self.units.form:
            field.data = field.default = device_units().of(field.short_name)

    @property
    def chosen_units(self) -> DeviceUnits:
        """The units that were chosen for numbers without one."""
        return units_chosen({field.short_name: field.data for field in self.units.form})

    def offer_units(self, field: QuantityField) -> None:
        """Leave the choice of units: the page has a box for each kind."""

    def read(self, suspension_unit_of: FindSuspensionUnit | None = None) -> SetupRequest | None:
        """Return the request, or None after putting every problem beside its field.

        `suspension_unit_of` finds a fork or shock of the shop's library by kind and name; without it nobody of a shop
        is logged in and the library's boxes are ignored.
        """
        if suspension_unit_of is not None:
            self._type_only_lengths(suspension_unit_of)
        valid = self.validate()
        self._check_leverage()
        values = self._request_values()
        if suspension_unit_of is not None:
            self._take_suspension_units(values, suspension_unit_of)
        try:
            request = read_request(values)
        except RequestError as error:
            for problem in error.problems:
                if not self._said_of_leverage(problem.field):
                    self.refuse(problem.field, say_in_own_units(self._as_typed(problem)))
            return None
        return request if valid and not self.problems() else None

    def _as_typed(self, problem: Problem) -> Message | str:
        end, _dot, rest = problem.field.partition(".")
        if not rest.startswith("spring_test"):
            return problem.said
        return self[end].form.spring_test.form.in_typed_unit(problem.said)  # type: ignore[no-any-return]

    def _said_of_leverage(self, path: str) -> bool:
        """Return whether `path` is a leverage whose lack or size was already explained at the wheel travel."""
        return path.startswith("rear.leverage") and bool(self.rear.form.wheel_travel_mm.errors)

    def find_field(self, path: str) -> Field | None:
        """Return the field under the dotted name `path`; a spring end as a whole is its tick box."""
        own = super().find_field(field_of_list(path))
        return own or super().find_field(f"{path}.wanted")

    def read_texts(self) -> CardTexts:
        """Return the texts for the card."""
        return CardTexts(self.bike_label.data, self.service_note.data)

    def page_key(self, request: SetupRequest) -> str:
        """Return the key under which `request` and the texts of this page are saved once."""
        return self.submission_key([request_data(request), *astuple(self.read_texts())])

    def _request_values(self) -> dict[str, Any]:
        values: dict[str, Any] = {name: self[name].data for name in _OWN}
        values["bench"] = filled_values(self.bench.form)
        values["ride"] = values["bench"] | filled_values(self.ride.form)
        if self.front.form.wanted.data:
            values["front"] = filled_values(self.front.form)
        if self.rear.form.wanted.data:
            values["rear"] = filled_values(self.rear.form) | self._leverage()
            values["rear"].pop("wheel_travel_mm", None)
        return {name: value for name, value in values.items() if value is not None}

    def _unit_boxes(self) -> tuple[tuple[EndName, Kind, TextField], ...]:
        return ("front", FORK, self.front_unit), ("rear", SHOCK, self.rear_unit)

    def _type_only_lengths(self, suspension_unit_of: FindSuspensionUnit) -> None:
        """Type the travel or stroke that is empty where the library's entry has only one."""
        for end, kind, box in self._unit_boxes():
            field = self.front.form.travel_mm if end == "front" else self.rear.form.stroke_mm
            chosen = suspension_unit_of(kind, box.data) if box.data and not field.text.strip() else None
            if chosen is not None and len(chosen.travels_mm) == 1:
                field.text = f"{chosen.travels_mm[0]:g} mm"

    def _take_suspension_units(self, values: dict[str, Any], suspension_unit_of: FindSuspensionUnit) -> None:
        """Put what the library knows of the chosen units into the spring ends."""
        for end, kind, box in self._unit_boxes():
            if not box.data or end not in values:
                continue
            suspension_unit = suspension_unit_of(kind, box.data)
            if suspension_unit is None:
                box.errors = [
                    _("The library does not contain this fork or shock. Check the name, or leave the field empty.")
                ]
                continue
            typed = values[end]
            if typed.get("spring") == "coil":
                box.errors = [_("The library holds air springs. Clear this field, or choose air as the main spring.")]
                continue
            if (
                suspension_unit.negative_spring
                and typed.get("negative_spring") == self[end].form.negative_spring.default
            ):
                typed.pop("negative_spring")  # what the form starts with was not typed
            if is_spring_of(suspension_unit, typed):
                self.chosen_suspension_units[end] = suspension_unit.name
            values[end] = with_suspension_unit(suspension_unit, typed)
            for problem in suspension_unit_problems(suspension_unit, values[end]):
                self.refuse(f"{end}.{problem.field}", say(problem.said))

    def _leverage(self) -> dict[str, float]:
        """Return the leverage that the wheel travel stands for, where the leverage itself is not given."""
        rear = self.rear.form
        typed = rear.leverage_start.text.strip() or rear.leverage_end.text.strip()
        if typed or not rear.wheel_travel_mm.data or not rear.stroke_mm.data:
            return {}
        start, end = leverage_from_travel(rear.wheel_travel_mm.data, rear.stroke_mm.data)
        return {"leverage_start": round(start, 4), "leverage_end": round(end, 4)}

    def _check_leverage(self) -> None:
        rear = self.rear.form
        travel, stroke = rear.wheel_travel_mm.data, rear.stroke_mm.data
        if not rear.wanted.data:
            return
        start, end = rear.leverage_start, rear.leverage_end
        if start.data and end.data and travel and stroke and disagrees(start.data, end.data, travel, stroke):
            message = _(
                "Rear wheel travel of %(travel)s mm does not match the leverage ratio and stroke, which "
                "give %(given)s mm. Check all three, or clear one of them.",
                travel=numbers.general(travel),
                given=numbers.number((start.data + end.data) / 2 * stroke),
            )
            self.refuse("rear.wheel_travel_mm", message)
        elif any(not LIMITS["leverage_start"].holds(ratio) for ratio in self._leverage().values()):
            message = _(
                "Rear wheel travel of %(travel)s mm with a stroke of %(stroke)s mm gives a leverage "
                "ratio of %(ratio)s. This is not realistic. Check both numbers.",
                travel=numbers.general(travel),
                stroke=numbers.general(stroke),
                ratio=numbers.number(travel / stroke, 2),
            )
            self.refuse("rear.wheel_travel_mm", message)
        elif not (start.text.strip() or end.text.strip() or rear.wheel_travel_mm.text.strip()):
            self.refuse(
                "rear.wheel_travel_mm", _("Enter the rear wheel travel, or the leverage ratio at start and end.")
            )


def filled_values(form: Form) -> dict[str, Any]:
    """Return the values of a part of the form that were typed or chosen, by the key of the interface."""
    filled = {field.short_name: field.data for field in form if field.data not in (None, "")}
    filled.pop("wanted", None)
    if filled.get("spring") == "coil":
        filled.pop("negative_spring", None)  # a coil main spring has no negative chamber to ask about
    if "spring_test" in filled:
        test = form.spring_test.form.read_test()
        # With a number missing it goes no further than this page.
        filled["spring_test"] = None if form.spring_test.form.has_gap() else test
    if filled.get("negative_spring") == "coil":
        filled.pop("negative_size", None)  # asked of an air negative spring only
    return {name: value for name, value in filled.items() if value is not None}
