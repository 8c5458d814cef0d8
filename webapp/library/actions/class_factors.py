"""What a shop lets its own sag checks move: kept state by state, and put into the setups that its staff save."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from typing import Any, Final

from setup_rules import Problem, SetupRequest
from setup_rules.inference.class_shift import is_class_alone, spring_class
from setup_rules.parsing.shop_checks import read_shop_checks
from setup_rules.types.request import ShopChecks
from webapp.accounts.queries import hold_shop
from webapp.accounts.staff import StaffMember
from webapp.ground.action_errors import NotFoundError
from webapp.ground.database.connection import Connection
from webapp.ground.database.engine import database
from webapp.library.queries import units as queries

#: So many states are listed; older ones stay stored.
LISTED: Final = 20


@dataclass(frozen=True, slots=True)
class FactorState:
    """What a shop let its checks move from a moment on; nothing where it was switched off."""

    number: int
    factors: tuple[ShopChecks, ...]
    made_at: datetime
    login: str


def factor_states(shop_id: int) -> tuple[FactorState, ...]:
    """Return the shop's states, the newest first: it is the one in use."""
    with database.read() as connection:
        rows = queries.class_factors(connection, shop_id, LISTED)
    return tuple(FactorState(row.number, factors_from_data(row.factors), row.made_at, row.login) for row in rows)


def use_factors(member: StaffMember, factors: Sequence[ShopChecks]) -> None:
    """Let the shop's setups use these factors from now on; none switches them off. What is in use already stays."""
    _keep(member, [asdict(one) for one in factors])


def go_back(member: StaffMember, number: int) -> None:
    """Use an earlier state again, as a new state.

    Raises
    ------
    NotFoundError
        When the shop has no such state.
    """
    with database.read() as connection:
        factors = queries.class_factors_numbered(connection, member.shop_id, number)
    if factors is None:
        raise NotFoundError
    _keep(member, factors)


def _keep(member: StaffMember, factors: list[Any]) -> None:
    with database.write() as connection:
        hold_shop(connection, member.shop_id)
        number, in_use = queries.newest_class_factors(connection, member.shop_id)
        if factors != in_use:
            now = datetime.now(UTC)
            queries.insert_class_factors(connection, member.shop_id, number + 1, factors, member.staff_id, now)


def with_shop_checks(shop_id: int, request: SetupRequest) -> SetupRequest:
    """Return a request of the shop's staff with what the shop's own checks say of its fork and shock."""
    with database.read() as connection:
        return with_checks_of_shop(connection, shop_id, request)


def with_checks_of_shop(connection: Connection, shop_id: int, request: SetupRequest) -> SetupRequest:
    """Return what `with_shop_checks` does, as seen inside a transaction."""
    _number, stored = queries.newest_class_factors(connection, shop_id)
    by_class = {one.spring_class: one for one in factors_from_data(stored)}
    for name, end in request.ends():
        told = by_class.get(spring_class(end)) if is_class_alone(end) else None
        if told is not None:
            request = replace(request, **{name: replace(end, shop_checks=told)})  # type: ignore[arg-type]
    return request


def factors_from_data(stored: Sequence[Any]) -> tuple[ShopChecks, ...]:
    """Return stored factors; one that today's rules do not take is left out."""
    problems: list[Problem] = []
    read = (read_shop_checks(one, "factors", problems) for one in stored)
    return tuple(one for one in read if one is not None)
