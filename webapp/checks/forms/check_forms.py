"""The forms on a saved setup for what was seen and felt: bounce check, after the ride."""

from __future__ import annotations

from typing import Any, Final, NamedTuple

from wtforms.fields import HiddenField

from setup_rules import EndSetup, Setup
from setup_rules.advice.bounce_check import aimed_swing
from setup_rules.types.request import EndName
from setup_rules.types.result import BounceCheck, RideReport
from webapp.checks.forms.correction_form import CorrectionForm
from webapp.checks.forms.measured_fields import (
    CLICKS,
    HITS,
    LENGTH,
    BoundedField,
    LengthOrShareField,
)
from webapp.ground.fields.several_choices import SeveralChoicesField
from webapp.ground.fields.text_and_choice import ChoiceField
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l

#: What the bounce check offers when nothing of the list fits: numbers instead.
MEASURED: Final = "measured"

SEEN: Final = (
    (
        "less",
        _l("Less swing"),
        _l("It rises clearly less than the aim, stops at standing height or comes up slowly. Rebound is too slow."),
    ),
    ("about_right", _l("About right"), _l("It rises about as far as the aim, once, and settles.")),
    ("more", _l("More swing"), _l("It rises clearly further than the aim, or swings up again. Rebound is too fast.")),
    (MEASURED, _l("I measured it"), _l("Then fill in the section below.")),
)

#: The push [mm] for which the aim is named: what a rider on a trail bike makes without trouble (our estimate).
_NAMED_PUSH_MM: Final = 60

FELT: Final = (
    ("hits_the_end", _l("Bottoms out"), _l("You hear or feel a hard stop at the end of the travel more than once.")),
    ("kicks_back", _l("Bucks you"), _l("It throws you up after a jump or a big hit. It returns too fast.")),
    (
        "packs_down",
        _l("Gets stiffer over repeated bumps"),
        _l("It sits deeper in its travel after each hit and becomes hard."),
    ),
    ("dives", _l("Dives"), _l("It drops under braking or when you push into it.")),
    ("wallows", _l("Wallows"), _l("It sinks and moves in corners and when pedalling. Mid-stroke support is missing.")),
    ("harsh_small_hits", _l("Harsh over small bumps"), _l("You feel every root and stone in your hands or feet.")),
    (
        "travel_left_over",
        _l("Doesn't use full travel"),
        _l("The O-ring stays far from the end of the travel, even on the hardest section."),
    ),
    ("feels_right", _l("Feels right"), _l("Nothing to change. Do not tick anything else.")),
)

#: The stretches of a ride in the order in which they come, each with its question and what can be ticked there.
RIDE_PARTS: Final = (
    ("braking", _l("Braking"), _l("What does it do when you brake hard?"), ("dives",)),
    ("bumps", _l("Bumps"), _l("How does it take roots, gravel and braking bumps?"), ("harsh_small_hits", "packs_down")),
    ("corners", _l("Corners"), _l("Does it hold you up in a corner?"), ("wallows",)),
    ("landings", _l("Landings"), _l("What happens just after you land?"), ("kicks_back",)),
    ("big_hits", _l("Big hits"), _l("How much travel did the biggest hits use?"), ("hits_the_end", "travel_left_over")),
    ("all", _l("The whole ride"), _l("Nothing bothered you?"), ("feels_right",)),
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


def _say_aim(style: str) -> str:
    """Return how far the bike is to swing after a firm push for a riding style."""
    share = aimed_swing(style)
    return _(
        "The aim of your riding style: it rises above standing height once, by about %(percent)s %% of the push. "
        "Pushed down %(push)s mm, that is about %(rise)s mm.",
        percent=numbers.number(100 * share),
        push=numbers.number(_NAMED_PUSH_MM),
        rise=numbers.number(_NAMED_PUSH_MM * share),
    )


def _read_whole(field: BoundedField) -> int | None:
    return None if field.data is None else int(field.data)


class BounceForm(EndForm):
    """What was seen after one firm dip, or its measures."""

    clicks_out = BoundedField(
        CLICKS,
        _l("Current rebound, clicks out"),
        required=True,
        hint=_l(
            "Counted out from fully closed. If you are not sure, count the clicks while you close it gently. "
            "Then open it by the same number."
        ),
    )
    seen = ChoiceField(SEEN, _l("What did you see?"), needed=_l("What did you see: choose one."))
    dip_mm = BoundedField(LENGTH, _l("Push depth"), hint=_l("How far you pushed it below standing height."))
    beyond_mm = BoundedField(
        LENGTH,
        _l("First rise above standing height"),
        hint=_l("How far it rose above standing height on the first swing."),
    )

    def __init__(self, setup: Setup, end: EndName, revision: int) -> None:
        super().__init__(setup, end, revision)
        self.seen.hint = _say_aim(setup.request.riding_style)
        if self.is_submitted() and not self.seen.data and self._has_numbers():
            self.seen.data = MEASURED

    def _has_numbers(self) -> bool:
        return any(field.text.strip() for field in (self.dip_mm, self.beyond_mm))

    def fill_in(self) -> None:
        """Offer the clicks that the setup asks for."""
        if self.answered.rebound is not None:
            self.clicks_out.text = str(self.answered.rebound.out)

    def read(self) -> BounceCheck | None:
        """Return the check, or None after putting what cannot be read beside its field."""
        if not self.validate():
            return None
        if self.seen.data == MEASURED and not self._has_numbers():
            self.refuse("seen", _("What did you see: choose one, or enter both distances below."))
            return None
        return BounceCheck(
            end=self.name,
            clicks_out=_read_whole(self.clicks_out) or 0,
            seen=None if self.seen.data == MEASURED else self.seen.data,
            dip_mm=self.dip_mm.data,
            beyond_mm=self.beyond_mm.data,
        )


class RidePart(NamedTuple):
    """One stretch of a ride: its name, its question, and (value, label, line) of what can be ticked."""

    key: str
    heading: Any
    question: Any
    choices: tuple[tuple[str, Any, Any], ...]


class RideForm(EndForm):
    """How it felt on the ride, and what the O-ring says."""

    felt = SeveralChoicesField(FELT, _l("How was the ride?"), hint=_l("Tick what bothered you. We suggest one change."))
    travel_used_mm = LengthOrShareField(
        _l("Travel used"),
        hint=_l("From the seal to the O-ring after the hardest section. In mm, or as a percentage: 85 %."),
    )
    hard_hits = BoundedField(HITS, _l("Number of bottom-outs"), hint=_l("How often you felt or heard it bottom out."))

    def parts(self) -> tuple[RidePart, ...]:
        """Return the stretches of a ride with what can be ticked on each."""
        choices = {choice[0]: choice for choice in FELT}
        return tuple(
            RidePart(key, heading, question, tuple(choices[value] for value in values))
            for key, heading, question, values in RIDE_PARTS
        )

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
