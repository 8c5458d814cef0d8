"""The form of a travel change: wanted travel, limits of fork and frame, and the spacers on hand."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from typing import Any

from wtforms import Form, FormField, HiddenField

from setup_rules.advice.travel_plan import TravelWish
from webapp.ground.fields.page_form import PageForm, given
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.whole_numbers import read_whole_number


class SpacerForm(Form):  # type: ignore[misc]
    """One size of travel spacers and how many there are of it."""

    size_mm = QuantityField("spacer_size_mm", _l("Size"))
    count = QuantityField("spacer_count", _l("Quantity"))


class SpacerRows(PageForm):
    """Rows of spacers: the part that the planner and the service record share."""

    spacer1 = FormField(SpacerForm, separator=".")
    spacer2 = FormField(SpacerForm, separator=".")
    spacer3 = FormField(SpacerForm, separator=".")
    spacer4 = FormField(SpacerForm, separator=".")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for number, row in enumerate(self.rows(), 1):
            for field in row:
                field.whose = _("row %(n)d", n=number)

    def rows(self) -> Iterator[Form]:
        """Yield the rows of spacers."""
        for field in (self.spacer1, self.spacer2, self.spacer3, self.spacer4):
            yield field.form

    def show_spacers(self, spacers: tuple[tuple[float, int], ...]) -> None:
        """Fill the rows."""
        for row, (size, count) in zip(self.rows(), spacers, strict=False):
            row.size_mm.text, row.count.text = f"{size:g}", str(count)

    def spacers(self) -> tuple[tuple[float, int], ...]:
        """Return (size [mm], count) pairs, equal sizes added up; a row with only one of the two is refused."""
        found: dict[float, int] = {}
        for row in self.rows():
            size, count = row.size_mm.data, row.count.data
            if size is not None and count is not None:
                found[size] = found.get(size, 0) + count
            elif size is not None and not row.count.errors:
                row.count.errors = [_("%(label)s: enter the quantity.", label=row.count.subject)]
            elif count is not None and not row.size_mm.errors:
                row.size_mm.errors = [_("%(label)s: enter the size, or clear the row.", label=row.size_mm.subject)]
        return tuple(sorted(found.items(), reverse=True))


class TravelForm(SpacerRows):
    """The planner. `base` is the revision that the page was made from, `planned` stands for what was planned on it."""

    base = HiddenField()
    planned = HiddenField()
    travel_mm = QuantityField("travel_mm", _l("Wanted travel"), required=True, hint=_l("Travel after the change."))
    longest_travel_mm = QuantityField(
        "longest_travel_mm",
        _l("Maximum travel, no spacers"),
        required=True,
        hint=_l("The travel with no travel spacers fitted. See the fork's manual."),
    )
    unit_limit_mm = QuantityField(
        "allowed_travel_mm",
        _l("Maximum travel allowed by the fork's manual"),
        hint=_l("For this model and its wheel size. Default: not checked."),
    )
    frame_limit_mm = QuantityField(
        "allowed_travel_mm",
        _l("Maximum travel allowed by the frame manufacturer"),
        hint=_l("A longer fork can break the frame. Default: not checked."),
    )
    head_angle_deg = QuantityField("head_angle_deg", _l("Head angle now"))
    wheelbase_mm = QuantityField("wheelbase_mm", _l("Wheelbase"), hint=_l("Default: 1200 mm."))
    chainstay_mm = QuantityField(
        "chainstay_mm",
        _l("Chainstay"),
        hint=_l("Horizontal distance from the rear axle to the bottom bracket. Default: 435 mm."),
    )
    bottom_bracket_drop_mm = QuantityField(
        "bottom_bracket_drop_mm", _l("Bottom bracket drop"), hint=_l("How far it is below the axles. Default: 25 mm.")
    )

    def read(self) -> TravelWish | None:
        """Return what is wanted, or None after putting every problem beside its field."""
        valid = self.validate()
        spacers = self.spacers()
        if not valid or self.problems():
            return None
        return TravelWish(
            travel_mm=given(self.travel_mm),
            longest_travel_mm=given(self.longest_travel_mm),
            spacers=spacers,
            unit_limit_mm=self.unit_limit_mm.data,
            frame_limit_mm=self.frame_limit_mm.data,
            head_angle_deg=self.head_angle_deg.data,
            wheelbase_mm=self.wheelbase_mm.data,
            chainstay_mm=self.chainstay_mm.data,
            bottom_bracket_drop_mm=self.bottom_bracket_drop_mm.data,
        )

    def mark_planned(self, wish: TravelWish) -> None:
        """Remember what the page shows, so that nothing else is saved from it."""
        self.planned.data = _digest(wish)

    def is_planned(self, wish: TravelWish) -> bool:
        """Return whether `wish` is what the page showed: an input may have changed since."""
        return bool(self.planned.data == _digest(wish))

    def base_revision(self) -> int:
        """Return the revision that the page was made from; one that cannot be read is one that no setup has."""
        return read_whole_number(self.base.data) or 0


def _digest(wish: TravelWish) -> str:
    return hashlib.sha256(repr(wish).encode()).hexdigest()[:16]
