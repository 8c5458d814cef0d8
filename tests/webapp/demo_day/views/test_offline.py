"""Numbers for when the network is gone: the same as a fresh setup's, within every maximum, and without any rider."""

from __future__ import annotations

import re

import pytest
from flask.testing import FlaskClient

from setup_rules import recommend
from setup_rules.types.units import PSI_PA
from tests.webapp.demo_day.conftest import Crew, form_of, plain
from webapp.demo_day.actions import numbers_table
from webapp.demo_day.actions.numbers_table import make_table
from webapp.demo_day.actions.set_bike import rider_setup
from webapp.ground.text import numbers


@pytest.fixture(autouse=True)
def short(monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the tables of these tests short, and forget those of others."""
    monkeypatch.setattr(numbers_table, "WEIGHTS_KG", (60, 80, 130))
    monkeypatch.setattr(numbers_table, "STYLES", ("trail", "enduro"))
    numbers_table._tables.clear()


def cells(page: str, style: str, kg: int) -> list[str]:
    """Return the numbers of a row."""
    table = re.findall(rf'<table class="numbers" data-style="{style}">.*?</table>', page, re.DOTALL)[0]
    row = re.findall(rf'<tr data-kg="{kg}">.*?</tr>', table, re.DOTALL)[0]
    return re.findall(r"<td>([^<]*)</td>", row)


def test_the_row_of_a_weight_is_what_a_fresh_rider_gets(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    page = crew.page("/shop/bikes/numbers")
    assert 'data-waiting="0"' in page
    crew.set_up(bike, "80", "enduro")
    with crew.app.app_context():
        saved = rider_setup(crew.bike(bike))
        assert saved is not None
        fork, shock = saved.setup.ends()
        assert fork.rebound and fork.compression and shock.rebound  # noqa: PT018
        expected = [numbers.psi(fork.pressure_pa), str(fork.rebound.out), str(fork.compression.out)]
        expected += [numbers.psi(shock.pressure_pa), str(shock.rebound.out)]
    assert cells(page, "enduro", 80) == expected


def test_a_maximum_holds_the_table_and_is_said(crew: Crew) -> None:
    low = {"travel_mm": 150, "rebound_clicks": 16, "max_pressure_psi": 80}
    bike = crew.add("7", front=low)
    with crew.app.app_context():
        rows = make_table(bike).rows
    assert len(rows) == 6
    assert max(row.ends[0].pressure_pa for row in rows) <= 80.0001 * PSI_PA
    page = crew.page("/shop/bikes/numbers")
    assert cells(page, "trail", 130)[0] == "80"
    assert "80 psi is the maximum. Expect" in plain(page)
    assert "Fork: psi, maximum 80" in plain(page)
    assert "stop" in plain(page).lower(), "the cautions stand below the table"


def test_each_visit_makes_one_more_bike_ready(crew: Crew) -> None:
    for number in ("7", "8", "9"):
        crew.add(number)
    ready = [re.findall(r"(\d) of 3 bikes are ready", crew.page("/shop/bikes/numbers"))[0] for _ in range(4)]
    assert ready == ["1", "2", "3", "3"]


def test_what_a_bike_learns_or_is_fitted_with_makes_its_table_anew(crew: Crew) -> None:
    bike = crew.add("7")
    with crew.app.app_context():
        make_table(bike)
        assert numbers_table.is_fresh(bike)
        from dataclasses import replace

        other = replace(bike, document={**bike.document, "front": {**bike.document["front"], "max_pressure_psi": 90}})
        assert not numbers_table.is_fresh(other)
        assert numbers_table.kept_table(other) is None


def test_the_set_up_screen_carries_its_own_table_once_it_is_there(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    assert "data-bike-numbers" not in crew.page(f"/shop/bikes/{bike}/set-up")
    crew.page("/shop/bikes/numbers")
    assert len(cells(crew.page(f"/shop/bikes/{bike}/set-up"), "trail", 60)) == 5


def test_nothing_of_a_rider_is_on_the_page_that_is_kept(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    before = crew.page("/shop/bikes/numbers")
    crew.set_up(bike, "83.37", "enduro")
    crew.press(bike, "set")
    assert crew.page("/shop/bikes/numbers") == before
    assert "mira" not in before


def test_strangers_get_no_numbers(crew: Crew, stranger: FlaskClient) -> None:
    crew.add("7")
    answer = stranger.get("/shop/bikes/numbers")
    assert answer.status_code == 303
    assert stranger.get("/shop/bikes/offline-worker.js").status_code == 303
    worker = crew.client.get("/shop/bikes/offline-worker.js")
    assert worker.mimetype == "text/javascript"
    assert worker.headers["Service-Worker-Allowed"] == "/shop/bikes"
    assert "default-src 'none'" in worker.headers["Content-Security-Policy"]
    assert "unsafe" not in worker.headers["Content-Security-Policy"]


def test_a_script_that_stays_is_told_where_to_go_on(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    page = form_of(crew.page(f"/shop/bikes/{bike}/set-up"), "/set-up")
    hidden = dict(re.findall(r'name="(version|idempotency_key)" value="([^"]*)"', page))
    sent = {**hidden, "rider_mass_kg": "80", "riding_style": "trail"}
    first, again = (
        crew.client.post(f"/shop/bikes/{bike}/set-up", data=sent, headers={"X-Stay": "1"}) for _ in range(2)
    )
    assert (first.status_code, first.headers["X-Go"]) == (204, f"/shop/bikes/{bike}/change")
    assert again.headers["X-Go"] == first.headers["X-Go"]
    assert crew.bike(bike).version == 2, "one event of two answers"
    wrong = crew.client.post(f"/shop/bikes/{bike}/set-up", data={**sent, "rider_mass_kg": "x"}, headers={"X-Stay": "1"})
    assert wrong.status_code == 422


def test_a_log_out_clears_what_was_kept(crew: Crew) -> None:
    assert crew.client.post("/shop/log-out").headers["Clear-Site-Data"] == '"storage"'


def test_rules_are_asked_for_each_row(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []

    def counted(request: object) -> object:
        asked.append(request)
        return recommend(request)  # type: ignore[arg-type]

    monkeypatch.setattr(numbers_table, "recommend", counted)
    with crew.app.app_context():
        make_table(crew.add("7"))
    assert len(asked) == 6
