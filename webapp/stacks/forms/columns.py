"""Which column of a table is which field of the setup's form: by the field's key, or by its label as people see it."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from typing import Any, Final

from wtforms.fields import Field

from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.text_and_choice import ChoiceField
from webapp.ground.text.i18n import gettext as _
from webapp.setups.forms.setup_form import SetupForm

#: What a table cannot say: how a page was sent, which units it has, and pushes, which belong to one bike each.
_NOT_ASKED: Final = re.compile(r"idempotency_key|csrf_token|units\..*|.*\.wanted|.*\.spring_test\..*")
_UNIT: Final = re.compile(r"(?P<name>.+?)\s*[(\[](?P<unit>[^()\[\]]{1,12})[)\]]")
_GAPS: Final = re.compile(r"[:\s_]+")
_BARE: Final = re.compile(r"[+\-−]?[0-9.,]+")


@dataclass(frozen=True, slots=True)
class Column:
    """A column: the form's field, what its heading said, and the unit in the heading for numbers without one."""

    field: str
    heading: str
    unit: str = ""

    def typed(self, cell: str, choices: dict[str, dict[str, str]]) -> str:
        """Return a cell as a person would have typed it into the form."""
        if self.unit and _BARE.fullmatch(cell):
            return f"{cell} {self.unit}"
        return choices.get(self.field, {}).get(_plain(cell), cell)


@dataclass(frozen=True, slots=True)
class Known:
    """Every name that a column may have, the fields behind them, and the choices of fields that have some."""

    names: dict[str, str]
    labels: dict[str, str]
    choices: dict[str, dict[str, str]]

    def column(self, heading: str) -> Column | str:
        """Return the column that a heading means, or what is wrong with it."""
        shown = " ".join(heading.split())
        name, unit = _plain(shown), ""
        if name not in self.names and (found := _UNIT.fullmatch(shown)):
            name, unit = _plain(found["name"]), found["unit"].strip()
        if name in self.names:
            return Column(self.names[name], shown[:60], unit)
        near = difflib.get_close_matches(name[:60], self.names, 1)
        hint = " " + _("Did you mean “%(near)s”?", near=near[0]) if near else ""
        return _("The column “%(name)s” is not known.", name=shown[:60]) + hint


def known_columns(form: SetupForm) -> Known:
    """Return the columns that a table may have, in the language of `form`."""
    names: dict[str, str] = {}
    labels: dict[str, str] = {}
    choices: dict[str, dict[str, str]] = {}
    shared: dict[str, list[str]] = {}
    for field in form.inputs():
        if _NOT_ASKED.fullmatch(field.name):
            continue
        names[_plain(field.name)] = field.name
        labels[field.name] = _label(field)
        shared.setdefault(_plain(str(field.label.text)), []).append(field.name)
        names.setdefault(_plain(labels[field.name]), field.name)
        if isinstance(field, ChoiceField):
            choices[field.name] = {_plain(str(label)): value for value, label, _line in field.choices}
    names.update((label, fields[0]) for label, fields in shared.items() if len(fields) == 1)
    return Known(names, labels, choices)


def _label(field: Any) -> str:
    """Return a field's label; whose it is comes first where two have the same one."""
    text = str(field.label.text)
    owner = _owner(field)
    return f"{owner}: {text}" if owner else text


def _owner(field: Field) -> str:
    part, dot, _rest = field.name.partition(".")
    if not dot:
        return ""
    if isinstance(field, QuantityField) and not field.whose:
        return ""
    return {"front": _("fork"), "rear": _("shock"), "bench": _("here"), "ride": _("there")}.get(part, "")


def _plain(text: str) -> str:
    return _GAPS.sub(" ", text.strip().strip("'").lower()).strip()
