"""The form of a sag check: one part for each spring end, so that both can be pumped, measured and sent together."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final, cast

from wtforms import BooleanField, Form, FormField

from setup_rules import EndSetup, Setup
from setup_rules.types.request import Conditions, Datum, EndName, Place
from setup_rules.types.result import SagCheck
from setup_rules.types.units import to_base
from webapp.checks.forms.correction_form import CorrectionForm
from webapp.checks.forms.measured_fields import PRELOAD, PRESSURE, BoundedField, MeasuredRateField, ReadingsField
from webapp.ground.fields.own_unit_fields import OwnUnitsForm
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.text_and_choice import ChoiceField
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.own_units import altitude_words, temperature_words
from webapp.ground.text.phrases import air

#: Rows of readings on the page: settled any way, and with friction pushing either way.
MOST_READINGS: Final = 3
MOST_SIDED: Final = 3

DATUMS: Final = (
    ("bike_at_rest", _l("Bike standing on its wheels without you"), _l("You step off and read the gap.")),
    ("wheel_off_ground", _l("Wheel lifted"), _l("You step off, lift the wheel off the ground and read the gap.")),
)


#: What `place` offers; elsewhere is as on the ride, in an air that is typed.
PLACES: Final = (
    ("bench", _l("Where it was set"), _l("Another air, if it was set in another, is entered below.")),
    ("ride", _l("On the ride"), _l("Enter the pressure as it was read when it was set.")),
    (
        "elsewhere",
        _l("Somewhere else"),
        _l("Enter the air there below, and the pressure as it was read when it was set."),
    ),
)


class SagPartForm(Form):  # type: ignore[misc]
    """The readings of one spring end at the pressure as set now, or with the coil that is in it now."""

    pressure_psi = BoundedField(
        PRESSURE,
        _l("Pressure in it now"),
        hint=_l(
            "The gauge reading when you set the pressure, before you measured. You can type a unit: 84 psi or 5.8 bar."
        ),
    )
    spring_rate_n_per_mm = MeasuredRateField(
        _l("Rate of the spring in it now"),
        hint=_l("As printed on the spring. You can type a unit: 79 N/mm or 450 lb/in."),
    )
    preload_mm = BoundedField(
        PRELOAD,
        _l("Preload now"),
        hint=_l("How far the spring is squeezed at full extension: turns times the pitch of the ring. Default: 0 mm."),
    )
    readings_mm = ReadingsField(_l("Reading"), MOST_READINGS)
    readings_from_above_mm = ReadingsField(_l("From above"), MOST_SIDED)
    readings_from_below_mm = ReadingsField(_l("From below"), MOST_SIDED)
    datum = ChoiceField(DATUMS, _l("How did you read the gap?"))

    def prepare(self, answered: EndSetup, word: str, *, alone: bool) -> None:
        """Get ready for one end: its travel, what it is called, and whether it is the only one that can be measured."""
        for group in self.groups():
            for number, field in enumerate(group, 1):
                field.label.text, field.whose = f"{field.label.text} {number}", word
                field.travel_mm = answered.travel_mm
        self._ask_for_spring(answered, word, needed=alone or self.is_used)
        self.datum.default = answered.datum
        self.datum.data = self.datum.data or answered.datum

    def _ask_for_spring(self, answered: EndSetup, word: str, *, needed: bool) -> None:
        """Keep the fields of the spring that the end has: pressure, or rate and preload as the setup gave them."""
        coil = answered.coil
        for name in ("spring_rate_n_per_mm", "preload_mm") if coil is None else ("pressure_psi",):
            del self[name]
        own = self.pressure_psi if coil is None else self.spring_rate_n_per_mm
        own.whose, own.required = word, needed
        if coil is not None:
            self.preload_mm.whose, self.spring_rate_n_per_mm.known = word, numbers.rate(coil.rate_n_per_m)
            if coil.fits and not self.is_used and not own.text:
                own.text, self.preload_mm.text = numbers.rate(coil.rate_n_per_m), numbers.preload(coil.preload_mm)

    def groups(self) -> Iterator[ReadingsField]:
        """Yield the three kinds of readings."""
        yield from (self.readings_mm, self.readings_from_above_mm, self.readings_from_below_mm)

    @property
    def is_used(self) -> bool:
        """Whether anything was typed about this end."""
        typed = [field.text for group in self.groups() for field in group]
        # The spring of a coil stands there from the start, so it says nothing.
        pressure = [self.pressure_psi.text] if "pressure_psi" in self else []
        return any(text.strip() for text in (*typed, *pressure))

    @property
    def questioned(self) -> int:
        """How many of its fields were asked about: readings and preload, which can be kept with one press."""
        fields = (*self.groups(), *([self.preload_mm] if "preload_mm" in self else []))
        return sum(bool(getattr(field, "questioned", False)) for field in fields)


class SagCheckForm(CorrectionForm, OwnUnitsForm):
    """One to six sag readings of the fork, the shock or both, at the pressures as set now."""

    front = FormField(SagPartForm, separator=".")
    rear = FormField(SagPartForm, separator=".")
    place = ChoiceField(PLACES, _l("Where did you measure?"), default="bench")
    temperature_c = QuantityField("temperature_c", _l("Air temperature"))
    altitude_m = QuantityField("altitude_m", _l("Altitude"))
    confirm = BooleanField()

    def __init__(self, setup: Setup, revision: int) -> None:
        super().__init__(revision)
        words = {"front": _("fork"), "rear": _("shock")}
        self.names: tuple[EndName, ...] = tuple(end.end for end in setup.ends())
        for name in words.keys() - set(self.names):
            del self[name]
        for end in setup.ends():
            self[end.end].form.prepare(end, words[end.end], alone=len(self.names) == 1)
        self._bench = setup.request.bench
        self._ask_for_place(setup)

    def _ask_for_place(self, setup: Setup) -> None:
        """Ask where it was measured if the bike is ridden in other air, and say what is taken for that place."""
        bench, ride = setup.request.bench, setup.request.ride
        if not setup.minds_place and self.place.data in (None, "bench"):
            del self.place
            saved = temperature_words(bench.temperature_c), altitude_words(bench.altitude_m)
            hints = tuple(_("Default: %(value)s, as saved.", value=said) for said in saved)
        else:
            airs = (f"{air(bench)}. ", f"{air(ride)}. ", "")
            self.place.choices = tuple(
                (key, label, f"{there}{line}") for (key, label, line), there in zip(PLACES, airs, strict=True)
            )
            hints = (
                _("Default: as saved for the place above. Needed for somewhere else."),
                _("Default: as saved for the place above; for somewhere else as where it was set."),
            )
        for field, hint in zip((self.temperature_c, self.altitude_m), hints, strict=True):
            field.hint = hint

    def keep_meant(self, seen: Setup, latest: Setup) -> None:
        """Keep the air: "on the ride" was the ride of the page that was seen, not that of a later change."""
        place = self.place.data if "place" in self else "bench"
        meant, now = (_air_of(place, one) for one in (seen, latest))
        if meant.altitude_m != now.altitude_m or (place != "elsewhere" and meant != now):
            self.altitude_m.text = self.altitude_m.text or altitude_words(meant.altitude_m)
        if place != "elsewhere" and meant != now:
            self.temperature_c.text = self.temperature_c.text or temperature_words(meant.temperature_c)
            if place == "ride":
                self.place.data = "elsewhere"
        if place != "bench" and seen.request.bench != latest.request.bench:
            self._ask_for_pressure_again(seen.request.bench, latest.request.bench)

    def _ask_for_pressure_again(self, was: Conditions, now: Conditions) -> None:
        """Say that a pressure was read in air that is no longer that of the setup's bench."""
        said = _(
            "It was set at %(was)s, now changed to %(now)s. Enter what a gauge shows there.", was=air(was), now=air(now)
        )
        for name in self.names:
            if self[name].form.is_used and "pressure_psi" in self[name].form:
                self.refuse(f"{name}.pressure_psi", said)

    @property
    def is_questioned(self) -> bool:
        """Whether any reading was asked about, and nothing is wrong besides."""
        questioned: int = sum(self[name].form.questioned for name in self.names)
        return 0 < questioned == len(self.problems())

    @property
    def asks_preload(self) -> bool:
        """Whether a preload above the limit was asked about."""
        parts = [self[name].form for name in self.names]
        return any("preload_mm" in part and getattr(part.preload_mm, "questioned", False) for part in parts)

    def read(self) -> tuple[SagCheck, ...] | None:
        """Return a check for each end that was measured, or None after putting what cannot be read beside its field."""
        if not self.validate():
            return None
        used = tuple(name for name in self.names if self[name].form.is_used)
        if self._is_elsewhere and self.temperature_c.data is None:
            self.refuse("temperature_c", _("Enter the air temperature where you measured."))
            return None
        if not used:
            self.refuse(f"{self.names[0]}.readings_mm", _("Enter at least one sag reading."))
            return None
        return tuple(self._check(name) for name in used)

    @property
    def _is_elsewhere(self) -> bool:
        return "place" in self and self.place.data == "elsewhere"

    def _check(self, name: EndName) -> SagCheck:
        part: SagPartForm = self[name].form
        place = self.place.data if "place" in self else "bench"
        altitude_m = self.altitude_m.data
        if self._is_elsewhere:
            # A garage lies near the bench more often than near the ride.
            place, altitude_m = "ride", self._bench.altitude_m if altitude_m is None else altitude_m
        return SagCheck(
            end=name,
            **_read_spring(part),
            readings_mm=_read_lengths(part.readings_mm),
            readings_from_above_mm=_read_lengths(part.readings_from_above_mm),
            readings_from_below_mm=_read_lengths(part.readings_from_below_mm),
            temperature_c=self.temperature_c.data,
            altitude_m=altitude_m,
            datum=cast("Datum", part.datum.data),
            confirm=bool(self.confirm.data),
            place=cast("Place", place),
        )


def _air_of(place: str, setup: Setup) -> Conditions:
    return setup.request.ride if place == "ride" else setup.request.bench


def _read_spring(part: SagPartForm) -> dict[str, Any]:
    """Return what was set on the spring, as a check holds it."""
    if "pressure_psi" in part:
        return {"pressure_pa": to_base("pressure", float(part.pressure_psi.data or 0.0), "psi")}
    return {"spring_rate_n_per_mm": part.spring_rate_n_per_mm.data, "preload_mm": part.preload_mm.data or 0.0}


def _read_lengths(group: ReadingsField) -> tuple[float, ...]:
    return tuple(float(field.data) for field in group if field.data is not None)
