"""The form for changed conditions: an empty field means "no change"."""

from __future__ import annotations

from typing import Any, Final

from wtforms import BooleanField, Form, FormField

from setup_rules import EndSetup, Setup
from setup_rules.types.request import SetupRequest
from webapp.checks.forms.correction_form import CorrectionForm
from webapp.checks.weight_proof import OWNER_LINK_LENGTH, WeightProof
from webapp.ground.fields.own_unit_fields import OwnUnitsForm
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.rates import RatesField
from webapp.ground.fields.spring_rate import SpringRateField
from webapp.ground.fields.text_and_choice import ChoiceField, TextField
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.own_units import altitude_words, mass_words, pressure_text, temperature_words
from webapp.ground.text.phrases import maximum_pa, rate_and_pounds
from webapp.setups.forms.end_forms import ConditionsForm
from webapp.setups.forms.setup_form import RIDING_STYLES

#: The longest name of who has borrowed a bike [characters].
RIDER_NAME_LENGTH: Final = 24
#: Luggage on the bike, by place.
_LUGGAGE: Final = ("luggage_front_kg", "luggage_rear_kg")


class EndChangesForm(Form):  # type: ignore[misc]
    """What can be changed about one spring end without opening a new setup."""

    volume_spacers = QuantityField("volume_spacers", _l("Volume spacers fitted"))
    fitted_rate_n_per_mm = SpringRateField("fitted_rate_n_per_mm", _l("Rate of the fitted spring"))
    stocked_rates_n_per_mm = RatesField(
        "stocked_rates_n_per_mm",
        _l("Spring rates that you can get"),
        hint=_l("With a space between, such as 8 9 10, or in pounds an inch: 400 450 500 lb/in. Default: as saved."),
    )
    sag_target_percent = QuantityField("sag_target_percent", _l("Target sag"))
    max_pressure_psi = QuantityField("max_pressure_psi", _l("Maximum pressure printed on it"))
    air_lubricant_cm3 = QuantityField("air_lubricant_cm3", _l("Oil or grease in the air chamber"))
    by_style = BooleanField(_l("Use the target sag of the riding style"))


