"""The forms of a service record around its steps: received, final settings, and the search box."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any, Final

from setup_rules.physics.gas import hose_factor
from webapp.ground.fields.page_form import PageForm, TokenlessForm
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.text_and_choice import ChoiceField, TextField
from webapp.ground.link_codes import TEXT_LIMIT
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH, SERVICE_NOTE_LENGTH
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.workshop.entries import Arrival, Details, Left
from webapp.workshop.forms.section_form import SectionForm


class FoundForm(SectionForm):
    """A unit as it was found, before anything was let out of it."""

    pressure_psi = QuantityField(
        "read_pressure_psi",
        _l("Pressure as received"),
        hint=_l("The gauge reading before you add air. You can type a unit: 5.2 bar."),
    )
    hose_cm3 = QuantityField(
        "hose_volume_cm3",
        _l("Air volume of hose and gauge"),
        hint=_l("Connecting the pump lowers the reading. Enter both volumes to correct for this."),
    )
    chamber_cm3 = QuantityField("chamber_volume_cm3", _l("Air volume of the spring"), hint=_l("Fully extended."))
    temperature_c = QuantityField("temperature_c", _l("Air temperature"))
    sag_mm = QuantityField("measured_sag_mm", _l("Sag as received"), hint=_l("Optional."))
    rebound_out = QuantityField("clicks_out", _l("Rebound as received"), hint=_l("Clicks out from fully closed."))
    symptoms = TextField(SERVICE_NOTE_LENGTH, _l("Symptoms"), hint=_l("What the rider reports and what you see."))

    def read_found(self) -> dict[str, Any] | None:
        """Return what was found, or None after putting every problem beside its field."""
        valid = self.validate()
        if self.hose_cm3.data and not self.chamber_cm3.data and not self.chamber_cm3.errors:
            self.refuse("chamber_cm3", _("Enter the air volume of the spring as well, or clear the hose volume."))
        if not valid or self.problems():
            return None
        names = ("pressure_psi", "hose_cm3", "chamber_cm3", "temperature_c", "sag_mm", "rebound_out")
        found: dict[str, Any] = {name: self[name].data for name in names if self[name].data is not None}
        if self.pressure_psi.data and self.hose_cm3.data and self.chamber_cm3.data:
            factor = hose_factor(self.chamber_cm3.data, self.hose_cm3.data)
            found["before_hose_psi"] = round(self.pressure_psi.data * factor, 2)
        if self.symptoms.data:
            found["symptoms"] = self.symptoms.data
        return found


#: Finds a fork or shock of the shop's library by end and name, as plain data; None where there is none.
FindUnit = Callable[[str, str], dict[str, Any] | None]


class DetailsForm(SectionForm):
    """Which bike, and which fork or shock of it."""

    bike_label = TextField(BIKE_LABEL_LENGTH, _l("Bike"), hint=_l("Label for the card. Do not enter names."))
    unit_label = TextField(
        BIKE_LABEL_LENGTH, _l("Model"), hint=_l("Model of the fork or shock, for example “34 mm fork, 2021”.")
    )
    customer_reference = TextField(
        BIKE_LABEL_LENGTH, _l("Customer reference"), hint=_l("Ticket number. Do not enter names.")
    )
    spring_end = ChoiceField(
        (("front", _l("Fork"), _l("front")), ("rear", _l("Shock"), _l("rear"))),
        _l("Fork or shock"),
        default="front",
    )

    def show_details(self, details: dict[str, Any]) -> None:
        """Fill the form with what the record says."""
        self.show(details)
        self.fill_from(details)

    def read_details(self, unit_of: FindUnit) -> Details | None:
        """Return the details, or None after putting every problem beside its field."""
        valid = self.validate()
        if not self.bike_label.data:
            self.refuse("bike_label", _("Bike: enter a label for the card."))
        self._refuse_other_end(unit_of)
        if not valid or self.problems():
            return None
        return Details(
            bike_label=self.bike_label.data,
            unit_label=self.unit_label.data,
            customer_reference=self.customer_reference.data,
            spring_end=self.spring_end.data,
            unit=unit_of(self.spring_end.data, self.unit_label.data),
        )

    def _refuse_other_end(self, unit_of: FindUnit) -> None:
        """Put it beside the model where the library has that very name for the other end of a bike."""
        name, end = str(self.unit_label.data or ""), str(self.spring_end.data)
        known = unit_of("front" if end == "rear" else "rear", name)
        if known is None or known["name"].casefold() != name.casefold() or unit_of(end, name) is not None:
            return
        if end == "rear":
            self.refuse(
                "unit_label", _("The library has “%(name)s” as a fork. Choose fork, or another model.", name=name)
            )
        else:
            self.refuse(
                "unit_label", _("The library has “%(name)s” as a shock. Choose shock, or another model.", name=name)
            )


#: The kinds of service, as every form that starts one offers them.
KIND_CHOICES: Final = (
    ("list", _l("The shop's checklist"), ""),
    ("lower_legs", _l("Lower legs"), _l("Forks only.")),
    ("air_spring", _l("Air spring"), ""),
    ("damper", _l("Damper"), ""),
    ("full", _l("Full service"), ""),
)


class ArrivalForm(FoundForm, DetailsForm):
    """A bike comes in. With its card, its name comes from there."""

    setup_code = TextField(
        TEXT_LIMIT,
        _l("Card link or code"),
        hint=_l("If the bike has a card, scan it, or type its shop code."),
    )
    service_kind = ChoiceField(KIND_CHOICES, _l("Service"), default="list")

    def read(self, unit_of: FindUnit) -> Arrival | None:
        """Return the arrival, or None after putting every problem beside its field."""
        found = self.read_found()
        if not self.bike_label.data and not self.setup_code.data and not self.bike_label.errors:
            self.refuse("bike_label", _("Bike: enter a label for the card."))
        if self.spring_end.data == "rear" and self.service_kind.data == "lower_legs":
            self.refuse("service_kind", _("A shock has no lower legs. Choose another service."))
        self._refuse_other_end(unit_of)
        if found is None or self.problems():
            return None
        return Arrival(
            bike_label=self.bike_label.data,
            unit_label=self.unit_label.data,
            customer_reference=self.customer_reference.data,
            spring_end=self.spring_end.data,
            setup_code=self.setup_code.data or None,
            unit=unit_of(self.spring_end.data, self.unit_label.data),
            service_kind=self.service_kind.data,
            as_found=found,
        )


class AddStepForm(SectionForm):
    """One more part, oil or fastener than the list of steps has."""

    title = TextField(BIKE_LABEL_LENGTH, _l("Another step"), hint=_l("For example “pinch bolts tightened”."))
    kind = ChoiceField(
        (
            ("torque", _l("Torque"), ""),
            ("lubricant", _l("Lubricant"), ""),
            ("parts", _l("Parts"), ""),
            ("seals", _l("Seals"), ""),
            ("tick", _l("Tick"), ""),
        ),
        _l("Type of the new step"),
        default="torque",
    )

    def read(self) -> tuple[str, str] | None:
        """Return (kind, title), None where nothing was typed or after putting the problem beside its field."""
        if not self.title.data or not self.validate():
            return None
        return str(self.kind.data), str(self.title.data)


class AddendumForm(PageForm):
    """A line that is added to a closed record."""

    note = TextField(
        SERVICE_NOTE_LENGTH, _l("Addendum"), hint=_l("Added with your name and the time. Do not enter names.")
    )

    def read(self) -> str:
        """Return the text, or "" after putting what is wrong beside the box."""
        if self.validate() and not self.note.data:
            self.refuse("note", _("Addendum: write what you want to add."))
        return "" if self.problems() else str(self.note.data)


class LeftForm(SectionForm):
    """A unit as it leaves."""

    pressure_psi = QuantityField("read_pressure_psi", _l("Pressure set"), hint=_l("Gauge reading after cycling."))
    temperature_c = QuantityField("temperature_c", _l("Air temperature"))
    sag_mm = QuantityField("measured_sag_mm", _l("Sag measured"), hint=_l("Optional, if the rider was there."))
    rebound_out = QuantityField("clicks_out", _l("Rebound set"), hint=_l("Clicks out from fully closed."))
    compression_out = QuantityField("clicks_out", _l("Compression set"), hint=_l("Clicks out from fully closed."))
    volume_spacers = QuantityField("volume_spacers", _l("Volume spacers fitted"), hint=_l("Default: as in the setup."))
    max_pressure_psi = QuantityField(
        "max_pressure_psi",
        _l("Maximum pressure printed on it"),
        hint=_l("On the fork or shock or in its manual. It goes into the setup."),
    )
    note = TextField(SERVICE_NOTE_LENGTH, _l("Note"), hint=_l("For the service record. Do not enter names."))
    next_due_hours = QuantityField(
        "service_hours", _l("Next service after"), hint=_l("Riding hours, from the manufacturer's manual.")
    )
    next_due_on = TextField(10, _l("or on this date"), hint=_l("Write the date like 2031-05-20."))

    def read(self) -> Left | None:
        """Return what is left, or None after putting every problem beside its field."""
        valid = self.validate()
        due = self._due_on()
        if not valid or self.problems():
            return None
        names = (
            "pressure_psi",
            "temperature_c",
            "sag_mm",
            "rebound_out",
            "compression_out",
            "volume_spacers",
            "max_pressure_psi",
        )
        values: dict[str, Any] = {name: self[name].data for name in names if self[name].data is not None}
        if self.note.data:
            values["note"] = self.note.data
        hours = self.next_due_hours.data
        return Left(values=values, next_due_on=due, next_due_hours=None if hours is None else round(hours))

    def _due_on(self) -> date | None:
        text = str(self.next_due_on.data or "")
        if not text or self.next_due_on.errors:
            return None
        try:
            due = date.fromisoformat(text)
        except ValueError:
            self.refuse("next_due_on", _("“%(text)s” is not a date. Write it like 2031-05-20.", text=text))
            return None
        if due < datetime.now(UTC).date():
            self.refuse("next_due_on", _("%(text)s is in the past. Enter a future date.", text=text))
        return due


class LinkForm(PageForm):
    """The card of a bike that has a setup already."""

    setup_code = TextField(
        TEXT_LIMIT, _l("Card link or code"), hint=_l("Scan the card's code into this box, or type its shop code.")
    )

    def read(self) -> str:
        """Return the text, or "" after putting what is wrong beside the box."""
        if self.validate() and not self.setup_code.data:
            self.refuse("setup_code", _("Card link or code: scan or type it."))
        return "" if self.problems() else str(self.setup_code.data)


class SearchForm(TokenlessForm):
    """The search box of the list. It changes nothing and rides in the address."""

    q = TextField(
        TEXT_LIMIT,
        _l("Find"),
        hint=_l("Any words, in any order: bike, model, ticket, symptom, a code, or a day like 3 May. Or scan a card."),
    )
