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
        hint=_l("As set, with the pump connected. You can type a unit: 84 psi, 5.8 bar or 580 kPa."),
    )
    first_c = QuantityField(
        "temperature_c", _l("Air temperature at the first reading"), hint=_l("Default: 20 °C (68 °F).")
    )
    second_psi = QuantityField(
        "read_pressure_psi",
        _l("Second pressure"),
        required=True,
        hint=_l("The gauge reading after you reconnect the pump, before you add air."),
    )
    second_c = QuantityField(
        "temperature_c",
        _l("Air temperature at the second reading"),
        hint=_l("Default: the same as at the first reading."),
    )
    hours = QuantityField(
        "hours_between",
        _l("Time between the readings"),
        required=True,
        hint=_l("In hours. You can also enter 30 min or 2 days."),
    )
    step_psi = QuantityField(
        "gauge_step_psi", _l("Smallest gauge step"), hint=_l("The smallest difference you can read. Default: 1 psi.")
    )
    hose_cm3 = QuantityField(
        "hose_volume_cm3",
        _l("Air volume of hose and gauge"),
        hint=_l("Connecting the pump lets some air into its hose. Default: our estimate, up to 12 % of the spring."),
    )
    chamber_cm3 = QuantityField(
        "chamber_volume_cm3",
        _l("Air volume of the spring"),
        hint=_l("Fully extended. Required if you enter the hose volume."),
    )
    altitude_m = QuantityField("altitude_m", _l("Altitude"), hint=_l("Default: sea level."))

    def read(self) -> tuple[LeakReadings, float] | None:
        """Return the readings and the altitude [m], or None after putting every problem beside its field."""
        valid = self.validate()
        if self.hose_cm3.data and not self.chamber_cm3.data and not self.chamber_cm3.errors:
            self.refuse("chamber_cm3", _("Enter the air volume of the spring as well, or clear the hose volume."))
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