class WhatIfForm(CorrectionForm, OwnUnitsForm):
    """Rider, kit, style, air and spacers, changed on a saved setup. Rider and kit weight are never shown here."""

    rider_mass_kg = QuantityField(
        "rider_mass_kg",
        _l("Rider weight"),
        hint=_l("Default: as saved. The saved weight is hidden because anyone with the card can open this page."),
    )
    rider_mass_now_kg = QuantityField(
        "rider_mass_kg",
        _l("Rider weight now"),
        hint=_l("Only to change rider or kit weight: the saved weight without kit, as only the rider knows it."),
    )
    owner_link = TextField(
        OWNER_LINK_LENGTH, _l("Owner's link"), hint=_l("Instead of the rider weight now, if you have it.")
    )
    kit_mass_kg = QuantityField(
        "kit_mass_kg",
        _l("Kit weight"),
        hint=_l("All of it: clothes, shoes, water, tools and luggage. Default: as saved, and hidden as well."),
    )
    luggage_front_kg = QuantityField(
        "luggage_front_kg", _l("Luggage on the bike, front"), hint=_l("Bags at the handlebar or fork.")
    )
    luggage_rear_kg = QuantityField(
        "luggage_rear_kg", _l("Luggage on the bike, rear"), hint=_l("Bags at the saddle or on a rack.")
    )
    rider_name = TextField(
        RIDER_NAME_LENGTH,
        _l("Who is on it"),
        hint=_l(
            "For a borrowed bike: a first name or nickname, and the bike goes back with one press. Anyone with the "
            "link can read it. It is not printed on the card."
        ),
    )
    riding_style = ChoiceField(RIDING_STYLES, _l("Riding style"))
    front = FormField(EndChangesForm, separator=".")
    rear = FormField(EndChangesForm, separator=".")
    bench = FormField(ConditionsForm, separator=".")
    ride = FormField(ConditionsForm, separator=".")

    def __init__(self, setup: Setup, revision: int) -> None:
        super().__init__(revision)
        self._request = setup.request
        self.has = {"front": setup.front is not None, "rear": setup.rear is not None}
        if not self.riding_style.data:
            self.riding_style.data = setup.request.riding_style
        self._keep_what_is_there(setup)
        self._say_what_is(setup)

    def _keep_what_is_there(self, setup: Setup) -> None:
        """Drop the fields of the kind of main spring that an end has not."""
        for name, end in setup.request.ends():
            coil = end.spring == "coil"
            for field in (
                ("volume_spacers", "max_pressure_psi", "air_lubricant_cm3")
                if coil
                else ("fitted_rate_n_per_mm", "stocked_rates_n_per_mm")
            ):
                del self[name].form[field]

    def _say_what_is(self, setup: Setup) -> None:
        request = setup.request
        names = {"front": _("fork"), "rear": _("shock"), "bench": _("here"), "ride": _("there")}
        for part, word in names.items():
            for field in self[part].form:
                if isinstance(field, QuantityField):
                    field.whose = word
        for name, end in request.ends():
            form, answered = self[name].form, setup.front if name == "front" else setup.rear
            if "max_pressure_psi" in form and answered is not None:
                form.air_lubricant_cm3.hint = _("Now %(cm3)s cm³.", cm3=f"{end.air_lubricant_cm3:g}")
                form.max_pressure_psi.hint = _say_maximum(answered, setup)
            if "volume_spacers" in form:
                form.volume_spacers.hint = _("Now %(count)d.", count=end.volume_spacers)
            if end.fitted_rate_n_per_mm is not None and "fitted_rate_n_per_mm" in form:
                rate = rate_and_pounds(1000 * end.fitted_rate_n_per_mm)
                form.fitted_rate_n_per_mm.hint = _("Now %(rate)s.", rate=rate)
            if answered is not None:
                form.sag_target_percent.hint = _("Now %(share)s %%.", share=f"{answered.sag_target_percent:g}")
        for luggage in _LUGGAGE:
            if (kg := getattr(request, luggage)) is not None:
                self[luggage].hint = _("Now %(weight)s.", weight=mass_words(kg))
        for part, place in (("bench", request.bench), ("ride", request.ride)):
            form = self[part].form
            form.temperature_c.hint = _("Now %(temperature)s.", temperature=temperature_words(place.temperature_c))
            form.altitude_m.hint = _("Now %(altitude)s.", altitude=altitude_words(place.altitude_m))

    def build_on(self, revision: int, setup: Setup) -> None:
        """Let the page be saved on top of `revision`: what was not changed here is as that one has it."""
        super().build_on(revision, setup)
        if self.riding_style.data == self._request.riding_style:
            self.riding_style.data = setup.request.riding_style
        self._request = setup.request
        self._say_what_is(setup)

    def own_target(self, name: str) -> bool:
        """Return whether an end's target sag was entered, so that it does not follow the riding style."""
        end = self._request.front if name == "front" else self._request.rear
        return end is not None and end.sag_target_percent is not None

    @property
    def ridden_here(self) -> bool:
        """Whether the bike was saved as ridden where it is pumped."""
        return self._request.ride == self._request.bench

    @property
    def weighed(self) -> bool:
        """Whether a scale under a wheel was read for this setup."""
        return self._request.front_axle_kg is not None or self._request.rear_axle_kg is not None

    def proof(self) -> WeightProof:
        """Return what was entered to show that the rider's weight may be changed."""
        return WeightProof(self.rider_mass_now_kg.data, self.owner_link.data)

    def read(self) -> dict[str, Any] | None:
        """Return what is to change, as the interface's keys; None after putting what cannot be read beside it."""
        if not self.validate():
            return None
        changes = self._changes(self._request)
        if not changes:
            if self.rider_name.data:
                self.refuse("rider_name", _("Enter the weight of who is on it too: nothing else would change."))
            self.refuse("", _("You have not changed anything. Fill in what is different now."))
            return None
        return changes

    def _changes(self, request: SetupRequest) -> dict[str, Any]:
        changes: dict[str, Any] = {}
        if self.rider_mass_kg.data is not None:  # also the saved one: to say that nothing changes would give it away
            changes["rider_mass_kg"] = self.rider_mass_kg.data
        if self.kit_mass_kg.data is not None:  # for the same reason
            changes["kit_mass_kg"] = self.kit_mass_kg.data
        for name in _LUGGAGE:
            if self[name].data is not None and self[name].data != (getattr(request, name) or 0.0):
                changes[name] = self[name].data
        if self.riding_style.data != request.riding_style:
            changes["riding_style"] = self.riding_style.data
        for part in ("front", "rear", "bench", "ride"):
            found = self._part_changes(part, getattr(request, part))
            if found:
                changes[part] = found
        if "bench" in changes and self.ridden_here:
            changes["ride"] = changes["bench"] | changes.get("ride", {})
        return changes

    def _part_changes(self, part: str, now: Any) -> dict[str, Any]:
        if now is None:
            return {}
        form = self[part].form
        found: dict[str, Any] = {
            field.short_name: field.data
            for field in form
            if isinstance(field, QuantityField)
            and field.data is not None
            and field.data != getattr(now, field.short_name)
        }
        if part in self.has and form.by_style.data and self.own_target(part):
            found["sag_target_percent"] = None
        return found


def _say_maximum(end: EndSetup, setup: Setup) -> str:
    most = pressure_text(maximum_pa(end, setup), maximum_pa(end, setup)).short
    if end.max_pressure_assumed:
        return _("Now our cautious %(pressure)s. Read the printed one.", pressure=most)
    return _("Now %(pressure)s.", pressure=most)
