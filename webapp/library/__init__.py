"""A shop's units: what is known of a fork or shock, read strictly, and what of it goes into a setup."""

from webapp.library.reading import read_unit, unit_data
from webapp.library.unit import KINDS, NAME_LONGEST, NOTE_LONGEST, Kind, Unit, UnitChart, name_key

__all__ = [
    "KINDS",
    "NAME_LONGEST",
    "NOTE_LONGEST",
    "Kind",
    "Unit",
    "UnitChart",
    "name_key",
    "read_unit",
    "unit_data",
]
