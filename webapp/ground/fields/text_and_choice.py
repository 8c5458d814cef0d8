"""One line of plain text, and a choice drawn as radios: the two inputs that are not numbers."""

from __future__ import annotations

from typing import Any

from wtforms import Field
from wtforms.validators import ValidationError

from webapp.ground.text.free_text import text_problem
from webapp.ground.text.i18n import gettext as _


class TextField(Field):  # type: ignore[misc]
    """One line of text of at most `longest` characters; `data` is the text without spaces at its ends."""

    def __init__(self, longest: int, label: Any, *, hint: Any = "", **kwargs: Any) -> None:
        super().__init__(label, default="", **kwargs)
        self.longest = longest
        self.hint = hint
        self.text = ""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Keep what was typed."""
        self.text = str(valuelist[0]) if valuelist else ""
        self.data = self.text.strip()

    def pre_validate(self, form: Any) -> None:  # noqa: ARG002 WTForms hands it in
        """Check length and characters.

        Raises
        ------
        ValidationError
            When the text is too long or holds a line break or an invisible character.
        """
        problem = text_problem(self.data, self.longest)
        if problem:
            raise ValidationError(f"{self.label.text}: {problem}")


class ChoiceField(Field):  # type: ignore[misc]
    """One of `choices`, drawn as radios. `choices` holds (value, label, one line that describes it)."""

    def __init__(
        self,
        choices: tuple[tuple[str, Any, Any], ...],
        label: Any,
        *,
        hint: Any = "",
        needed: Any = "",
        **kwargs: Any,
    ) -> None:
        super().__init__(label, **kwargs)
        self.choices = choices
        self.hint = hint
        self.needed = needed

    @property
    def text(self) -> str:
        """What was chosen where it is not the default: whether a folded part has to be opened for it."""
        return "" if self.data == self.default else str(self.data or "")

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Take the chosen value; nothing chosen leaves the default, so that an old page still works."""
        if valuelist:
            self.data = str(valuelist[0])

    def pre_validate(self, form: Any) -> None:  # noqa: ARG002 WTForms hands it in
        """Check that the value is one of the choices.

        Raises
        ------
        ValidationError
            When nothing is chosen and nothing is the default, or when the value is not on offer.
        """
        if self.data not in {value for value, _label, _line in self.choices}:
            raise ValidationError(str(self.needed) or _("%(label)s: choose one.", label=self.label.text))
