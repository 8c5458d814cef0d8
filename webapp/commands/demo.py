"""The `demo` task: fills an invented shop's own lists, to look at and to print.

Every part is saved as staff would save it. Each has a key or a name under which a second run finds it again.
"""

from __future__ import annotations

import secrets
import sys
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from setup_rules import SagCheck, SetupRequest, read_request
from setup_rules.types.units import PSI_PA
from webapp.accounts.actions.manage_staff import list_staff
from webapp.accounts.actions.open_shop import find_shop, open_shop
from webapp.accounts.actions.shop_settings import find_settings, save_initials, save_settings
from webapp.accounts.shop import ShopSettings
from webapp.accounts.staff import StaffMember
from webapp.checks.actions.check_sag import check_sag
from webapp.checks.actions.report_ride import report_ride
from webapp.checks.actions.save_changes import save_changes
from webapp.checks.weight_proof import WeightProof
from webapp.commands import demo_data as data
from webapp.commands.opened_app import opened_app
from webapp.demo_day.actions.create_bike import create_bike
from webapp.ground import urls
from webapp.ground.action_errors import ActionError, KeyEndedError
from webapp.ground.text.i18n import gettext as _
from webapp.library.actions.find_suspension_units import find_suspension_unit_by_name
from webapp.library.actions.save_suspension_unit import save_suspension_unit
from webapp.library.merging import with_suspension_unit
from webapp.library.parsing import read_suspension_unit
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.shop_setups import register_setup, short_code_for
from webapp.setups.revision import CardTexts
from webapp.workshop.actions.change_record import link_setup, save_left_state, save_step
from webapp.workshop.actions.close_record import close_record
from webapp.workshop.actions.find_records import find_record, find_records
from webapp.workshop.actions.open_record import open_record
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.actions.serviced_setup import expected_setup
from webapp.workshop.actions.suggest_from_unit import find_unit_data
from webapp.workshop.entries import Arrival, Left
from webapp.workshop.forms.step_forms import judged_leak


def fill() -> int:
    """Fill the invented shop's lists, print its log-in and addresses, and return the exit code.

    A second run adds what is missing and says that the rest was there.
    """
    with opened_app():
        try:
            member, log_in = _owner()
            _say(_addresses(member, log_in, *_filled(member)))
        except ActionError as error:
            sys.stderr.write(_("setup-card: the demo cannot be filled here. %(reason)s", reason=error) + "\n")
            return 1
    return 0


def _filled(member: StaffMember) -> tuple[dict[str, str], tuple[str, str]]:
    """Fill the shop's lists; return the setups' codes by bike, and the closed and the open record's."""
    _save_library(member)
    _describe_shop(member)
    for bike in data.FLEET:
        create_bike(member.shop_id, bike, f"demo fleet {bike['number']}")
    codes = {bike.label: _save_bike(member, bike) for bike in data.BIKES}
    visits = _closed_visit(member, codes), _open_visit(member, codes)
    for arrival in data.WAITING:
        _receive(member, arrival)
    return codes, visits


def _describe_shop(member: StaffMember) -> None:
    """Say what stands on the cards, unless the shop says something else already."""
    if find_settings(member.shop_id) == ShopSettings():
        save_settings(member, ShopSettings(phone=data.PHONE, time_zone=data.TIME_ZONE), None)
        save_initials(member, data.INITIALS)


def _receive(member: StaffMember, arrival: Arrival) -> None:
    if not find_records(member.shop_id, arrival.customer_reference).records:
        unit = find_unit_data(member.shop_id, arrival.spring_end, arrival.unit_label)
        open_record(member, replace(arrival, unit=unit))


def _owner() -> tuple[StaffMember, str]:
    """Return the shop's owner and how to log in; the password is known only to who reads this run's output."""
    shop_id = find_shop(data.SHOP)
    if shop_id is not None:
        return next(one for one in list_staff(shop_id) if one.is_owner), _(
            "with the password of the first run (to add an account: setup-card staff SHOP LOGIN)"
        )
    password = secrets.token_urlsafe(12)
    return open_shop(data.SHOP, data.LOGIN, password), _(
        "with the password %(password)s (printed only now)", password=password
    )


def _save_library(member: StaffMember) -> None:
    for suspension_unit in map(read_suspension_unit, data.UNITS):
        if find_suspension_unit_by_name(member.shop_id, suspension_unit.kind, suspension_unit.name) is None:
            save_suspension_unit(member.shop_id, suspension_unit)


