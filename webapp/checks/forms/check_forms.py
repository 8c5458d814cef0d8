"""The forms on a saved setup for what was measured and felt: sag check, bounce check, after the ride."""

from __future__ import annotations

from typing import Final

from wtforms.fields import HiddenField

from setup_rules import EndSetup, Setup
from setup_rules.types.request import EndName
from setup_rules.types.result import BounceCheck, RideReport, SagCheck
from setup_rules.types.units import from_base, to_base
from webapp.checks.forms.correction_form import CorrectionForm
from webapp.checks.forms.measured_fields import (
    CLICKS,
    FRAME_RATE,
    FRAMES,
    HITS,
    LENGTH,
    PRESSURE,
    BoundedField,
    LengthOrShareField,
    ReadingsField,
)
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.several_choices import SeveralChoicesField
from webapp.ground.fields.text_and_choice import ChoiceField
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l

#: Rows of readings on the page: settled any way, and with friction pushing either way.
MOST_READINGS: Final = 6
MOST_SIDED: Final = 3
#: What the bounce check offers when nothing of the list fits: numbers instead.
MEASURED: Final = "measured"

SEEN: Final = (
    ("creeps_back", _l("Creeps back"), _l("It comes up slowly, you can watch it. Rebound is far too slow.")),
    ("straight_back", _l("Straight back"), _l("It comes up briskly and stops at standing height, without going over.")),
    ("one_swing", _l("One small swing"), _l("It rises a little beyond standing height once, then settles.")),
    ("several_swings", _l("Several swings"), _l("It goes up and down two times or more. Rebound is too quick.")),
    (MEASURED, _l("I measured or filmed it"), _l("Then fill in one of the two parts below.")),
)

FELT: Final = (
    ("hits_the_end", _l("Hits the end"), _l("A hard stop at the end of the travel, heard or felt, more than once.")),
    ("kicks_back", _l("Kicks back"), _l("It throws you up after a take-off or a big hit: it returns too fast.")),
    ("packs_down", _l("Packs down"), _l("Over repeated hits it stays deeper and deeper and turns hard.")),
    ("dives", _l("Dives"), _l("It drops away under braking or when you push into it.")),
    ("wallows", _l("Wallows"), _l("In corners and when pedalling it sinks about, with nothing to push against.")),
    ("harsh_small_hits", _l("Harsh on small hits"), _l("Roots and gravel come straight through to hands or feet.")),
    ("travel_left_over", _l("Travel left over"), _l("Even on the hardest stretch the O-ring stays far from the end.")),
    ("feels_right", _l("Feels right"), _l("Nothing to change. Tick this one alone.")),
)


class EndForm(CorrectionForm):
    """A form about one spring end of a setup, the one that the page was opened for."""

    end = HiddenField()

    def __init__(self, setup: Setup, end: EndName, revision: int) -> None:
        super().__init__(revision)
        self.name = end
        self.end.data = end
        answered = setup.front if end == "front" else setup.rear
        if answered is None:
            raise ValueError(f"The setup has no {end} end.")
        self.answered: EndSetup = answered
        for field in self.inputs():
            if isinstance(field, LengthOrShareField):
                field.travel_mm = answered.travel_mm
        if not self.is_submitted():
            self.fill_in()

    def fill_in(self) -> None:
        """Put what is known into the empty form."""


def chosen_end(setup: Setup, text: str | None) -> EndName:
    """Return the end that a page's address names, or the first that the setup has."""
    names: list[EndName] = [end.end for end in setup.ends()]
    return next((name for name in names if name == text), names[0])


