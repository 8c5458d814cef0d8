"""Numbers in files: one plain number in the unit that its column names, comma or point, never guessed."""

from __future__ import annotations

from webapp.ground.fields.number_text import NumberTextError, read_number
from webapp.ground.text.i18n import gettext as _


def plain_number(text: str) -> float | int:
    """Return the number in a cell.

    Raises
    ------
    ValueError
        With a sentence, for anything but one plain number.
    """
    shown = " ".join(text.split())[:30]
    try:
        found = read_number(text)
    except NumberTextError as error:
        raise ValueError(_("“%(shown)s” is not a plain number.", shown=shown)) from error
    if found.unit:
        raise ValueError(_("“%(shown)s”: enter only the number. The field's name contains its unit.", shown=shown))
    return int(found.value) if found.value == int(found.value) else found.value


def plain_numbers(text: str) -> list[float | int]:
    """Return the numbers in a cell, apart by spaces or semicolons (raises as `plain_number`)."""
    return [plain_number(part) for part in text.replace(";", " ").split()]