def _request(bike: data.DemoBike) -> SetupRequest:
    """Return the bike's request, filled from its fork and shock as the form does it.

    They are taken as they were when the library was filled: staff may have edited them since.
    """
    suspension_units = {
        suspension_unit["name"]: read_suspension_unit(suspension_unit) for suspension_unit in data.UNITS
    }
    fitted = {end: suspension_units[name] for end, name in (("front", bike.fork), ("rear", bike.shock)) if name}
    return read_request(
        bike.request
        | {end: with_suspension_unit(suspension_unit, bike.request[end]) for end, suspension_unit in fitted.items()}
    )


def _save_bike(member: StaffMember, bike: data.DemoBike) -> str:
    """Save a bike's setup with its checks and changes, register it for the shop, and return its code."""
    key = f"demo {bike.label}"
    wanted, texts = _request(bike), CardTexts(bike.label, bike.note)
    try:
        created = create_setup(wanted, texts, idempotency_key=key)
    except KeyEndedError:  # the one of a run before was deleted, or its link renewed, while trying out what that does
        created = create_setup(wanted, texts)
    code = created.saved.code
    register_setup(member, code)
    for number, check in enumerate(bike.checks, 1):
        if isinstance(check, SagCheck):
            check_sag(code, check, idempotency_key=f"{key} {number}")
        else:
            report_ride(code, check, idempotency_key=f"{key} {number}")
    if bike.changes:
        proof = WeightProof(shop_id=member.shop_id)
        save_changes(code, bike.changes, idempotency_key=f"{key} changes", proof=proof)
    return code


def _visit(member: StaffMember, arrival: Arrival, code: str, steps: Iterable[tuple[str, Any]]) -> ServiceRecord | None:
    """Open the visit with its steps done; return it, None when a run before has opened it and noted them."""
    found = find_records(member.shop_id, arrival.customer_reference).records
    if found and (not found[0].is_open or found[0].setup_code):
        return None
    unit = find_unit_data(member.shop_id, arrival.spring_end, arrival.unit_label)
    record = found[0] if found else open_record(member, replace(arrival, unit=unit))
    for step, values in steps:
        save_step(member, record.short_code, step, "done", values)
    link_setup(member, record.short_code, code)
    return find_record(member.shop_id, record.short_code)[0]


def _closed_visit(member: StaffMember, codes: dict[str, str]) -> str:
    """Do the whole service of the blue bike and return its record's code."""
    steps = (*data.CLOSED_STEPS, ("leak", judged_leak(data.LEAK_READINGS)))
    _visit(member, data.CLOSED_VISIT, codes[data.BLUE.label], steps)
    record = find_records(member.shop_id, data.CLOSED_VISIT.customer_reference).records[0]
    if record.is_open:
        save_left_state(member, record.short_code, Left(values=_as_expected(record), next_due_hours=50))
        close_record(member, record.short_code)
    return record.short_code


def _as_expected(record: ServiceRecord) -> dict[str, Any]:
    """Return what the fork leaves with: what closing the record would save."""
    setup = expected_setup(record)
    if setup is None or setup.front is None or setup.front.rebound is None:
        raise RuntimeError("the demo's record has no fork to leave")
    psi = round(setup.front.pressure_pa / PSI_PA)
    return {"pressure_psi": psi, "rebound_out": setup.front.rebound.out, "note": "Sag check explained"}


def _open_visit(member: StaffMember, codes: dict[str, str]) -> str:
    """Leave the orange bike half way through its service and return its record's code."""
    _visit(member, data.OPEN_VISIT, codes[data.ORANGE.label], data.OPEN_STEPS)
    return find_records(member.shop_id, data.OPEN_VISIT.customer_reference).records[0].short_code


def _addresses(member: StaffMember, log_in: str, codes: dict[str, str], records: tuple[str, str]) -> Iterable[str]:
    base = urls.base_url()
    yield data.SHOP
    yield "  " + _("Log in at %(address)s as %(login)s", address=f"{base}/shop/log-in", login=member.login)
    yield f"    {log_in}"
    yield _("Setups, each with its short code in the shop")
    for label, code in codes.items():
        yield f"  {label:<22} {short_code_for(member.shop_id, code)}  {urls.setup_url(code)}"
    yield _("Lists of the shop")
    lists = (
        (_("Setups"), "/shop"),
        (_("Bikes for a demo day"), "/shop/bikes"),
        (_("Forks and shocks"), "/shop/units"),
        (_("Service record, closed"), f"/shop/bench/{records[0]}"),
        (_("Service record, open"), f"/shop/bench/{records[1]}"),
        (_("Open service records"), "/shop/bench"),
        (_("Services due"), "/shop/bench/due"),
    )
    for label, path in lists:
        yield f"  {label:<22} {base}{path}"
    yield _("Run `setup-card serve`, then open an address. Running `setup-card demo` again adds only what is missing.")


def _say(lines: Iterable[str]) -> None:
    for line in lines:
        sys.stdout.write(f"{line}\n")
