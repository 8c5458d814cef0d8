"""The setup form on a saved setup, filled as it was entered: what is typed differently was a slip."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from wtforms import HiddenField

from setup_rules import SetupRequest, request_data
from webapp.checks.changed_keys import differing
from webapp.checks.forms.correction_form import CorrectionForm
from webapp.checks.weight_proof import OWNER_LINK_LENGTH, WeightProof
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.text_and_choice import TextField
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.setups.forms.setup_form import SetupForm
from webapp.setups.forms.show_request import show_request, shown_text, wheel_travel_of
from webapp.setups.revision import CardTexts, Revision

#: What only the rider, the owner and the shop that made the setup are shown.
HIDDEN: Final = ("rider_mass_kg", "kit_mass_kg", "front_axle_kg", "rear_axle_kg")
_SCALES: Final = ("front_axle_kg", "rear_axle_kg")
#: What a scale's reading of that day is held against.
_WEIGHED: Final = ("rider_mass_kg", "kit_mass_kg", "bike_mass_kg", "stance")
_ENDS: Final = ("front", "rear")


class EntriesForm(CorrectionForm, SetupForm):
    """Everything that a setup was computed from. `sees_weight`: whether who asks may see the weights in it.

    Where not, an empty weight stays as it was saved, and another one needs the proof that a what-if needs too.
    """

    rider_mass_now_kg = QuantityField(
        "rider_mass_kg",
        _l("Rider weight now"),
        hint=_l("Only to change rider or kit weight: the saved weight without kit, as only the rider knows it."),
    )
    owner_link = TextField(
        OWNER_LINK_LENGTH, _l("Owner's link"), hint=_l("Instead of the rider weight now, if you have it.")
    )

    #: The version that the page was drawn from. It stays where somebody else saves another one meanwhile.
    seen_revision = HiddenField()

    def __init__(self, seen: Revision, *, sees_weight: bool) -> None:
        super().__init__(seen.number)
        self.sees_weight = sees_weight
        self._saved, self._texts = seen.setup.request, seen.texts
        if not sees_weight:
            self._hide_weights()
        if not self.is_submitted():
            self.seen_revision.data = str(seen.number)
            show_request(self, self._saved, hidden=() if sees_weight else HIDDEN)
            self.bike_label.text, self.service_note.text = self._texts.bike_label, self._texts.service_note

    def _hide_weights(self) -> None:
        self.rider_mass_kg.required = False
        self.rider_mass_kg.hint = self.kit_mass_kg.hint = _l(
            "Default: as saved, and hidden, because anyone with the card can open this page."
        )

    def proof(self) -> WeightProof:
        """Return what was entered to show that the rider's weight may be changed."""
        return WeightProof(self.rider_mass_now_kg.data, self.owner_link.data)

    def changed_texts(self) -> CardTexts | None:
        """Return the texts for the card where they were corrected."""
        texts = self.read_texts()
        return None if texts == self._texts else texts

    def typed_weights(self) -> dict[str, Any]:
        """Return the weights that were typed though they are hidden: they need the proof even where none differs."""
        if self.sees_weight:
            return {}
        return {name: self[name].data for name in HIDDEN if self[name].data is not None}

    def changes_to(self, wanted: SetupRequest) -> dict[str, Any]:
        """Return what differs from the request that the page showed, as `what_if` takes it."""
        saved, new = request_data(self._saved), request_data(wanted)
        changes = differing(saved, new) | self.typed_weights()
        if self._weighs_again(changes):
            changes |= {name: new[name] for name in _SCALES if name in new}
        for key in ("weighed_kg", "weighed_stance"):
            changes.pop(key, None)
        return changes

    def _weighs_again(self, changes: Mapping[str, Any]) -> bool:
        """Return whether the day of the scale was another than entered: the kilograms stay, the share moves."""
        knows = self.sees_weight or bool(self.typed_weights())
        return knows and any(name in changes for name in _WEIGHED)

    def _check_leverage(self) -> None:
        rear = self._saved.rear
        typed = self.rear.form
        if (
            rear is not None
            and rear.leverage_table
            and not (typed.leverage_start.text or typed.leverage_end.text or typed.wheel_travel_mm.text)
        ):
            return
        super()._check_leverage()

    def _request_values(self) -> dict[str, Any]:
        typed, saved = super()._request_values(), request_data(self._saved)
        whole = _kept(saved, self) | self._as_saved(self, typed, saved)
        whole |= {name: saved[name] for name in HIDDEN if not self.sees_weight and name in saved and name not in typed}
        whole["bench"] = self._as_saved(self.bench.form, typed["bench"], saved["bench"])
        there = {name: value for name, value in typed["ride"].items() if self.ride.form[name].text.strip()}
        whole["ride"] = whole["bench"] | self._as_saved(self.ride.form, there, saved["ride"])
        for end in _ENDS:
            if end in typed and end in saved:
                part = self[end].form
                whole[end] = _kept(saved[end], part) | self._as_saved(part, typed[end], saved[end])
        if any(whole.get(name) != saved.get(name) for name in (*_WEIGHED, *_SCALES)) and self.sees_weight:
            for key in ("weighed_kg", "weighed_stance"):
                whole.pop(key, None)
        return whole

    def _as_saved(self, part: Any, typed: Mapping[str, Any], saved: Mapping[str, Any]) -> dict[str, Any]:
        """Return what was typed; a number that stands as it was shown is the saved one to its last digit."""
        found = dict(typed)
        for name, value in saved.items():
            field = part[name] if name in part else None  # noqa: SIM401 a form has no `get`
            if isinstance(field, QuantityField) and field.text and field.text == shown_text(field, value):
                found[name] = value
        if part is self.rear.form and self._saved.rear is not None and not part.leverage_start.text:
            travel = wheel_travel_of(self._saved.rear)
            if travel and part.wheel_travel_mm.text == shown_text(part.wheel_travel_mm, travel):
                found |= self._leverage_of_saved(found)
        return found

    def _leverage_of_saved(self, typed: Mapping[str, Any]) -> dict[str, Any]:
        rear = self._saved.rear
        if rear is None or typed.get("stroke_mm") != rear.stroke_mm:
            return {}
        return {"leverage_start": rear.leverage_start, "leverage_end": rear.leverage_end}


def _kept(saved: Mapping[str, Any], part: Any) -> dict[str, Any]:
    """Return what the form does not ask, and pushes that were measured where no others were typed."""
    held = {name: value for name, value in saved.items() if name not in part}
    return held | ({"spring_test": saved["spring_test"]} if "spring_test" in saved else {})
