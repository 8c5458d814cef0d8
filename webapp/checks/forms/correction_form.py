"""What every form on a saved setup shares: the revision it shows, a key against double submission, its errors."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Iterator
from typing import Any, Final

from flask_wtf import FlaskForm
from wtforms import FormField, HiddenField
from wtforms.fields import Field, FieldList

from setup_rules import Setup
from setup_rules.types.errors import Problem
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.submission_key import new_key
from webapp.ground.text.i18n import gettext as _

_REVISION: Final = re.compile(r"[1-9][0-9]{0,8}")


class CorrectionForm(FlaskForm):  # type: ignore[misc]
    """A form on a saved setup. It checks its own token, so that an old page loses nothing that was typed."""

    idempotency_key = HiddenField(default=new_key)
    base_revision = HiddenField()

    def __init__(self, revision: int, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        if not self.is_submitted():
            self.base_revision.data = str(revision)
        for field in self.inputs():
            if isinstance(field, QuantityField):
                # One unit on the label, without the setup form's choice of units; a typed unit counts all the same.
                field.unit_symbols = field.unit_symbols[:1]

    @property
    def base(self) -> int | None:
        """The revision that the page was drawn from, None where the page does not say."""
        text = str(self.base_revision.data or "")
        return int(text) if _REVISION.fullmatch(text) else None

    def build_on(self, revision: int, setup: Setup) -> None:  # noqa: ARG002 for forms that show the setup
        """Let the next sending of this page be saved on top of `revision`, which holds `setup`."""
        self.base_revision.data = str(revision)

    def inputs(self) -> Iterator[Field]:
        """Yield every single input in the order of the page."""
        for field in self:
            if isinstance(field, FormField):
                yield from field.form
            elif isinstance(field, FieldList):
                yield from field
            else:
                yield field

    def refuse_all(self, problems: Iterable[Problem]) -> None:
        """Put each problem beside the field that it is about."""
        for problem in problems:
            self.refuse(problem.field, problem.message)

    def refuse(self, path: str, message: str) -> None:
        """Put `message` beside the field `path`, unless it has one already; above the form where there is none."""
        field = next((one for one in (*self, *self.inputs()) if one.name == path), None)
        if field is None or isinstance(field, HiddenField):
            self.form_errors.append(_(message))
        elif not _faults(field):
            field.errors = [_(message)]

    def problems(self) -> list[tuple[str, str]]:
        """Return (id of the field or "", sentence) for everything that is wrong, in the order of the page."""
        found = [("", str(message)) for message in self.form_errors]
        for field in self:
            found += _own_problems(field)
        return found

    def submission_key(self, content: Any) -> str:
        """Return a key that the same page sent twice repeats, and that a changed entry changes."""
        text = json.dumps([content, str(self.idempotency_key.data)], sort_keys=True, default=str)
        return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def _faults(field: Field) -> list[str]:
    """Return what is wrong with a field itself, not with what it holds."""
    return [str(error) for error in field.errors if isinstance(error, str)] if field.errors else []


def _own_problems(field: Field) -> list[tuple[str, str]]:
    if field.name == "csrf_token":
        if not field.errors:
            return []
        return [("", _("This page was open for too long. Your entries are kept. Press the button again."))]
    if isinstance(field, FormField):
        return [problem for inner in field.form for problem in _own_problems(inner)]
    found = [(field.id, _faults(field)[0])] if _faults(field) else []
    if isinstance(field, FieldList):
        found += [problem for inner in field for problem in _own_problems(inner)]
    return found
