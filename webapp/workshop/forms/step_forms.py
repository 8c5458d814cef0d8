"""What is entered for a step of a service: one form for each kind of step, each giving plain values to keep."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, Final

from wtforms import BooleanField, Form, FormField

from setup_rules import RequestError
from setup_rules.types.units import PSI_PA, unit
from setup_rules.workshop.checklist import Step
from setup_rules.workshop.leak_check import LeakReadings, check_leak
from setup_rules.workshop.torque_check import check_torque
from webapp.ground.fields.number_text import NumberText
from webapp.ground.fields.page_form import given
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.text_and_choice import ChoiceField, TextField
from webapp.ground.text import numbers
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH, SERVICE_NOTE_LENGTH
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.sentences import say
from webapp.travel.forms import SpacerRows
from webapp.workshop.entries import step_part
from webapp.workshop.forms.section_form import SectionForm

_TORQUE_UNITS: Final = (("nm", "N·m", ""), ("lbfin", "lbf·in", ""), ("lbfft", "lbf·ft", ""))
#: Two lengths are the same when they differ by less than this [mm].
_SAME_MM: Final = 0.05


#: Travels or strokes that a fork or shock can have, and the sizes of its spacers [mm]; empty is not known.
Lengths = tuple[tuple[float, ...], tuple[float, ...]]


class StepForm(SectionForm):
    """Any step: a note. The kinds add their own fields."""

    note = TextField(SERVICE_NOTE_LENGTH, _l("Note"), hint=_l("Optional. Do not enter names."))

    def read(self) -> dict[str, Any] | None:
        """Return the values to keep, or None after putting every problem beside its field."""
        valid = self.validate()
        values = self.values() if valid and not self.problems() else {}
        if not valid or self.problems():
            return None
        return values | ({"note": self.note.data} if self.note.data else {})

    def values(self) -> dict[str, Any]:
        """Return what the kind of step adds, from fields that are valid; may refuse some still."""
        return {}

    def show_step(self, step: Step) -> None:
        """Fill the form with what was entered before."""
        self.show({name: value for name, value in step.values.items() if name in self})


class PartForm(Form):  # type: ignore[misc]
    """One part that was looked at."""

    part = TextField(BIKE_LABEL_LENGTH, _l("Part"))
    condition = ChoiceField(
        (
            ("good", _l("good"), ""),
            ("worn", _l("worn"), ""),
            ("replaced", _l("replaced"), ""),
            ("unsafe", _l("not safe"), ""),
        ),
        _l("Condition"),
        default="good",
    )


class PartsForm(StepForm):
    """Parts inspected, each with its condition."""

    part1 = FormField(PartForm, separator=".")
    part2 = FormField(PartForm, separator=".")
    part3 = FormField(PartForm, separator=".")
    part4 = FormField(PartForm, separator=".")
    part5 = FormField(PartForm, separator=".")

    def rows(self) -> Iterator[Form]:
        """Yield the rows of parts."""
        for field in (self.part1, self.part2, self.part3, self.part4, self.part5):
            yield field.form

    def values(self) -> dict[str, Any]:
        """Return the parts that were named."""
        parts = [[row.part.data, row.condition.data] for row in self.rows() if row.part.data]
        if not parts:
            self.refuse("part1.part", _("Part: enter at least one part that you checked."))
        return {"parts": parts}

    def show_step(self, step: Step) -> None:
        """Fill the rows."""
        super().show_step(step)
        for row, (part, condition) in zip(self.rows(), step.values.get("parts", []), strict=False):
            row.part.text, row.condition.data = part, condition


class SealsForm(StepForm):
    """Which seals were replaced."""

    what = TextField(SERVICE_NOTE_LENGTH, _l("Replaced"), hint=_l("For example “air piston and wiper seals”."))

    def values(self) -> dict[str, Any]:
        """Return what was replaced."""
        if not self.what.data:
            self.refuse("what", _("Replaced: enter what you replaced, or skip the step."))
        return {"what": self.what.data}


class LubricantForm(StepForm):
    """Which lubricant and how much, as the unit's manual says."""

    what = TextField(
        BIKE_LABEL_LENGTH, _l("Lubricant"), hint=_l("Type and place, as named in the manufacturer's manual.")
    )
    place = ChoiceField(
        (
            ("air", _l("air chamber"), ""),
            ("left", _l("left lower leg"), ""),
            ("right", _l("right lower leg"), ""),
            ("damper", _l("damper"), ""),
            ("other", _l("elsewhere"), ""),
        ),
        _l("Place"),
        hint=_l("What is in the air chamber takes room from the air, and goes into the setup."),
        default="other",
    )
    amount_cm3 = QuantityField(
        "lubricant_cm3", _l("Amount"), hint=_l("From the manufacturer's manual. This tool gives no amounts.")
    )

    def values(self) -> dict[str, Any]:
        """Return what was put in."""
        if not self.what.data:
            self.refuse("what", _("Lubricant: enter which one, or skip the step."))
        amount = self.amount_cm3.data
        place = {} if self.place.data == "other" else {"place": self.place.data}
        return {"what": self.what.data} | place | ({} if amount is None else {"amount_cm3": amount})


