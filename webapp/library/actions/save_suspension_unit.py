"""Saves a suspension unit of the library, one or a whole file of them, and retires what is no longer in use."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from webapp.accounts.queries import hold_shop
from webapp.ground.action_errors import NotFoundError, RefusedError
from webapp.ground.database.connection import Connection, RowTakenError
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.library.actions.find_suspension_units import find_suspension_unit
from webapp.library.parsing import read_suspension_unit
from webapp.library.queries import learning as learning_queries
from webapp.library.queries import units as library_queries
from webapp.library.saved_suspension_unit import SavedSuspensionUnit, new_suspension_unit
from webapp.library.suspension_unit import SuspensionUnit, name_key, same_spring


@dataclass(frozen=True, slots=True)
class Imported:
    """What an import did: how many suspension units are new and how many were replaced."""

    added: int
    replaced: int


class SuspensionUnitsTakenError(RefusedError):
    """Suspension units of a file are in the library already; `places` are their positions in the file."""

    def __init__(self, places: tuple[int, ...]) -> None:
        super().__init__(_("The library already has some of these forks and shocks."))
        self.places = places


def save_suspension_unit(
    shop_id: int, suspension_unit: SuspensionUnit, *, suspension_unit_id: int | None = None, version: int | None = None
) -> SavedSuspensionUnit:
    """Save a new suspension unit, or the suspension unit `suspension_unit_id` again as it was edited at `version`.

    Raises
    ------
    RefusedError
        When another suspension unit of the shop has the name, or somebody saved this one in the meantime.
    NotFoundError
        When the shop has no such suspension unit.
    """
    now = datetime.now(UTC)
    try:
        with database.write() as connection:
            if suspension_unit_id is None:
                saved_id = library_queries.insert_suspension_unit(
                    connection, shop_id, new_suspension_unit(suspension_unit), now
                )
            else:
                saved_id = suspension_unit_id
                if not _replace(connection, shop_id, suspension_unit_id, suspension_unit, version):
                    raise _changed_or_missing(shop_id, suspension_unit_id)
    except RowTakenError as error:
        message = _(
            "The name must be unique. Another fork or shock, perhaps an archived one, has it. Choose another name."
        )
        raise RefusedError(message, "name") from error
    return find_suspension_unit(shop_id, saved_id)


def _replace(
    connection: Connection, shop_id: int, unit_id: int, suspension_unit: SuspensionUnit, version: int | None = None
) -> bool:
    """Save one again; with other internals, what its specimens taught of the spring before counts no more."""
    now, new = datetime.now(UTC), new_suspension_unit(suspension_unit)
    row = library_queries.suspension_unit_by_id(connection, shop_id, unit_id)
    if row is None or not library_queries.replace_suspension_unit(connection, shop_id, unit_id, new, now, version):
        return False
    if not same_spring(read_suspension_unit(row.document), suspension_unit):
        learning_queries.set_internals_changed(connection, shop_id, unit_id, now)
    return True


def _changed_or_missing(shop_id: int, suspension_unit_id: int) -> Exception:
    find_suspension_unit(shop_id, suspension_unit_id)  # raises when it is not this shop's
    return RefusedError(
        _("Someone else saved this fork or shock in the meantime. Open it in another window, compare, then save again.")
    )


def import_suspension_units(
    shop_id: int, suspension_units: Sequence[SuspensionUnit], *, replace: bool = False
) -> Imported:
    """Save all `suspension_units` or none of them; those that are there already are replaced only if `replace` says so.

    Raises
    ------
    SuspensionUnitsTakenError
        When suspension units are in the library already and are not to be replaced.
    """
    now = datetime.now(UTC)
    with database.write() as connection:
        hold_shop(connection, shop_id)  # of two files with the same names, the second finds them there
        known = library_queries.suspension_unit_keys(connection, shop_id)
        there = [
            place for place, suspension_unit in enumerate(suspension_units) if name_key(suspension_unit.name) in known
        ]
        if there and not replace:
            raise SuspensionUnitsTakenError(tuple(there))
        for place in there:
            suspension_unit = suspension_units[place]
            suspension_unit_id = known[name_key(suspension_unit.name)]
            _replace(connection, shop_id, suspension_unit_id, suspension_unit)
            library_queries.set_retired(connection, shop_id, suspension_unit_id, None)
        taken = set(there)
        fresh = [
            new_suspension_unit(suspension_unit)
            for place, suspension_unit in enumerate(suspension_units)
            if place not in taken
        ]
        library_queries.insert_suspension_units(connection, shop_id, fresh, now)
    return Imported(added=len(fresh), replaced=len(there))


def retire_suspension_unit(shop_id: int, suspension_unit_id: int, *, retired: bool = True) -> None:
    """Take one out of use, or bring it back; setups that were made from it stay (raises `NotFoundError`)."""
    find_suspension_unit(shop_id, suspension_unit_id)
    with database.write() as connection:
        found = library_queries.set_retired(
            connection, shop_id, suspension_unit_id, datetime.now(UTC) if retired else None
        )
    if not found:
        raise NotFoundError(_("This shop has no such fork or shock. Look for it in the list."))
