"""Saves a unit of the library, one or a whole file of them, and retires what is no longer in use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from webapp.ground.action_errors import NotFoundError, RefusedError
from webapp.ground.database.connection import RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.library import queries as unit_queries
from webapp.library.actions.find_units import find_unit
from webapp.library.saved_unit import SavedUnit, new_unit
from webapp.library.unit import Unit, name_key


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did: how many units are new and how many were replaced."""

    added: int
    replaced: int


class UnitsTakenError(RefusedError):
    """Units of a file are in the library already; `places` are their positions in the file."""

    def __init__(self, places: tuple[int, ...]) -> None:
        super().__init__(_("Some of these units are in the library already."))
        self.places = places


def save_unit(shop_id: int, unit: Unit, *, unit_id: int | None = None, version: int | None = None) -> SavedUnit:
    """Save a new unit, or the unit `unit_id` again as it was edited at `version`.

    Raises
    ------
    RefusedError
        When another unit of the shop has the name, or somebody saved this one in the meantime.
    NotFoundError
        When the shop has no such unit.
    """
    now = datetime.now(UTC)
    try:
        with database.write() as connection:
            if unit_id is None:
                saved_id = unit_queries.insert_unit(connection, shop_id, new_unit(unit), now)
            else:
                saved_id = unit_id
                if not unit_queries.replace_unit(connection, shop_id, unit_id, new_unit(unit), now, version):
                    raise _changed_or_missing(shop_id, unit_id)
    except RowTakenError as error:
        message = _("The library has a unit of this name already, perhaps a retired one. Choose another name.")
        raise RefusedError(message, "name") from error
    return find_unit(shop_id, saved_id)


def _changed_or_missing(shop_id: int, unit_id: int) -> Exception:
    find_unit(shop_id, unit_id)  # raises when it is not this shop's
    return RefusedError(
        _("Somebody else saved this unit in the meantime. Open it in another window, compare, then save again.")
    )


def import_units(shop_id: int, units: Sequence[Unit], *, replace: bool = False) -> Imported:
    """Save all `units` or none of them; those that are there already are replaced only if `replace` says so.

    Raises
    ------
    UnitsTakenError
        When units are in the library already and are not to be replaced.
    """
    now = datetime.now(UTC)
    with database.write() as connection:
        known = unit_queries.unit_keys(connection, shop_id)
        there = [place for place, unit in enumerate(units) if name_key(unit.name) in known]
        if there and not replace:
            raise UnitsTakenError(tuple(there))
        for place in there:
            unit = units[place]
            unit_id = known[name_key(unit.name)]
            unit_queries.replace_unit(connection, shop_id, unit_id, new_unit(unit), now)
            unit_queries.set_retired(connection, shop_id, unit_id, None)
        taken = set(there)
        fresh = [new_unit(unit) for place, unit in enumerate(units) if place not in taken]
        unit_queries.insert_units(connection, shop_id, fresh, now)
    return Imported(added=len(fresh), replaced=len(there))


def retire_unit(shop_id: int, unit_id: int, *, retired: bool = True) -> None:
    """Take a unit out of use, or bring it back; setups that were made from it stay (raises `NotFoundError`)."""
    find_unit(shop_id, unit_id)
    with database.write() as connection:
        found = unit_queries.set_retired(connection, shop_id, unit_id, datetime.now(UTC) if retired else None)
    if not found:
        raise NotFoundError(_("This shop has no such unit. Look for it in the library."))
