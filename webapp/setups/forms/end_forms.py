"""The parts of the setup form: one spring end each, and the air in two places.

Every name is the key of the JSON interface, so that what the rules refuse finds its field.
"""

from __future__ import annotations

from typing import Any, Final

from wtforms import BooleanField, Form, FormField

from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.rates import RatesField
from webapp.ground.fields.spring_rate import SpringRateField
from webapp.ground.fields.spring_test import ShockTestForm, SpringTestForm
from webapp.ground.fields.text_and_choice import ChoiceField
from webapp.ground.text.i18n import lazy_gettext as _l


class ConditionsForm(Form):  # type: ignore[misc]
    """Air temperature and altitude of one place."""

    temperature_c = QuantityField("temperature_c", _l("Air temperature"))
    altitude_m = QuantityField("altitude_m", _l("Altitude"))


class SpringEndForm(Form):  # type: ignore[misc]
    """What fork and shock share. The fields that are not needed fall back to what their hint says."""

    spring = ChoiceField(
        (
            ("air", _l("Air"), _l("You set it with a shock pump.")),
            ("coil", _l("Coil"), _l("A steel spring. You change the spring or its preload.")),
        ),
        _l("Main spring"),
        default="air",
    )
    stocked_rates_n_per_mm = RatesField(
        "stocked_rates_n_per_mm",
        _l("Spring rates that you can get"),
        hint=_l(
            "With a space between, such as 8 9 10, or in pounds an inch: 400 450 500 lb/in. Default: the exact "
            "rate is given."
        ),
    )
    preload_mm_max = QuantityField(
        "preload_mm_max",
        _l("Maximum preload"),
        hint=_l("From the manual: how far the spring may be squeezed at full extension. Default: our estimate."),
    )
    coil_stroke_mm = QuantityField(
        "coil_stroke_mm",
        _l("Stroke of the coil spring"),
        hint=_l(
            "Printed on the spring: how far it can be squeezed until its coils touch. Some springs give it in inches."
        ),
    )
    preload_pitch_mm = QuantityField(
        "preload_pitch_mm",
        _l("Preload per turn"),
        hint=_l("How far one turn of the preload ring or knob squeezes the spring. With it, turns are told."),
    )
    fitted_rate_n_per_mm = SpringRateField(
        "fitted_rate_n_per_mm",
        _l("Rate of the fitted spring"),
        hint=_l("It stays where preload alone is enough. Default: none."),
    )
    rebound_clicks = QuantityField(
        "rebound_clicks",
        _l("Total rebound clicks"),
        hint=_l(
            "Turn the rebound adjuster gently until it is fully closed. Then count the clicks until it "
            "is fully open. Default: 16 clicks, our estimate."
        ),
    )
    max_pressure_psi = QuantityField(
        "max_pressure_psi",
        _l("Maximum pressure"),
        hint=_l("Printed on the fork or shock or in its manual. Default: a cautious value, our estimate."),
    )
    sag_target_percent = QuantityField(
        "sag_target_percent",
        _l("Your target sag"),
        hint=_l("In percent of the travel or stroke. Default: depends on the riding style."),
    )
    compression_clicks = QuantityField(
        "compression_clicks",
        _l("Total compression clicks"),
        hint=_l("Counted like rebound. Default: no compression setting is given."),
    )
    volume_spacers = QuantityField(
        "volume_spacers",
        _l("Volume spacers fitted"),
        hint=_l("Pieces in the air chamber that make the end of the travel firmer. Default: none."),
    )
    min_pressure_psi = QuantityField(
        "min_pressure_psi",
        _l("Minimum pressure"),
        hint=_l("From the manual. Default: a cautious value, our estimate."),
    )
    negative_spring = ChoiceField(
        (
            ("air", _l("Air"), _l("Filled through the same valve and a small port. Used in most air springs.")),
            ("coil", _l("Coil"), _l("A small steel spring. Used in some older or simpler models.")),
        ),
        _l("Negative spring"),
        hint=_l("It acts against the main spring near full extension. If you do not know, choose air."),
        default="air",
    )
    negative_size = ChoiceField(
        (
            ("large", _l("Yes"), _l("It sinks easily into the first third, then holds.")),
            ("small", _l("No"), _l("It is firm from the start.")),
            ("", _l("I don't know"), ""),
        ),
        _l("Does it sit deep in its first third (large negative chamber)?"),
        hint=_l("Only for an air negative spring. The answer narrows the range of the start pressure."),
        default="",
    )
    bore_mm = QuantityField("bore_mm", _l("Bore of the air chamber"), hint=_l("Inside diameter."))
    rod_mm = QuantityField("rod_mm", _l("Rod diameter"), hint=_l("The rod through the negative chamber."))
    positive_volume_cm3 = QuantityField(
        "positive_volume_cm3",
        _l("Positive chamber volume"),
        hint=_l("Fully extended, without volume spacers. Enter the bore as well."),
    )
    negative_volume_cm3 = QuantityField(
        "negative_volume_cm3", _l("Negative chamber volume"), hint=_l("Fully extended.")
    )
    port_position_mm = QuantityField(
        "port_position_mm",
        _l("Equalising port"),
        hint=_l("How far the spring is compressed when the port connects the two chambers."),
    )
    negative_rate_n_per_mm = QuantityField(
        "negative_rate_n_per_mm", _l("Rate of the negative coil"), hint=_l("Only for a coil negative spring.")
    )
    negative_length_mm = QuantityField(
        "negative_length_mm",
        _l("Working length of the negative coil"),
        hint=_l("How far the spring is compressed when the coil no longer pushes."),
    )
    volume_spacer_cm3 = QuantityField(
        "volume_spacer_cm3", _l("Volume of one spacer"), hint=_l("Air volume that one spacer replaces.")
    )
    air_lubricant_cm3 = QuantityField(
        "air_lubricant_cm3",
        _l("Oil or grease in the air chamber"),
        hint=_l("On the side of the main piston: it takes room from the air. Default: none."),
    )

    spring_test = FormField(SpringTestForm, separator=".")


