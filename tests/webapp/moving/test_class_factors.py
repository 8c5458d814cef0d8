"""What a shop lets its own checks move goes along with the shop: added to, or kept as it is here."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from setup_rules.types.request import ShopChecks
from webapp.accounts.actions.open_shop import find_shop
from webapp.accounts.staff import StaffMember
from webapp.commands import demo_data
from webapp.commands.cli import main
from webapp.commands.opened_app import opened_app
from webapp.ground.database.engine import database
from webapp.ground.database.shop_rows import StaffRow
from webapp.library.actions.class_factors import factor_states, use_factors
from webapp.moving.errors import ShopFileError
from webapp.moving.shop_file import read_shop_file


def test_what_the_shops_checks_move_goes_along_and_is_added_to_or_kept(
    file: Path, at: Callable[[str], None], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    at("laptop")
    told = [ShopChecks(spring_class="fork_36_air", checks=30, factor=1.1, factor_sigma=0.03)]
    _use(told)
    again, later = str(tmp_path / "again.json"), str(tmp_path / "later.json")
    assert main(["export-shop", demo_data.SHOP, again]) == 0
    _use([])
    assert main(["export-shop", demo_data.SHOP, later]) == 0
    at("hosted")
    assert main(["import-shop", demo_data.SHOP, again]) == 0
    assert _states() == [(1, tuple(told))]
    assert main(["import-shop", demo_data.SHOP, later]) == 0
    assert main(["import-shop", demo_data.SHOP, again]) == 0  # earlier than what is here: nothing to add
    assert _states() == [(2, ()), (1, tuple(told))]
    assert "in another way" not in capsys.readouterr().out
    other = json.loads(Path(later).read_text(encoding="utf-8"))
    other["class_factors"][0]["factors"][0]["factor"] = 0.9
    Path(later).write_text(json.dumps(other), encoding="utf-8")
    assert main(["import-shop", demo_data.SHOP, later]) == 0
    assert "in another way" in capsys.readouterr().out
    assert _states() == [(2, ()), (1, tuple(told))]


def test_a_file_of_version_1_has_no_such_thing(file: Path, as_version_1: Callable[[Path], None]) -> None:
    as_version_1(file)
    assert main(["import-shop", demo_data.SHOP, str(file)]) == 0
    assert _states() == []


def _use(factors: list[ShopChecks]) -> None:
    with opened_app(), database.read() as connection:
        row = connection.execute(select(StaffRow.id, StaffRow.shop_id).where(StaffRow.role == "owner")).first()
    assert row is not None
    member = StaffMember(
        staff_id=row.id,
        shop_id=row.shop_id,
        shop_name="",
        login="",
        role="owner",
        session_epoch=1,
        created_at=datetime.now(UTC),
    )
    with opened_app():
        use_factors(member, factors)


def _states() -> list[tuple[int, tuple[ShopChecks, ...]]]:
    with opened_app():
        shop_id = find_shop(demo_data.SHOP)
        assert shop_id is not None
        return [(one.number, one.factors) for one in factor_states(shop_id)]


@pytest.mark.parametrize(
    "wrong",
    [
        {"factors": [{"spring_class": "fork_36_air", "checks": 30, "factor": 3.0, "factor_sigma": 0.03}]},
        {"factors": ["x"]},
        {"factors": {}},
        {"number": 0},
        {"made_by": "nobody here"},
        {"made_at": "today"},
    ],
)
def test_a_state_that_cannot_be_is_refused(wrong: dict[str, object], file: Path) -> None:
    data = json.loads(file.read_text(encoding="utf-8"))
    good = {"number": 1, "factors": [], "made_at": "2026-05-01T10:00:00+00:00", "made_by": data["staff"][0]["login"]}
    for state, is_good in ((good, True), ({**good, **wrong}, False)):
        content = json.dumps({**data, "class_factors": [state]}).encode()
        if is_good:
            assert read_shop_file(content)["class_factors"] == [good]
        else:
            with pytest.raises(ShopFileError):
                read_shop_file(content)
