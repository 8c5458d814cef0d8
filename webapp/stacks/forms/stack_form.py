"""The form that orders a stack: a table or a list of codes, pasted or from a file, and the size."""

from __future__ import annotations

from typing import Any

from flask import request
from wtforms import Field

from webapp.cards.rendering.sizes import CARD_SIZES, SHEET_SIZES
from webapp.ground.fields.page_form import SaveOnceForm
from webapp.ground.fields.text_and_choice import ChoiceField
from webapp.ground.fields.uploaded_text import FILE_LIMIT, FileTextError, file_text
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.i18n import ngettext
from webapp.setups.forms.setup_form import FindSuspensionUnit
from webapp.stacks.forms.codes import FindCode, read_codes
from webapp.stacks.forms.table import RowProblem, TableError, read_table
from webapp.stacks.stack import NewCard

#: The sizes that a stack is printed in, the most asked for first.
SIZES = ("a4-4", "a4-8", "letter-2", "letter-8", "a6", "62x100", "4x6")


class LongTextField(Field):  # type: ignore[misc]
    """Lines of text as they were typed or pasted."""

    text = ""

    def __init__(self, label: Any, *, hint: Any = "", **kwargs: Any) -> None:
        super().__init__(label, **kwargs)
        self.hint = hint

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Keep what was typed."""
        self.text = self.data = str(valuelist[0]) if valuelist else ""


class StackForm(SaveOnceForm):
    """A stack of cards that is asked for."""

    size = ChoiceField(
        tuple((name, (SHEET_SIZES.get(name) or CARD_SIZES[name]).label, "") for name in SIZES),
        _l("Paper"),
        default=SIZES[0],
    )
    table = LongTextField(_l("Table"), hint=_l("Copy it from a table program with its headings, and paste it here."))
    codes = LongTextField(
        _l("Short codes or card links"), hint=_l("One on each line, or with commas between. Each becomes a card.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.row_problems: tuple[RowProblem, ...] = ()

    def read_table(self, find_unit: FindSuspensionUnit) -> list[NewCard] | None:
        """Return the cards of the table, or None with `row_problems`; a chosen file is shown in the table's place."""
        valid = self.validate()
        upload = request.files.get("file")
        try:
            if upload is not None and upload.filename:
                self.table.text = file_text(upload.stream.read(FILE_LIMIT + 1))
            cards = read_table(self.table.text, find_unit)
        except FileTextError as error:
            self.refuse("table", str(error))
            return None
        except TableError as error:
            self._take(error, "table")
            return None
        return cards if valid else None

    def read_codes(self, find: FindCode) -> list[NewCard] | None:
        """Return the cards of the codes, or None with `row_problems`."""
        valid = self.validate()
        try:
            cards = read_codes(self.codes.text, find)
        except TableError as error:
            self._take(error, "codes")
            return None
        return cards if valid else None

    def page_key(self, cards: list[NewCard]) -> str:
        """Return a key that the same page sent twice repeats."""
        return self.submission_key([self.size.data, [[card.label, card.document, card.code] for card in cards]])

    def _take(self, error: TableError, field: str) -> None:
        self.row_problems = error.problems
        self.refuse(
            field,
            ngettext(
                "%(num)d problem. Nothing was saved. Fix it and send the page again.",
                "%(num)d problems. Nothing was saved. Fix them and send the page again.",
                len(error.problems),
            ),
        )