#: Names of fields that a page holds twice, so that a sentence about one has to say whose it is.
SHARED: Final = frozenset(dir(SpringEndForm)) | frozenset(dir(ConditionsForm)) | frozenset(dir(ShockTestForm))


class FrontForm(SpringEndForm):
    """A fork."""

    wanted = BooleanField(_l("Set up the fork"), default=True)
    travel_mm = QuantityField(
        "travel_mm",
        _l("Fork travel"),
        required=True,
        hint=_l("How far the fork can compress as it is now. Often printed on the fork."),
    )
    stanchion_mm = QuantityField(
        "stanchion_mm",
        _l("Stanchion diameter"),
        hint=_l(
            "Diameter of the smooth upper tubes, usually 30 to 40 mm. Read it on the fork or measure one "
            "tube. Default: our estimate from the travel, with a wider range."
        ),
    )
    head_angle_deg = QuantityField(
        "head_angle_deg",
        _l("Head angle"),
        hint=_l("From the bike's geometry table. Default: 66°."),
    )
    longest_travel_mm = QuantityField(
        "longest_travel_mm",
        _l("Maximum travel, no spacers"),
        hint=_l("Only if the fork was shortened with travel spacers. Default: the travel above."),
    )


class RearForm(SpringEndForm):
    """A shock behind a linkage. `wheel_travel_mm` stands in for a leverage that is not known."""

    wanted = BooleanField(_l("Set up the shock"), default=False)
    stroke_mm = QuantityField(
        "stroke_mm",
        _l("Shock stroke"),
        required=True,
        takes_size=True,
        hint=_l(
            "How far the shock can compress: the second number of its size (eye-to-eye × stroke). You can type the "
            "size, such as 210 × 55."
        ),
    )
    spring_test = FormField(ShockTestForm, separator=".")
    wheel_travel_mm = QuantityField(
        "wheel_travel_mm",
        _l("Rear wheel travel"),
        hint=_l(
            "From the bike's data sheet. Needed unless you know the leverage ratio. It is then wheel travel divided by "
            "stroke, with a progression of 15 % (our estimate)."
        ),
    )
    leverage_start = QuantityField(
        "leverage_start",
        _l("Leverage ratio at the start"),
        hint=_l("Wheel travel per shock stroke at full extension. If you enter start and end, they are used."),
    )
    leverage_end = QuantityField(
        "leverage_end", _l("Leverage ratio at the end"), hint=_l("The same at full compression.")
    )


class EndField(FormField):  # type: ignore[misc]
    """A spring end inside the form, validated only when its box is ticked."""

    def validate(self, form: Any, extra_validators: Any = ()) -> bool:
        """Validate the end's fields when it is wanted; an unticked end is not asked for anything."""
        return bool(super().validate(form, extra_validators)) if self.form.wanted.data else True
