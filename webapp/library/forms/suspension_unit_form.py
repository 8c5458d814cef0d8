"""One entry of the library as a form: every field may stay empty, the rules' own reader judges what is typed."""

from __future__ import annotations

import re
from typing import Any, Final

from wtforms import Field, Form, FormField
from wtforms.validators import ValidationError

from setup_rules import RequestError
from webapp.ground.fields.page_form import PageForm
from webapp.ground.fields.plain_number import plain_number, plain_numbers
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.spring_test import SpringTestForm, field_of_list
from webapp.ground.fields.text_and_choice import ChoiceField, TextField
from webapp.ground.text.free_text import exact_number
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.sentences import say
from webapp.library.bench_test import TESTED_BY_LONGEST
from webapp.library.parsing import read_suspension_unit
from webapp.library.service_lines import join_lines, split_lines
from webapp.library.suspension_unit import (
    NAME_LONGEST,
    NOTE_LONGEST,
    SERVICE_LISTS,
    SHARED_NUMBERS,
    SHARED_WORDS,
    SuspensionUnit,
    SuspensionUnitChart,
)

_TEXT_LIMIT: Final = 4_000
_LIST_LIMIT: Final = 120
#: Charts that an empty form shows room for; one more than are filled is always shown.
_CHARTS_SHOWN: Final = 3
_APART: Final = re.compile(r"[\t;]|\s{1,}|(?<=\d),\s+")

NUMBERS: Final = ("stanchion_mm", *SHARED_NUMBERS)


