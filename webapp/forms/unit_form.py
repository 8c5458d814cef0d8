"""One unit of the library as a form: every field may stay empty, the rules' own reader judges what is typed."""

from __future__ import annotations

import re
from typing import Any, Final

from wtforms import Field, Form, FormField
from wtforms.validators import ValidationError

from setup_rules import RequestError
from webapp.forms.line import ChoiceField, LineField
from webapp.forms.page_form import PageForm
from webapp.forms.plain_number import plain_number, plain_numbers
from webapp.forms.quantity import QuantityField
from webapp.i18n import gettext as _
from webapp.i18n import lazy_gettext as _l
from webapp.library import NAME_LONGEST, NOTE_LONGEST, Unit, UnitChart, read_unit
from webapp.library.unit import SHARED_NUMBERS

_TEXT_LIMIT: Final = 4_000
_LIST_LIMIT: Final = 120
#: How many charts, one a travel, the form has room for; a file may hold more.
CHARTS: Final = 3
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
        rows = []
        for number, line in enumerate(self.text.splitlines(), 1):
            if not line.strip():
                continue
            cells = [cell for cell in _APART.split(line.strip()) if cell]
            try:
                if len(cells) != 2:
                    raise ValueError(_("“%(line)s” is not two numbers.", line=line.strip()[:40]))
                rows.append([plain_number(cells[0]), plain_number(cells[1])])
            except ValueError as error:
                hint = _("Give weight in kg and pressure in psi, such as 80 86.")
                raise ValidationError(_("Row %(n)d: %(why)s %(hint)s", n=number, why=error, hint=hint)) from error
        self.data = rows


class ChartForm(Form):  # type: ignore[misc]
    """The weight-pressure table of the manual for one travel."""

    travel_mm = LineField(20, _l("Travel or stroke, mm"))
    weight = ChoiceField(
        (
            ("rider_and_kit", _l("Rider with kit"), ""),
            ("rider", _l("Rider alone"), ""),
        ),
        _l("Weight in the chart is of"),
        default="rider_and_kit",
    )
    sag_percent = LineField(20, _l("Sag that it aims at, %"), hint=_l("If the manual says."))
    rows = RowsField(_l("Rows: weight in kg and pressure in psi"), hint=_l("One pair a line, rising; may be pasted."))


class UnitForm(PageForm):
    """A fork or shock of the shop's library."""

    kind = ChoiceField((("fork", _l("Fork"), ""), ("shock", _l("Shock"), "")), _l("What it is"), default="fork")
    name = LineField(NAME_LONGEST, _l("Name"), hint=_l("As the workshop calls it. Each name once."))
    note = LineField(NOTE_LONGEST, _l("Note"))
    stanchion_mm = QuantityField("stanchion_mm", _l("Stanchion diameter"), hint=_l("Forks only."))
    travels_mm = LineField(
        _LIST_LIMIT, _l("Travels or strokes, mm"), hint=_l("All that it can be built with, such as 120 130 140.")
    )
    travel_spacers_mm = LineField(_LIST_LIMIT, _l("Sizes of travel spacers, mm"), hint=_l("Forks only, such as 10 20."))
    min_pressure_psi = QuantityField("min_pressure_psi", _l("Minimum pressure"))
    max_pressure_psi = QuantityField("max_pressure_psi", _l("Maximum pressure"))
    rebound_clicks = QuantityField("rebound_clicks", _l("Rebound clicks in all"))
    compression_clicks = QuantityField("compression_clicks", _l("Compression clicks in all"))
    rebound_points = LineField(
        _LIST_LIMIT,
        _l("Two known points of the rebound"),
        hint=_l("Clicks out = damping in N·s/m, lighter further out, such as 3=900 13=200."),
    )
    negative_spring = ChoiceField(
        (("", _l("Not known"), ""), ("air", _l("Air"), ""), ("coil", _l("Coil"), "")),
        _l("Negative spring"),
        default="",
    )
    bore_mm = QuantityField("bore_mm", _l("Bore of the air chamber"))
    rod_mm = QuantityField("rod_mm", _l("Rod diameter"))
    positive_volume_cm3 = QuantityField(
        "positive_volume_cm3", _l("Positive chamber"), hint=_l("At the longest travel, fully extended, no spacers.")
    )
    negative_volume_cm3 = QuantityField("negative_volume_cm3", _l("Negative chamber"), hint=_l("Fully extended."))
    port_position_mm = QuantityField("port_position_mm", _l("Equalising port, from full extension"))
    negative_rate_n_per_mm = QuantityField("negative_rate_n_per_mm", _l("Rate of the negative coil"))
    negative_length_mm = QuantityField("negative_length_mm", _l("Working length of the negative coil"))
    volume_spacer_cm3 = QuantityField("volume_spacer_cm3", _l("Volume of one volume spacer"))
    max_volume_spacers = QuantityField("volume_spacers", _l("Most volume spacers"))
    chart1 = FormField(ChartForm, separator=".")
    chart2 = FormField(ChartForm, separator=".")
    chart3 = FormField(ChartForm, separator=".")

    def read(self) -> Unit | None:
        """Return the unit, or None after putting every problem beside its field."""
        valid = self.validate()
        data: dict[str, Any] = {"kind": self.kind.data, "name": self.name.data, "note": self.note.data}
        data |= {key: self[key].data for key in (*NUMBERS, "max_volume_spacers") if self[key].data is not None}
        data |= self._lists() | ({"negative_spring": self.negative_spring.data} if self.negative_spring.data else {})
        data["charts"] = self._charts()
        try:
            unit = read_unit(data)
        except RequestError as error:
            for problem in error.problems:
                self.refuse("chart1.rows" if problem.field == "charts" else problem.field, _(problem.message))
            return None
        return unit if valid and not self.problems() else None

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

    def _charts(self) -> list[dict[str, Any]]:
        charts = []
        for part in (self.chart1, self.chart2, self.chart3):
            form = part.form
            if not form.rows.data and not form.travel_mm.data:
                continue
            chart: dict[str, Any] = {"rows": form.rows.data, "weight": form.weight.data}
            for key in ("travel_mm", "sag_percent"):
                try:
                    if form[key].data:
                        chart[key] = plain_number(form[key].data)
                except ValueError as error:
                    form[key].errors = [str(error)]
            charts.append(chart)
        return charts

    def show_unit(self, unit: Unit) -> None:
        """Fill the form with a saved unit."""
        self.show({"kind": unit.kind, "name": unit.name, "note": unit.note or None})
        self.show({key: _number(getattr(unit, key)) for key in (*NUMBERS, "max_volume_spacers")})
        self.show({key: " ".join(f"{v:g}" for v in getattr(unit, key)) for key in ("travels_mm", "travel_spacers_mm")})
        self.show({"rebound_points": " ".join(f"{a:g}={b:g}" for a, b in unit.rebound_points)})
        self.negative_spring.data = unit.negative_spring or ""
        for part, chart in zip((self.chart1, self.chart2, self.chart3), unit.charts, strict=False):
            _show_chart(part.form, chart)


def _number(value: float | int | None) -> float | None:
    return None if value is None else float(value)


def _show_chart(form: Any, chart: UnitChart) -> None:
    form.travel_mm.text = f"{chart.travel_mm:g}"
    form.weight.data = chart.weight
    form.sag_percent.text = "" if chart.sag_percent is None else f"{chart.sag_percent:g}"
    form.rows.text = "\n".join(f"{mass:g} {psi:g}" for mass, psi in chart.rows)
