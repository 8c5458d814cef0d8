"""Any of several choices, drawn as check boxes."""

from __future__ import annotations

from typing import Any

from wtforms import Field
from wtforms.validators import ValidationError

from webapp.ground.text.i18n import gettext as _


class SeveralChoicesField(Field):  # type: ignore[misc]
    """Any number of `choices`, each (value, label, one line that describes it); `data` holds the values."""

    def __init__(self, choices: tuple[tuple[str, Any, Any], ...], label: Any, *, hint: Any = "", **kwargs: Any) -> None:
        super().__init__(label, default=(), **kwargs)
        self.choices = choices
        self.hint = hint

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Take the ticked values, each once."""
        self.data = tuple(dict.fromkeys(str(value) for value in valuelist))

    def pre_validate(self, form: Any) -> None:  # noqa: ARG002 WTForms hands it in
        """Check that every value is on offer.

        Raises
        ------
        ValidationError
            When one is not.
        """
        if not set(self.data) <= {value for value, _label, _line in self.choices}:
            raise ValidationError(_("%(label)s Tick only what is listed.", label=self.label.text))
