"""Takes a shop's file into a shop here: what is new is added, what is the same stays, a difference stops it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.ground.text.i18n import gettext as _
from webapp.library.suspension_unit import name_key
from webapp.moving.actions.export_shop import shop_data
from webapp.moving.differences import (
    Difference,
    bike_differs,
    compare_records,
    compare_setups,
    goes_on,
    record_differs,
    setup_differs,
    unit_differs,
)
from webapp.moving.errors import ShopConflictError
from webapp.moving.queries import bikes as bike_queries
from webapp.moving.queries import dues as due_queries
from webapp.moving.queries import shop as queries
from webapp.moving.read_back import read_back
from webapp.setups.actions.create_setup import expiry
from webapp.workshop.actions.records import search_key


@dataclass
class ImportedShop:
    """What an import did. `gone` are setups that were deleted or renewed here, and stay so.

    `brought_up` are records that had only gone on; `left_out` is what differs, and stays as it is here.
    """

    setups: int = 0
    revisions: int = 0
    units: int = 0
    records: int = 0
    bikes: int = 0
    accounts: tuple[str, ...] = ()
    gone: int = 0
    keeps_checklist: bool = False
    factor_states: int = 0
    keeps_factors: bool = False
    brought_up: int = 0
    left_out: tuple[Difference, ...] = field(default=())

    @property
    def changed(self) -> bool:
        """Whether anything was stored."""
        return bool(
            self.setups
            or self.revisions
            or self.units
            or self.records
            or self.bikes
            or self.accounts
            or self.factor_states
            or self.brought_up
        )


def import_shop(shop_id: int, data: Mapping[str, Any], *, leave_out_differing: bool = False) -> ImportedShop:
    """Add what a file from `read_shop_file` holds to a shop, all of it or nothing.

    Accounts of the file that the shop has not got are added closed and without a password, for what they did. With
    `leave_out_differing`, all is added but what differs, and records of setups that do.

    Raises
    ------
    ShopConflictError
        When something is here with other contents. A setup with more revisions here or there is no such difference,
        and neither is a record with more done to it.
    ShopFileError
        When something of the file could be stored, but no page could show it.
    """
    with database.write() as connection:
        queries.hold_shop(connection, shop_id)
        done, differences = _Import(connection, shop_id, data).run()
        if differences and not leave_out_differing:
            raise ShopConflictError(differences)  # and the transaction leaves nothing
        read_back(connection, shop_id, data)
    done.left_out = differences
    return done


class _Import:
    """One import in its transaction."""

    def __init__(self, connection: Connection, shop_id: int, data: Mapping[str, Any]) -> None:
        self.connection, self.shop_id, self.data = connection, shop_id, data
        self.now, self.done, self.differences = datetime.now(UTC), ImportedShop(), list[Difference]()
        self.retired, self.differing = set[str](), set[str]()  # codes of the file's setups
        self.here = shop_data(connection, shop_id)

    def run(self) -> tuple[ImportedShop, tuple[Difference, ...]]:
        """Add what can be added; return what was done, and what was not because it differs."""
        staff_ids = self._add_accounts()
        setup_ids = self._add_setups(staff_ids)
        self._add_units(setup_ids)
        self._add_bikes(setup_ids)
        self._add_records(staff_ids, setup_ids)
        self._add_class_factors(staff_ids)
        self._add_checklist(next(iter(staff_ids.values()), None))
        queries.keep_settings(self.connection, self.shop_id, self.data["shop"])
        due_queries.insert_dues(self.connection, self.shop_id, setup_ids, self.data["dues"])
        return self.done, tuple(self.differences)

    def _add_accounts(self) -> dict[str, int]:
        known, ids, added = queries.logins(self.connection), dict[str, int](), list[str]()
        for one in self.data["staff"]:
            login = _free_login(one["login"], known, self.shop_id)
            if login not in known:
                number = queries.insert_closed_account(
                    self.connection, self.shop_id, login, one["role"], self.now, one["initials"]
                )
                known[login] = (self.shop_id, number)
                added.append(login)
            ids[one["login"]] = known[login][1]
        self.done.accounts = tuple(added)
        return ids

    def _add_setups(self, staff_ids: Mapping[str, int]) -> dict[str, int]:
        codes = [one["code"] for one in self.data["setups"]]
        ids = queries.setup_ids(self.connection, codes)
        self.retired = queries.retired(self.connection, codes)
        taken = queries.taken_keys(self.connection, self.data["setups"])
        short_codes = {one["short_code"]: one["code"] for one in self.here["setups"] if one["short_code"]}
        stored, owners = self._stored_setups(list(ids.values())), queries.owners(self.connection, list(ids.values()))
        for one in self.data["setups"]:
            code, short_code = one["code"], one["short_code"]
            if code in self.retired:
                self.done.gone += 1
            elif short_code is None:
                self._leave_out_setup(one, _("not the shop's own"))
            elif code in taken:
                self._leave_out_setup(one, _("owner's link of another setup"))
            elif short_codes.get(short_code, code) != code:
                self._leave_out_setup(one, _("short code of another setup"))
            elif code in ids:
                self._compare_setup(ids[code], stored[code], one, owners.get(ids[code]))
            else:
                ids[code] = self._add_setup(one, staff_ids)
        return ids

    def _leave_out_setup(self, one: Mapping[str, Any], what: str) -> None:
        self.differences.append(setup_differs(one, what))
        self.differing.add(one["code"])

    def _stored_setups(self, ids: list[int]) -> dict[str, dict[str, Any]]:
        names = {number: login for login, (_shop, number) in queries.logins(self.connection).items()}
        return {one["code"]: one for one in queries.setups(self.connection, self.shop_id, ids, names)}

    def _add_setup(self, one: Mapping[str, Any], staff_ids: Mapping[str, int]) -> int:
        ends = min(datetime.fromisoformat(one["expires_at"]), expiry(self.now))
        setup_id = queries.insert_setup(self.connection, {**one, "expires_at": ends.isoformat()})
        queries.insert_revisions(self.connection, setup_id, one["revisions"])
        if one["short_code"] is not None:
            staff_id = staff_ids[one["saved_by"]]
            queries.insert_shop_setup(self.connection, self.shop_id, setup_id, staff_id, one)
        self.done.setups += 1
        self.done.revisions += len(one["revisions"])
        return setup_id

    def _compare_setup(
        self, setup_id: int, here: Mapping[str, Any], there: Mapping[str, Any], owner: int | None
    ) -> None:
        """Add the revisions that only the file has, unless something differs in what both have."""
        if here["deleted_at"] is not None:
            self.done.gone += there["deleted_at"] is None
            return
        if what := compare_setups(here, there, owner, self.shop_id):
            self._leave_out_setup(there, what)
            return
        more = there["revisions"][len(here["revisions"]) :]
        queries.insert_revisions(self.connection, setup_id, more)
        self.done.revisions += len(more)

    def _add_units(self, setup_ids: Mapping[str, int]) -> None:
        here = {name_key(one["name"]): one for one in self.here["units"]}
        for one in self.data["units"]:
            mine = here.get(name_key(one["name"]))
            if mine is None:
                queries.insert_unit(self.connection, self.shop_id, one)
                self.done.units += 1
            elif (mine["kind"], mine["document"]) != (one["kind"], one["document"]):
                self.differences.append(unit_differs(one))
                continue
            queries.insert_unit_ties(self.connection, self.shop_id, one, setup_ids)

    def _add_bikes(self, setup_ids: Mapping[str, int]) -> None:
        """Add bikes that are new here; what a bike that is here too has learned stays as it is here."""
        here = {name_key(one["number"]): one for one in self.here["bikes"]}
        taken = bike_queries.taken_tags(self.connection, [one["tag"] for one in self.data["bikes"]])
        for one in self.data["bikes"]:
            mine = here.get(name_key(one["number"]))
            if mine is None and one["tag"] not in taken:
                bike_queries.insert_bike(self.connection, self.shop_id, one, setup_ids)
                self.done.bikes += 1
            elif mine is None or (mine["tag"], mine["document"]) != (one["tag"], one["document"]):
                self.differences.append(bike_differs(one))

    def _add_records(self, staff_ids: Mapping[str, int], setup_ids: Mapping[str, int]) -> None:
        here = {one["short_code"]: one for one in self.here["records"]}
        for one in self.data["records"]:
            mine = here.get(one["short_code"])
            if mine is not None:
                self._compare_record(mine, one, staff_ids)
            elif one["setup_code"] in self.differing:
                self.differences.append(record_differs(one, _("its setup differs")))
            else:
                symptoms = str(one["as_found"].get("symptoms", ""))
                key = search_key(one["bike_label"], one["unit_label"], one["customer_reference"], symptoms)
                setup_id = setup_ids.get(one["setup_code"])
                queries.insert_record(self.connection, self.shop_id, setup_id, key, staff_ids, one)
                self.done.records += 1

    def _compare_record(self, mine: Mapping[str, Any], one: Mapping[str, Any], staff_ids: Mapping[str, int]) -> None:
        """Bring a record up to date that only went on elsewhere; one that only went on here stays."""
        gone = one["setup_code"] in self.retired
        what = compare_records(mine, one, of_gone_setup=gone)
        if not what or goes_on(one, mine):
            return
        if not goes_on(mine, one):
            self.differences.append(record_differs(one, what))
        elif one["setup_code"] in self.differing:
            self.differences.append(record_differs(one, _("its setup differs")))
        else:
            code = mine["setup_code"] if gone else one["setup_code"]
            setup_id = queries.setup_ids(self.connection, [code]).get(code) if code else None
            known = len(mine["changes"])
            queries.bring_record_up(self.connection, self.shop_id, setup_id, staff_ids, one, known)
            self.done.brought_up += 1

    def _add_class_factors(self, staff_ids: Mapping[str, int]) -> None:
        """Add what the shop let its checks move, where nothing of it is here or the file's merely goes on."""
        here, there = ([_state_of(one) for one in data["class_factors"]] for data in (self.here, self.data))
        if there[: len(here)] == here:
            more = self.data["class_factors"][len(here) :]
            queries.insert_class_factors(self.connection, self.shop_id, staff_ids, more)
            self.done.factor_states += len(more)
        elif here[: len(there)] != there:
            self.done.keeps_factors = True

    def _add_checklist(self, staff_id: int | None) -> None:
        steps, here = self.data["checklist"], self.here["checklist"]
        if steps is None or steps == here:
            return
        if here is not None or staff_id is None:
            self.done.keeps_checklist = True
            return
        queries.insert_checklist(self.connection, self.shop_id, steps, staff_id, self.now)


def _state_of(one: Mapping[str, Any]) -> tuple[Any, ...]:
    """Return a state without who made it: an account may have another login here."""
    return one["number"], one["made_at"], one["factors"]


def _free_login(login: str, known: Mapping[str, tuple[int, int]], shop_id: int) -> str:
    """Return the login under which an account of the file is here: its own, unless another shop has that."""
    tried, number = login, 1
    while known.get(tried, (shop_id, 0))[0] != shop_id:
        number += 1
        tried = f"{login[:50]}.{number}"
    return tried
