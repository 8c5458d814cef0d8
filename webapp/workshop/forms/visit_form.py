"""The next visit of a bike that the shop knows: which end, and which service."""

from __future__ import annotations

from collections.abc import Sequence

from setup_rules.types.request import EndName
from webapp.ground.fields.page_form import PageForm
from webapp.ground.fields.text_and_choice import ChoiceField, TextField
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.workshop.forms.record_forms import KIND_CHOICES


class VisitForm(PageForm):
    """Which end of the bike, which service, and the ticket. Everything else is known."""

    part = ChoiceField(
        (
            ("front", _l("Fork"), _l("front")),
            ("rear", _l("Shock"), _l("rear")),
            ("both", _l("Both"), _l("one visit, two parts")),
        ),
        _l("Fork or shock"),
        default="front",
    )
    service_kind = ChoiceField(KIND_CHOICES, _l("Service"), default="list")
    customer_reference = TextField(
        BIKE_LABEL_LENGTH, _l("Customer reference"), hint=_l("Ticket number. Do not enter names.")
    )

    def read(self) -> tuple[EndName, ...] | None:
        """Return the ends, or None after putting every problem beside its field."""
        valid = self.validate()
        if self.part.data == "rear" and self.service_kind.data == "lower_legs":
            self.refuse("service_kind", _("A shock has no lower legs. Choose another service."))
        if not valid or self.problems():
            return None
        ends: dict[str, tuple[EndName, ...]] = {"front": ("front",), "rear": ("rear",), "both": ("front", "rear")}
        return ends[self.part.data]

    def offer(self, ends: Sequence[str]) -> None:
        """Choose the only end that a bike has."""
        if "front" not in ends and self.part.data == "front" and not self.is_submitted():
            self.part.data = "rear"