class FittedForm(StepForm, SpacerRows):
    """Travel spacers as they are fitted now. They have to add up."""

    before_mm = QuantityField("travel_mm", _l("Travel before"), required=True)
    longest_mm = QuantityField(
        "longest_travel_mm",
        _l("Maximum travel, no spacers"),
        required=True,
        hint=_l("From the fork's manual. Travel is this value minus the spacers fitted."),
    )
    after_mm = QuantityField("travel_mm", _l("Travel now"), required=True)

    #: Every travel or stroke [mm] that the library's fork or shock can have; empty where that is not known.
    lengths_mm: tuple[float, ...] = ()
    #: The sizes of its spacers [mm]; empty where they are not known.
    sizes_mm: tuple[float, ...] = ()

    def values(self) -> dict[str, Any]:
        """Return travel and spacers, where they agree and the fork or shock can have them."""
        spacers = self.spacers()
        before, longest, after = given(self.before_mm), given(self.longest_mm), given(self.after_mm)
        left = longest - sum(size * count for size, count in spacers)
        if not self.problems() and abs(left - after) > _SAME_MM:
            self.refuse("after_mm", self._do_not_add_up(longest, left))
        if self.lengths_mm and not any(abs(one - after) <= _SAME_MM for one in self.lengths_mm):
            self.refuse("after_mm", self._not_a_length(after))
        for size, _count in spacers:
            if self.sizes_mm and not any(abs(one - size) <= _SAME_MM for one in self.sizes_mm):
                self.refuse("spacer1.size_mm", self._not_a_size(size))
        if before > longest + _SAME_MM:
            mm = numbers.general(before)
            message = _("%(mm)s mm is more than the maximum travel of the fork. Check both numbers.", mm=mm)
            self.refuse("before_mm", message)
        return {
            "before_mm": before,
            "longest_mm": longest,
            "after_mm": after,
            "spacers": [[size, count] for size, count in spacers],
        }

    def _not_a_length(self, after: float) -> str:
        return _(
            "%(mm)s mm is none of the lengths of this fork or shock in the library: %(all)s mm.",
            mm=numbers.general(after),
            all=", ".join(numbers.general(one) for one in self.lengths_mm),
        )

    def _not_a_size(self, size: float) -> str:
        return _(
            "%(mm)s mm is none of the spacers of this fork or shock in the library: %(all)s mm.",
            mm=numbers.general(size),
            all=", ".join(numbers.general(one) for one in self.sizes_mm),
        )

    def _do_not_add_up(self, longest: float, left: float) -> str:
        return _(
            "The spacers do not match: %(longest)s mm minus %(spacers)s mm of spacers is %(left)s mm. "
            "Check travel and spacers.",
            longest=numbers.general(longest),
            spacers=numbers.general(longest - left),
            left=numbers.general(left),
        )

    def show_step(self, step: Step) -> None:
        """Fill fields and rows."""
        super().show_step(step)
        self.show_spacers(tuple((size, count) for size, count in step.values.get("spacers", [])))


