"""The one base form: a problem beside its field and in the list on top, its own token, values shown again."""

from __future__ import annotations

import functools
import hashlib
import json
from collections.abc import Iterable, Iterator
from typing import Any

from babel.support import Translations
from flask_wtf import FlaskForm
from wtforms import FormField, HiddenField
from wtforms.fields import Field, FieldList
from wtforms.i18n import messages_path

from setup_rules import Problem
from setup_rules.types.units import unit
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.submission_key import new_key
from webapp.ground.security import lost_cookie_advice
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import locale
from webapp.ground.text.own_unit_sentences import say_in_own_units


def given(field: QuantityField) -> float:
    """Return the number in a field that the form has found to be filled."""
    if field.data is None:
        raise ValueError(f"the field {field.name} is empty")
    return float(field.data)


@functools.cache
def _catalogue(locale_name: str) -> Any:
    return Translations.load(messages_path(), [locale_name], domain="wtforms")


class PageForm(FlaskForm):  # type: ignore[misc]
    """A form that loses nothing: it checks its own token, and a page open for too long is shown again as it was sent.

    Each field shows the one unit that a bare number has; a typed unit counts all the same.
    """

    class Meta:
        """WTForms' own sentences are read once a language: Flask-WTF reads their file again at every request."""

        def get_translations(self, _form: Any) -> Any:
            """Return the catalogue of the reader's language."""
            return _catalogue(locale())

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.inputs():
            if isinstance(field, QuantityField):
                self.offer_units(field)

    def offer_units(self, field: QuantityField) -> None:
        """Show the unit of a number typed into `field` without one."""
        if field.unit_key:
            field.unit_symbols = [(field.unit_key, unit(field.kind, field.unit_key).symbol)]

    def inputs(self) -> Iterator[Field]:
        """Yield every single input, those of parts and rows too, in the order of the page."""
        for field in self:
            yield from _inputs_of(field)

    @property
    def asks_unit(self) -> bool:
        """Whether a field asks which unit is meant, with a button for each answer."""
        return any(getattr(field, "unit_answers", ()) or getattr(field, "answers", ()) for field in self.inputs())

    def show(self, values: dict[str, Any]) -> None:
        """Put values into the fields of those names, as a person would have typed them; None leaves a field empty."""
        for name, value in values.items():
            field = self[name]
            if value is None:
                continue
            if hasattr(field, "text") and not hasattr(field, "choices"):
                field.text = f"{value:g}" if isinstance(value, float) else str(value)
            else:
                field.data = value

    def find_field(self, path: str) -> Field | None:
        """Return the field that people see under the dotted name `path`, None where there is none."""
        lists = (field for field in _fields_of(self) if isinstance(field, FieldList))
        names = (path, f"{self._prefix}{path}")  # on a sheet of several forms each has a prefix of its own
        found = next((field for field in (*lists, *self.inputs()) if field.name in names), None)
        return None if isinstance(found, HiddenField) else found

    def refuse(self, path: str, message: str) -> None:
        """Put `message` beside the field `path`, unless it has one already; above the form where there is none."""
        field = self.find_field(path)
        if field is None:
            self.form_errors.append(message)
        elif not _own_errors(field):
            field.errors = [message]

    def refuse_all(self, problems: Iterable[Problem]) -> None:
        """Put every problem that the rules named beside its field."""
        for problem in problems:
            self.refuse(problem.field, say_in_own_units(problem.said))
            if problem.question and (field := self.find_field(problem.field)) is not None:
                field.questioned = True

    def problems(self) -> list[tuple[str, str]]:
        """Return (id of the field or "", sentence) for everything that is wrong, in the order of the page."""
        found = [("", str(message)) for message in self.form_errors]
        for field in self:
            found += _field_problems(field)
        return found


class TokenlessForm(PageForm):
    """A form that changes nothing, so that it needs no token and works from a cold start."""

    class Meta:
        """No token: nothing is saved."""

        csrf = False


class SaveOnceForm(PageForm):
    """A form whose page, sent twice, is saved once."""

    idempotency_key = HiddenField(default=new_key)

    def submission_key(self, content: Any) -> str:
        """Return a key that the same page sent twice repeats, and that a changed entry changes."""
        text = json.dumps([content, str(self.idempotency_key.data)], sort_keys=True, default=str)
        return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32]


class ConfirmForm(PageForm):
    """A button alone: only its token is checked."""


def _fields_of(form: Any) -> Iterator[Field]:
    """Yield the fields of a form and of its parts, lists as one."""
    for field in form:
        if isinstance(field, FormField):
            yield from _fields_of(field.form)
        else:
            yield field


def _inputs_of(field: Field) -> Iterator[Field]:
    if isinstance(field, FormField):
        for inner in field.form:
            yield from _inputs_of(inner)
    elif isinstance(field, FieldList):
        yield from field
    else:
        yield field


def _own_errors(field: Field) -> list[str]:
    """Return what is wrong with a field itself, not with the inputs that a list of fields holds."""
    if isinstance(field, FieldList):
        return [error for error in field.errors if isinstance(error, str)]
    return [str(error) for error in field.errors or ()]


def _field_problems(field: Field) -> list[tuple[str, str]]:
    if isinstance(field, FormField):
        return [problem for inner in field.form for problem in _field_problems(inner)]
    errors = _own_errors(field)
    if errors and field.name == "csrf_token":
        stale = _("This page was open for too long. Your entries are kept. Press the button again.")
        return [("", lost_cookie_advice() or stale)]
    found = [(field.id, errors[0])] if errors else []
    if isinstance(field, FieldList):
        found += [problem for inner in field for problem in _field_problems(inner)]
    return found