class SagCheckForm(EndForm):
    """One to six sag readings at the pressure as set now."""

    readings_mm = ReadingsField(_l("Reading"), MOST_READINGS)
    pressure_psi = BoundedField(
        PRESSURE,
        _l("Pressure as set now"),
        required=True,
        hint=_l("As the pump read it when you set it, before you measured. A typed unit counts: 84 psi or 5.8 bar."),
    )
    readings_from_above_mm = ReadingsField(_l("From above"), MOST_SIDED)
    readings_from_below_mm = ReadingsField(_l("From below"), MOST_SIDED)
    temperature_c = QuantityField("temperature_c", _l("Air temperature"))
    altitude_m = QuantityField("altitude_m", _l("Altitude"))

    def __init__(self, setup: Setup, end: EndName, revision: int) -> None:
        super().__init__(setup, end, revision)
        bench = setup.request.bench
        self.temperature_c.hint = _("Left empty: %(celsius)s °C, as saved.", celsius=f"{bench.temperature_c:g}")
        self.altitude_m.hint = _("Left empty: %(metres)s m, as saved.", metres=f"{bench.altitude_m:g}")
        for group in (self.readings_mm, self.readings_from_above_mm, self.readings_from_below_mm):
            for number, field in enumerate(group, 1):
                field.label.text = f"{field.label.text} {number}"

    def fill_in(self) -> None:
        """Offer the pressure that the setup asks for: it is the one that was most likely pumped."""
        psi = from_base("pressure", self.answered.pressure_pa, "psi")
        self.pressure_psi.text = f"{psi:.0f}" if psi >= 39.75 else f"{round(2 * psi) / 2:g}"

    def read(self) -> SagCheck | None:
        """Return the check, or None after putting what cannot be read beside its field."""
        if not self.validate():
            return None
        return SagCheck(
            end=self.name,
            pressure_pa=to_base("pressure", float(self.pressure_psi.data or 0.0), "psi"),
            readings_mm=_read_lengths(self.readings_mm),
            readings_from_above_mm=_read_lengths(self.readings_from_above_mm),
            readings_from_below_mm=_read_lengths(self.readings_from_below_mm),
            temperature_c=self.temperature_c.data,
            altitude_m=self.altitude_m.data,
        )


def _read_lengths(group: ReadingsField) -> tuple[float, ...]:
    return tuple(float(field.data) for field in group if field.data is not None)


def _read_whole(field: BoundedField) -> int | None:
    return None if field.data is None else int(field.data)


class BounceForm(EndForm):
    """What was seen after one firm dip, or its measures."""

    clicks_out = BoundedField(
        CLICKS,
        _l("Rebound as set now, clicks out"),
        required=True,
        hint=_l("Counted out from fully closed. If you are not sure: close it gently, counting, and open it again."),
    )
    seen = ChoiceField(SEEN, _l("What did you see?"), needed=_l("What did you see: choose one."))
    dip_mm = BoundedField(LENGTH, _l("Dip"), hint=_l("How far below standing height you pushed."))
    beyond_mm = BoundedField(LENGTH, _l("Swing beyond"), hint=_l("How far above standing height it rose at first."))
    frames = BoundedField(
        FRAMES, _l("Frames counted"), hint=_l("From the lowest point to the next highest point of the bike.")
    )
    frames_per_second = BoundedField(FRAME_RATE, _l("Frames a second"), hint=_l("Of the video, for example 240."))

    def __init__(self, setup: Setup, end: EndName, revision: int) -> None:
        super().__init__(setup, end, revision)
        if self.is_submitted() and not self.seen.data and self._has_numbers():
            self.seen.data = MEASURED

    def _has_numbers(self) -> bool:
        return any(field.text.strip() for field in (self.dip_mm, self.beyond_mm, self.frames, self.frames_per_second))

    def fill_in(self) -> None:
        """Offer the clicks that the setup asks for."""
        if self.answered.rebound is not None:
            self.clicks_out.text = str(self.answered.rebound.out)

    def read(self) -> BounceCheck | None:
        """Return the check, or None after putting what cannot be read beside its field."""
        if not self.validate():
            return None
        if self.seen.data == MEASURED and not self._has_numbers():
            self.refuse("seen", _("What did you see: choose one, or give the numbers of one part below."))
            return None
        return BounceCheck(
            end=self.name,
            clicks_out=_read_whole(self.clicks_out) or 0,
            seen=None if self.seen.data == MEASURED else self.seen.data,
            dip_mm=self.dip_mm.data,
            beyond_mm=self.beyond_mm.data,
            frames=_read_whole(self.frames),
            frames_per_second=self.frames_per_second.data,
        )


class RideForm(EndForm):
    """How it felt on the ride, and what the O-ring says."""

    felt = SeveralChoicesField(
        FELT, _l("How did it feel?"), hint=_l("Tick what you would want gone. One change follows.")
    )
    travel_used_mm = LengthOrShareField(
        _l("Travel used"),
        hint=_l("From the seal to where the O-ring ended, on the hardest stretch. In mm, or as a share: 85 %."),
    )
    hard_hits = BoundedField(HITS, _l("Hard hits"), hint=_l("How often the end of the travel was felt or heard."))

    def read(self) -> RideReport | None:
        """Return the report, or None after putting what cannot be read beside its field."""
        if not self.validate():
            return None
        return RideReport(
            end=self.name,
            felt=self.felt.data,
            travel_used_mm=self.travel_used_mm.data,
            hard_hits=_read_whole(self.hard_hits),
        )