class StrokeForm(FittedForm):
    """The same in a shock: its stroke and the spacers that end it earlier."""

    before_mm = QuantityField("stroke_mm", _l("Stroke before"), required=True)
    longest_mm = QuantityField(
        "stroke_mm",
        _l("Maximum stroke, no spacers"),
        required=True,
        hint=_l("From the shock's manual. The stroke is this value minus the spacers fitted."),
    )
    after_mm = QuantityField("stroke_mm", _l("Stroke now"), required=True)


class TorqueField(QuantityField):
    """A torque that is kept as it was typed: converted at once, a wrong unit would no longer be seen."""

    typed: tuple[float, str] | None = None

    def _in_limits(self, typed: NumberText, key: str) -> float | int:
        self.typed = (typed.value, key)
        return super()._in_limits(typed, key)


class TorqueForm(StepForm):
    """One fastener: the torque applied against the range in the unit's manual."""

    part = TextField(BIKE_LABEL_LENGTH, _l("Fastener"), hint=_l("For example “top cap”."))
    low = TorqueField("torque_nm", _l("Torque range in the manual, from"), required=True)
    high = TorqueField("torque_nm", _l("Torque range in the manual, to"), required=True)
    range_unit = ChoiceField(_TORQUE_UNITS, _l("Unit in the manual"), default="nm")
    torque = TorqueField(
        "torque_nm",
        _l("Torque applied"),
        required=True,
        hint=_l("As set on the wrench. You can type a unit: 62 lbf·in."),
    )
    unit = ChoiceField(_TORQUE_UNITS, _l("Unit on the wrench"), default="nm")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field, chosen in ((self.low, self.range_unit), (self.high, self.range_unit), (self.torque, self.unit)):
            field.unit_symbols = []
            if chosen.data in {key for key, _symbol, _line in _TORQUE_UNITS}:
                field.unit_key = chosen.data

    def values(self) -> dict[str, Any]:
        """Return torque and range with the units that they were given in."""
        low, high, torque = self.low.typed, self.high.typed, self.torque.typed
        if low is None or high is None or torque is None:
            return {}
        if low[1] != high[1]:
            self.refuse("high", _("Enter both ends of the range in the same unit."))
        elif low[0] > high[0]:
            self.refuse("high", _("The end of the range is below its start. Swap the two values."))
        return {
            "part": self.part.data,
            "torque": torque[0],
            "unit": torque[1],
            "low": low[0],
            "high": high[0],
            "range_unit": low[1],
        }

    @staticmethod
    def verdict(values: dict[str, Any]) -> dict[str, Any]:
        """Return the verdict on values, with the torque in the manual's unit and what unit it may have been in."""
        v = values
        result = check_torque(v["torque"], v["unit"], v["low"], v["high"], v["range_unit"])
        symbol = unit("torque", v["range_unit"]).symbol
        return {"verdict": result.verdict, "value": result.value, "symbol": symbol, "likely": result.likely_unit}


