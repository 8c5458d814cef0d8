"""A shop's checklist as a form: one row a step, in the order that their numbers give, and room for new ones."""

from __future__ import annotations

import secrets
from collections.abc import Iterator, Sequence
from typing import Any, Final

from wtforms import Form

from setup_rules.workshop.checklist import KINDS, MOST_STEPS, Step, StepKind
from webapp.ground.fields.page_form import PageForm
from webapp.ground.fields.text_and_choice import TextField
from webapp.ground.text.free_text import BIKE_LABEL_LENGTH
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l

#: Empty rows at the end of the page.
NEW_ROWS: Final = 3
TITLE_LENGTH: Final = 80


class RowForm(Form):  # type: ignore[misc]
    """One step: where it stands, what it is called, what is entered for it, whether it is a matter of safety."""

    place = TextField(3, _l("Position"))
    title = TextField(TITLE_LENGTH, _l("Step"))
    kind = TextField(BIKE_LABEL_LENGTH, _l("Type"))


class ChecklistForm(PageForm):
    """The whole list. Which steps there are is said by the list that the page was drawn from."""

    def draw_from(self, steps: Sequence[Step], sent: Any | None) -> None:
        """Take the steps as they are stored, and over them what was sent."""
        self._stored = list(steps)
        blank = [Step(key="", kind="tick", title="") for _n in range(min(NEW_ROWS, MOST_STEPS - len(self._stored)))]
        self.row_steps = [*self._stored, *blank]
        self.row_forms = [RowForm(sent, prefix=f"row{n}.") for n in range(len(self.row_steps))]
        self.safety = [self._safety(n, step, sent) for n, step in enumerate(self.row_steps)]
        if sent is None:
            for number, (row, step) in enumerate(zip(self.row_forms, self.row_steps, strict=True), 1):
                row.place.text, row.title.text = str(number), step.title
                row.kind.data = row.kind.text = step.kind

    @staticmethod
    def _safety(number: int, step: Step, sent: Any | None) -> bool:
        if step.fixed:
            return True
        return step.safety if sent is None else f"row{number}.safety" in sent

    def rows(self) -> Iterator[tuple[int, Step, RowForm, bool]]:
        """Yield (number, stored step, its form, whether it is a matter of safety)."""
        yield from zip(range(len(self.row_steps)), self.row_steps, self.row_forms, self.safety, strict=True)

    def read(self) -> list[Step] | None:
        """Return the new checklist in its new order, or None after putting every problem beside its field."""
        valid = self.validate() and not [row for row in self.row_forms if not row.validate()]
        found: list[tuple[float, int, Step]] = []
        for number, stored, row, safety in self.rows():
            step = self._step(stored, row, safety)
            if step is not None:
                found.append((self._place(row, number), number, step))
        if not valid or self.row_problems() or self.problems():
            return None
        return [step for _place, _number, step in sorted(found, key=lambda one: one[:2])]

    def _step(self, stored: Step, row: RowForm, safety: bool) -> Step | None:
        title = row.title.data
        if not title and stored.fixed:
            row.title.errors = [_("Step: this safety step cannot be removed. Enter its title.")]
        if not title:
            return None
        chosen: StepKind = next((one for one in KINDS if one == row.kind.data), "tick")
        return Step(
            key=stored.key or secrets.token_hex(6),
            kind=stored.kind if stored.key else chosen,
            title=title,
            safety=safety,
            fixed=stored.fixed,
            after_travel_change=stored.after_travel_change,
        )

    @staticmethod
    def _place(row: RowForm, number: int) -> float:
        text = row.place.data
        if not text:
            return float(number + 1)
        if not (text.isascii() and text.isdigit()):
            row.place.errors = [_("Position: “%(text)s” is not a whole number. Write it like 3.", text=text)]
            return 0.0
        # Among equals the one that was moved stands where it was moved to: up before, down behind.
        wanted, now = float(text), float(number + 1)
        return wanted - 0.5 * (wanted < now) + 0.5 * (wanted > now)

    def row_problems(self) -> list[tuple[str, str]]:
        """Return (id of the field, sentence) for everything that is wrong in the rows."""
        return [(field.id, str(field.errors[0])) for row in self.row_forms for field in row if field.errors]
