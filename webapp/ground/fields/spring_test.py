"""Four pushes on a spring, as a part of a form: a pressure, then compression and two forces a push."""

from __future__ import annotations

from typing import Any, Final

from wtforms import Form
from wtforms.fields import Field

from setup_rules.messages.message import Message
from setup_rules.types.units import convert
from webapp.ground.fields.push_force import PushForceField
from webapp.ground.fields.quantity import QuantityField
from webapp.ground.fields.text_and_choice import ChoiceField
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l

#: How many pushes the form has room for, and about how deep each goes, in per cent of the travel.
DEPTHS: Final = (15, 30, 50, 70)
#: The rules' lists, and what the form calls one entry of each.
_SYMBOLS: Final = {"kgf": "kg", "lbf": "lb"}
_LISTS: Final = {"compression_mm": "x", "force_down_n": "down", "force_up_n": "up"}


class SpringTestForm(Form):  # type: ignore[misc]
    """Pushes on one spring; nothing of it is required unless something of it is typed."""

    pressure_psi = QuantityField(
        "pressure_psi",
        _l("Pressure for the pushes"),
        hint=_l("Never above the maximum printed on the fork or shock. Less than you ride with is easier to push."),
    )
    x1 = QuantityField("compression_mm", _l("Push 1: compression"))
    down1 = PushForceField(_l("Push 1: going down"))
    up1 = PushForceField(_l("Push 1: coming up"))
    x2 = QuantityField("compression_mm", _l("Push 2: compression"))
    down2 = PushForceField(_l("Push 2: going down"))
    up2 = PushForceField(_l("Push 2: coming up"))
    x3 = QuantityField("compression_mm", _l("Push 3: compression"))
    down3 = PushForceField(_l("Push 3: going down"))
    up3 = PushForceField(_l("Push 3: coming up"))
    x4 = QuantityField("compression_mm", _l("Push 4: compression"))
    down4 = PushForceField(_l("Push 4: going down"))
    up4 = PushForceField(_l("Push 4: coming up"))

    def pushes(self) -> list[tuple[Field, Field, Field]]:
        """Return the fields of each push: compression, force down, force up."""
        return [tuple(self[f"{part}{n}"] for part in _LISTS.values()) for n in range(1, len(DEPTHS) + 1)]

    def read_test(self) -> dict[str, Any] | None:
        """Return the test as the interface has it, None where nothing was typed; half a push is said to be one."""
        rows = [row for row in self.pushes() if any(field.text.strip() for field in row)]
        if not rows and not self.pressure_psi.text.strip():
            return None
        for row in rows:
            for field in row:
                if not field.text.strip():
                    field.errors = [_("%(label)s is missing. Enter all three numbers.", label=field.subject)]
        test: dict[str, Any] = {"pressure_psi": self.pressure_psi.data}
        for place, key in enumerate(_LISTS):
            test[key] = [row[place].data for row in rows]
        return {key: value for key, value in test.items() if value is not None}

    def has_gap(self) -> bool:
        """Return whether a number of the test is missing or could not be read."""
        return any(field.errors for row in self.pushes() for field in row) or bool(self.pressure_psi.errors)

    def in_typed_unit(self, said: Any) -> Any:
        """Return a problem of the rules with its forces in the unit that was typed, newtons beside it."""
        if not isinstance(said, Message):
            return said
        typed = next((field for row in self.pushes() for field in row[1:] if field.text.strip()), None)
        key = None if typed is None else typed.typed_unit()
        if key in (None, "n"):
            return said
        values = {name: _force_in(key, value) for name, value in said.values.items()}
        return Message.of(said.key, **values)

    def show_test(self, test: Any) -> None:
        """Fill in a saved test: forces in kilograms as typed on a page, the first pushes where there are more."""
        self.pressure_psi.text = f"{test.pressure_psi:g}"
        for row, x, down, up in zip(
            self.pushes(), test.compression_mm, test.force_down_n, test.force_up_n, strict=False
        ):
            row[0].text = f"{x:g}"
            row[1].text, row[2].text = (f"{convert('force', n, 'n', 'kgf'):.6g}" for n in (down, up))


def _force_in(key: str, value: Any) -> Any:
    if not isinstance(value, Message) or value.key != "label.force_in_newtons":
        return value
    force_n = float(str(value.values["n"]))
    typed = numbers.general(round(convert("force", force_n, "n", key), 1))
    return _("%(typed)s %(unit)s (%(force)s N)", typed=typed, unit=_SYMBOLS[key], force=numbers.number(force_n))


class ShockTestForm(SpringTestForm):
    """Pushes on a shock: on its shaft, or at the wheel behind the linkage."""

    at = ChoiceField(
        (
            (
                "wheel",
                _l("At the wheel"),
                _l("The leverage ratio turns it into shock travel. Measure how far the wheel moves."),
            ),
            ("spring", _l("On the shock alone"), _l("Taken out of the frame, upright on the scale.")),
        ),
        _l("Where did you push the shock?"),
        default="wheel",
    )

    def read_test(self) -> dict[str, Any] | None:
        """Return the test with the place where it was made."""
        test = super().read_test()
        return None if test is None else test | {"at": self.at.data}


def field_of_list(path: str) -> str:
    """Return the name of the input that a problem with a list of a test is put beside, `path` itself elsewhere.

    Examples
    --------
    >>> field_of_list("front.spring_test.force_up_n"), field_of_list("front.travel_mm")
    ('front.spring_test.up1', 'front.travel_mm')
    """
    head, _dot, key = path.rpartition(".")
    return f"{head}.{_LISTS[key]}1" if head.endswith("spring_test") and key in _LISTS else path
