"""Two pressures, two temperatures and the time between them."""

from __future__ import annotations

from setup_rules.types.units import PSI_PA
from setup_rules.workshop.leak_check import LeakReadings
from webapp.ground.fields.page_form import TokenlessForm, given
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l


class LeakForm(TokenlessForm):
    """The leak check."""

    first_psi = QuantityField(
        "read_pressure_psi",
        _l("First pressure"),
        required=True,
        hint=_l("As set, with the pump on. A typed unit counts: 84 psi, 5.8 bar or 580 kPa."),
    )
    first_c = QuantityField("temperature_c", _l("Air temperature then"), hint=_l("Left empty: 20 °C (68 °F)."))
    second_psi = QuantityField(
        "read_pressure_psi",
        _l("Second pressure"),
        required=True,
        hint=_l("As read after connecting the pump again, before any pumping."),
    )
    second_c = QuantityField(
        "temperature_c", _l("Air temperature at the second reading"), hint=_l("Left empty: as at the first.")
    )
    hours = QuantityField(
        "hours_between",
        _l("Time between them"),
        required=True,
        hint=_l("In hours; 30 min and 2 days are read too."),
    )
    step_psi = QuantityField(
        "gauge_step_psi", _l("Smallest step of the gauge"), hint=_l("What can be read off it. Left empty: 1 psi.")
    )
    hose_cm3 = QuantityField(
        "hose_volume_cm3",
        _l("Air in hose and gauge"),
        hint=_l("Connecting the pump lets some air into its hose. Left empty: not corrected for."),
    )
    chamber_cm3 = QuantityField(
        "chamber_volume_cm3", _l("Air in the spring"), hint=_l("Fully extended. Needed beside the hose.")
    )
    altitude_m = QuantityField("altitude_m", _l("Altitude"), hint=_l("Left empty: sea level."))

    def read(self) -> tuple[LeakReadings, float] | None:
        """Return the readings and the altitude [m], or None after putting every problem beside its field."""
        valid = self.validate()
        if self.hose_cm3.data and not self.chamber_cm3.data and not self.chamber_cm3.errors:
            self.refuse("chamber_cm3", _("Air in the spring is needed beside the hose. Enter it, or clear the hose."))
        if not valid or self.problems():
            return None
        first_c = 20.0 if self.first_c.data is None else self.first_c.data
        readings = LeakReadings(
            first_pa=given(self.first_psi) * PSI_PA,
            second_pa=given(self.second_psi) * PSI_PA,
            first_c=first_c,
            second_c=first_c if self.second_c.data is None else self.second_c.data,
            hours=given(self.hours),
            resolution_pa=(self.step_psi.data or 1.0) * PSI_PA,
            hose_share=(self.hose_cm3.data or 0.0) / (self.chamber_cm3.data or 1.0),
        )
        return readings, self.altitude_m.data or 0.0

    def refuse_reading(self, name: str, message: str) -> None:
        """Put what the rules refuse beside the field that it came from."""
        own = {"first_pa": "first_psi", "second_pa": "second_psi", "hose_share": "hose_cm3"}
        self.refuse(own.get(name, name), message)