class RowsField(Field):  # type: ignore[misc]
    """Rows of two numbers, typed or pasted: weight in kg and pressure in psi, one pair a line."""

    def __init__(self, label: Any, *, hint: Any = "", **kwargs: Any) -> None:
        super().__init__(label, default=(), **kwargs)
        self.hint = hint
        self.text = ""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Keep what was typed."""
        self.text = str(valuelist[0])[: _TEXT_LIMIT + 1] if valuelist else ""

    def pre_validate(self, form: Any) -> None:  # noqa: ARG002 WTForms hands it in
        """Read the rows into `data`.

        Raises
        ------
        ValidationError
            Naming the first row that is not two numbers.
        """
        if len(self.text) > _TEXT_LIMIT:
            raise ValidationError(_("The chart is too long. Paste only its rows of weight and pressure."))
        lines = [line.strip() for line in self.text.splitlines() if line.strip()]
        if lines and not re.search(r"\d", lines[0]):
            del lines[0]  # the headings of a pasted table
        rows = []
        for number, line in enumerate(lines, 1):
            try:
                rows.append([plain_number(cell) for cell in _two_cells(line)])
            except ValueError as error:
                hint = _("Enter weight in kg and pressure in psi, such as 80 86.")
                raise ValidationError(_("Row %(n)d: %(why)s %(hint)s", n=number, why=error, hint=hint)) from error
        self.data = rows


def _two_cells(line: str) -> list[str]:
    """Return the two numbers of a row as text (raises `ValueError`); a single comma must part them, not decimals."""
    cells = [cell for cell in _APART.split(line) if cell]
    if len(cells) == 1:
        cells = cells[0].split(",")
    if len(cells) != 2:
        raise ValueError(_("“%(line)s” is not two numbers.", line=line[:40]))
    return cells


class ChartForm(Form):  # type: ignore[misc]
    """The weight-pressure table of the manual for one travel."""

    travel_mm = TextField(20, _l("Travel or stroke, mm"))
    weight = ChoiceField(
        (
            ("rider_and_kit", _l("Rider with kit"), ""),
            ("rider", _l("Rider alone"), ""),
        ),
        _l("Weight in the chart"),
        default="rider_and_kit",
    )
    sag_percent = TextField(20, _l("Target sag of the chart, %"), hint=_l("If the manual gives one."))
    rows = RowsField(
        _l("Rows: weight in kg and pressure in psi"),
        hint=_l("One pair per line, lightest first. You can paste a table."),
    )


class SuspensionUnitForm(PageForm):
    """A fork or shock of the shop's library."""

    kind = ChoiceField((("fork", _l("Fork"), ""), ("shock", _l("Shock"), "")), _l("Type"), default="fork")
    name = TextField(NAME_LONGEST, _l("Name"), hint=_l("As the workshop calls it. Must be unique."))
    note = TextField(NOTE_LONGEST, _l("Note"))
    stanchion_mm = QuantityField("stanchion_mm", _l("Stanchion diameter"), hint=_l("Forks only."))
    travels_mm = TextField(
        _LIST_LIMIT, _l("Travels or strokes, mm"), hint=_l("All possible lengths, such as 120 130 140.")
    )
    travel_spacers_mm = TextField(_LIST_LIMIT, _l("Sizes of travel spacers, mm"), hint=_l("Forks only, such as 10 20."))
    min_pressure_psi = QuantityField("min_pressure_psi", _l("Minimum pressure"))
    max_pressure_psi = QuantityField("max_pressure_psi", _l("Maximum pressure"))
    rebound_clicks = QuantityField("rebound_clicks", _l("Total rebound clicks"))
    compression_clicks = QuantityField("compression_clicks", _l("Total compression clicks"))
    rebound_points = TextField(
        _LIST_LIMIT,
        _l("Two known rebound points"),
        hint=_l("Clicks out = damping in N·s/m, less damping further out, such as 3=900 13=200."),
    )
    negative_spring = ChoiceField(
        (("", _l("Not known"), ""), ("air", _l("Air"), ""), ("coil", _l("Coil"), "")),
        _l("Negative spring"),
        default="",
    )
    negative_size = ChoiceField(
        (("", _l("Not known"), ""), ("large", _l("Large"), ""), ("small", _l("Small"), "")),
        _l("Size of the negative chamber"),
        hint=_l("Air only. Large: it sits deep in its first third."),
        default="",
    )
    bore_mm = QuantityField("bore_mm", _l("Bore of the air chamber"))
    rod_mm = QuantityField("rod_mm", _l("Rod diameter"))
    positive_volume_cm3 = QuantityField(
        "positive_volume_cm3",
        _l("Volume of the positive chamber"),
        hint=_l("At maximum travel, fully extended, no spacers."),
    )
    negative_volume_cm3 = QuantityField(
        "negative_volume_cm3", _l("Volume of the negative chamber"), hint=_l("Fully extended.")
    )
    second_volume_cm3 = QuantityField(
        "second_volume_cm3",
        _l("Volume of a second positive chamber"),
        hint=_l("With the floating piston on its stop. Only if it has a valve and a pressure of its own."),
    )
    second_pressure_ratio = QuantityField(
        "second_pressure_ratio",
        _l("Pressure of the second chamber over the first"),
        hint=_l("From the table in the manual: divide one pressure by the other, such as 135 psi / 75 psi = 1.8."),
    )
    second_max_pressure_psi = QuantityField(
        "second_max_pressure_psi",
        _l("Maximum pressure of the second chamber"),
        hint=_l("Default: the maximum pressure above."),
    )
    port_position_mm = QuantityField("port_position_mm", _l("Equalising port, from full extension"))
    negative_rate_n_per_mm = QuantityField("negative_rate_n_per_mm", _l("Rate of the negative coil"))
    negative_length_mm = QuantityField("negative_length_mm", _l("Working length of the negative coil"))
    volume_spacer_cm3 = QuantityField("volume_spacer_cm3", _l("Volume of one volume spacer"))
    max_volume_spacers = QuantityField("volume_spacers", _l("Maximum volume spacers"))
    torques = TextField(
        _TEXT_LIMIT,
        _l("Torques in the manual"),
        hint=_l("With ranges, several parted by |, such as: top cap 25-30 nm | foot nuts 6-8 nm."),
    )
    oils = TextField(
        _TEXT_LIMIT,
        _l("Oil and grease in the manual"),
        hint=_l("Place (air, left, right, damper or other), cm³ and name: left 10 fork oil | air 2 grease."),
    )
    intervals = TextField(
        _TEXT_LIMIT,
        _l("Service intervals in the manual"),
        hint=_l("Kind (lower_legs, air_spring, damper or full), hours, months: lower_legs 50 h 6 months."),
    )
    tested_travel_mm = QuantityField(
        "tested_travel_mm", _l("Travel or stroke when pushed"), hint=_l("Default: the longest.")
    )
    tested_spacers = QuantityField("tested_spacers", _l("Volume spacers when pushed"), hint=_l("Default: none."))
    spring_test = FormField(SpringTestForm, separator=".")
    tested_on = TextField(10, _l("Measured on"), hint=_l("Year-month-day. Default: today."))
    tested_by = TextField(TESTED_BY_LONGEST, _l("Measured by"), hint=_l("Default: your login name."))
    chart1 = FormField(ChartForm, separator=".")
    chart2 = FormField(ChartForm, separator=".")
    chart3 = FormField(ChartForm, separator=".")
    chart4 = FormField(ChartForm, separator=".")
    chart5 = FormField(ChartForm, separator=".")
    chart6 = FormField(ChartForm, separator=".")
    chart7 = FormField(ChartForm, separator=".")
    chart8 = FormField(ChartForm, separator=".")
    chart9 = FormField(ChartForm, separator=".")
    chart10 = FormField(ChartForm, separator=".")
    chart11 = FormField(ChartForm, separator=".")
    chart12 = FormField(ChartForm, separator=".")

    def read(self) -> SuspensionUnit | None:
        """Return the suspension unit, or None after putting every problem beside its field."""
        valid = self.validate()
        data: dict[str, Any] = {"kind": self.kind.data, "name": self.name.data, "note": self.note.data}
        data |= {key: self[key].data for key in (*NUMBERS, "max_volume_spacers") if self[key].data is not None}
        data |= self._lists() | {key: self[key].data for key in SHARED_WORDS if self[key].data}
        data |= {key: split_lines(self[key].data) for key in SERVICE_LISTS}
        data["charts"] = self._charts()
        data |= self._test()
        try:
            suspension_unit = read_suspension_unit(data)
        except RequestError as error:
            for problem in error.problems:
                self.refuse(self._place(problem.field), say(problem.said))
            return None
        return suspension_unit if valid and not self.problems() else None

    def _test(self) -> dict[str, Any]:
        """Return the pushes as the library has them, with the day and who measured; empty without pushes."""
        form = self.spring_test.form
        test = form.read_test()
        if test is None or form.has_gap():
            return {}
        own = {key: self[key].data for key in ("tested_travel_mm", "tested_spacers") if self[key].data is not None}
        return {"spring_test": test | own, "tested_on": self.tested_on.data, "tested_by": self.tested_by.data}

    def _lists(self) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key in ("travels_mm", "travel_spacers_mm"):
            try:
                found[key] = plain_numbers(re.sub(r",\s+|\s+", " ", self[key].data))
            except ValueError as error:
                self.refuse(key, str(error))
        try:
            pairs = [part.partition("=") for part in self.rebound_points.data.replace(",", " ").split()]
            if pairs:
                found["rebound_points"] = [[plain_number(a), plain_number(b)] for a, _sign, b in pairs]
        except ValueError as error:
            self.refuse("rebound_points", str(error))
        return found

    def _chart_parts(self) -> list[FormField]:
        return [field for field in self if isinstance(field, FormField) and field.short_name.startswith("chart")]

    def _filled_charts(self) -> list[FormField]:
        """Return the parts in which a chart was entered, in the order in which `_charts` gives them."""
        return [part for part in self._chart_parts() if any(field.text for field in _chart_texts(part))]

    def shown_charts(self) -> list[FormField]:
        """Return the parts to draw: all with something in them, and room for one more."""
        parts, filled = self._chart_parts(), self._filled_charts()
        last = parts.index(filled[-1]) + 1 if filled else 0
        return parts[: max(_CHARTS_SHOWN, last + 1)]

    def _charts(self) -> list[dict[str, Any]]:
        charts = []
        for part in self._filled_charts():
            form = part.form
            chart: dict[str, Any] = {"rows": form.rows.data, "weight": form.weight.data}
            for key in ("travel_mm", "sag_percent"):
                try:
                    if form[key].data:
                        chart[key] = plain_number(form[key].data)
                except ValueError as error:
                    form[key].errors = [str(error)]
            charts.append(chart)
        return charts

    def _place(self, field: str) -> str:
        """Return the name of the input that a field of a suspension unit was read from."""
        if field.startswith("spring_test."):
            own = field.partition(".")[2]
            return own if own in ("tested_travel_mm", "tested_spacers") else field_of_list(field)
        name, _dot, rest = field.partition(".")
        place, _dot, key = rest.partition(".")
        if name != "charts":
            return field
        return f"{self._filled_charts()[int(place)].name}.{key}" if place else "chart1.rows"

    def show_suspension_unit(self, suspension_unit: SuspensionUnit) -> None:
        """Fill the form with a saved suspension unit."""
        self.show({"kind": suspension_unit.kind, "name": suspension_unit.name, "note": suspension_unit.note or None})
        self.show({key: _number(getattr(suspension_unit, key)) for key in (*NUMBERS, "max_volume_spacers")})
        self.show(
            {
                key: " ".join(exact_number(v) for v in getattr(suspension_unit, key))
                for key in ("travels_mm", "travel_spacers_mm")
            }
        )
        self.show(
            {
                "rebound_points": " ".join(
                    f"{exact_number(a)}={exact_number(b)}" for a, b in suspension_unit.rebound_points
                )
            }
        )
        self.show({key: join_lines(getattr(suspension_unit, key)) for key in SERVICE_LISTS})
        if (test := suspension_unit.spring_test) is not None:
            self.spring_test.form.show_test(test)
            self.show({key: _number(getattr(test, key)) for key in ("tested_travel_mm", "tested_spacers")})
            self.show({"tested_on": suspension_unit.tested_on, "tested_by": suspension_unit.tested_by})
        for key in SHARED_WORDS:
            self[key].data = getattr(suspension_unit, key) or ""
        for part, chart in zip(
            self._chart_parts(), suspension_unit.charts, strict=False
        ):  # no suspension unit has more than the form
            _show_chart(part.form, chart)


def _chart_texts(part: FormField) -> tuple[Any, ...]:
    return part.form.travel_mm, part.form.rows, part.form.sag_percent


def _number(value: float | int | None) -> str | None:
    return None if value is None else exact_number(value)


def _show_chart(form: Any, chart: SuspensionUnitChart) -> None:
    form.travel_mm.text = exact_number(chart.travel_mm)
    form.weight.data = chart.weight
    form.sag_percent.text = "" if chart.sag_percent is None else exact_number(chart.sag_percent)
    form.rows.text = "\n".join(f"{exact_number(mass)} {exact_number(psi)}" for mass, psi in chart.rows)
