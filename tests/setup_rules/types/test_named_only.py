"""What is asked and answered is given by name: figures in a row, all of them numbers, would be mixed up unseen."""

from __future__ import annotations

import inspect
from typing import Any

import pytest

from setup_rules.types import request, result

#: A note is the one answer that is written in a row, throughout the advice: code, sentence, source, end.
IN_A_ROW = (result.Note,)


def records(module: Any) -> list[Any]:
    """Return a module's own dataclasses."""
    known = [one for one in vars(module).values() if inspect.isclass(one) and one.__module__ == module.__name__]
    return [one for one in known if hasattr(one, "__dataclass_fields__") and one not in IN_A_ROW]


RECORDS = [*records(request), *records(result)]


NAMES = """Conditions SpringTest ShopChecks SpringEnd FrontEnd RearEnd SetupRequest
ClickStart Curve CoilChoice CoilSetup PushedSpring SecondChamber EndSetup SagCheck TakenCheck RideReport
Change TakenRide BounceCheck TakenBounce Setup
"""


def test_these_are_all_records() -> None:
    assert {one.__name__ for one in RECORDS} == set(NAMES.split())


@pytest.mark.parametrize("record", RECORDS)
def test_every_figure_of_a_record_is_given_by_name(record: Any) -> None:
    assert {one.kind for one in inspect.signature(record).parameters.values()} == {inspect.Parameter.KEYWORD_ONLY}