class LeakStepForm(StepForm):
    """Pressure read again after a while."""

    first_psi = QuantityField("read_pressure_psi", _l("Pressure set"), required=True)
    first_c = QuantityField(
        "temperature_c", _l("Air temperature at the first reading"), hint=_l("Default: 20 °C (68 °F).")
    )
    hours = QuantityField(
        "hours_between",
        _l("Time until the second reading"),
        required=True,
        hint=_l("In hours. You can also enter 90 min."),
    )
    second_psi = QuantityField(
        "read_pressure_psi",
        _l("Pressure at the second reading"),
        required=True,
        hint=_l("The gauge reading before you add air. Enter both volumes below to correct for the hose."),
    )
    second_c = QuantityField(
        "temperature_c",
        _l("Air temperature at the second reading"),
        hint=_l("Default: the same as at the first reading."),
    )
    left_on = BooleanField(_l("The pump stayed connected"))
    step_psi = QuantityField("gauge_step_psi", _l("Smallest gauge step"), hint=_l("Default: 1 psi."))
    hose_cm3 = QuantityField("hose_volume_cm3", _l("Air volume of hose and gauge"))
    chamber_cm3 = QuantityField("chamber_volume_cm3", _l("Air volume of the spring"))

    def values(self) -> dict[str, Any]:
        """Return the readings with their verdict."""
        names = ("first_psi", "first_c", "hours", "second_psi", "second_c", "step_psi", "hose_cm3", "chamber_cm3")
        values: dict[str, Any] = {name: self[name].data for name in names if self[name].data is not None}
        if self.left_on.data:
            values["left_on"] = True
        if "hose_cm3" in values and "chamber_cm3" not in values:
            self.refuse("chamber_cm3", _("Enter the air volume of the spring as well, or clear the hose volume."))
            return values
        try:
            return judged_leak(values)
        except RequestError as error:
            self.refuse("second_psi", say(error.problems[0].said))
            return values


def judged_leak(values: dict[str, Any]) -> dict[str, Any]:
    """Return the readings of a leak step with their verdict (raises `setup_rules.RequestError`).

    A pump that was connected again took air into its hose: without its volume there is no verdict, and waiting longer
    gives none. `hose_needed` says that more was lost than our estimate of a hose explains.
    """
    result = check_leak(leak_readings(values))
    expected = round(result.expected_pa / PSI_PA, 2)
    if result.hose_assumed:
        lost = {"hose_needed": True} if result.verdict == "leaks" else {}
        return values | {"verdict": "cannot_tell", "expected_psi": expected, **lost}
    return values | {"verdict": result.verdict, "expected_psi": expected, "hours_needed": result.hours_needed}


def leak_readings(values: dict[str, Any]) -> LeakReadings:
    """Return the readings that were kept for a step, in SI."""
    first_c = values.get("first_c", 20.0)
    return LeakReadings(
        first_pa=values["first_psi"] * PSI_PA,
        second_pa=values["second_psi"] * PSI_PA,
        first_c=first_c,
        second_c=values.get("second_c", first_c),
        hours=values["hours"],
        resolution_pa=values.get("step_psi", 1.0) * PSI_PA,
        hose_share=values.get("hose_cm3", 0.0) / values.get("chamber_cm3", 1.0),
        reattached=not values.get("left_on", False),
    )


_FORMS: Final[dict[str, type[StepForm]]] = {
    "tick": StepForm,
    "parts": PartsForm,
    "seals": SealsForm,
    "lubricant": LubricantForm,
    "travel": FittedForm,
    "torque": TorqueForm,
    "leak": LeakStepForm,
}


def step_form(step: Step, *, sent: bool, end: str = "front", lengths: Lengths = ((), ()), **more: Any) -> StepForm:
    """Return the form for a kind of step: with what was sent, or with what was entered before, or is suggested.

    `lengths` are the travels or strokes and the spacers that there can be [mm]; `more` goes to the form, as a prefix.
    """
    kind = StrokeForm if step.kind == "travel" and end == "rear" else _FORMS[step.kind]
    form = kind(**more) if sent else kind(formdata=None, **more)
    if isinstance(form, FittedForm):
        form.lengths_mm, form.sizes_mm = lengths
    if sent:
        return form
    form.show_step(step if step.values else replace(step, values=step.suggested))
    form.fill_from(step_part(step))
    return form
