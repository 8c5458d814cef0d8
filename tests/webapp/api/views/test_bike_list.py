"""A shop's bikes page by page, and one by its number or tag, for the shop's own tools."""

from __future__ import annotations

from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import text

from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.log_in import log_in
from webapp.accounts.actions.manage_staff import close_account
from webapp.accounts.actions.open_shop import open_shop
from webapp.accounts.actions.tokens import create_token
from webapp.accounts.staff import StaffMember
from webapp.api.bike_query import MOST
from webapp.demo_day.actions.create_bike import create_bike
from webapp.ground.database.engine import database

PASSWORD = "three grey herons asleep"  # noqa: S105 it opens an invented shop
FRONT = {"travel_mm": 160, "stanchion_mm": 36}


class Shop:
    """A shop with its access key and bikes."""

    def __init__(self, app: Flask, name: str, login: str, bikes: int) -> None:
        self.client: FlaskClient = app.test_client()
        with app.app_context():
            self.member: StaffMember = open_shop(name, login, PASSWORD)
            self.token = create_token(self.member, "till")
            bodies = [{"number": f"B {n}", "front": FRONT} for n in range(1, bikes + 1)]
            self.bikes = [create_bike(self.member.shop_id, body) for body in bodies]

    def get(self, path: str, token: str | None = None) -> Any:
        """GET with the access key, or with another."""
        return self.client.get(path, headers={"Authorization": f"Bearer {token or self.token}"})


@pytest.fixture
def mine(app: Flask) -> Shop:
    return Shop(app, "Lantern Lane Cycles", "mira", 5)


@pytest.fixture
def theirs(app: Flask) -> Shop:
    return Shop(app, "Harbour Wheels", "ines", 2)


def numbers(answer: Any) -> list[str]:
    assert answer.status_code == 200, answer.json
    return [one["number"] for one in answer.json["bikes"]]


def test_all_bikes_of_the_shop_come_page_by_page_and_no_other_shops(mine: Shop, theirs: Shop) -> None:
    whole = mine.get("/api/v1/bikes")
    assert numbers(whole) == ["B 1", "B 2", "B 3", "B 4", "B 5"]
    assert whole.json["next"] is None
    assert numbers(theirs.get("/api/v1/bikes")) == ["B 1", "B 2"]
    assert whole.json["bikes"][2] == mine.get(f"/api/v1/bikes/{mine.bikes[2].bike_id}").json
    seen, following, pages = [], "https://cards.example/api/v1/bikes?limit=2", 0
    while following:
        answer = mine.get(following.removeprefix("https://cards.example"))
        seen += numbers(answer)
        following, pages = answer.json["next"], pages + 1
    assert (seen, pages) == (numbers(whole), 3)


def test_a_page_that_is_just_full_is_the_last(mine: Shop) -> None:
    assert mine.get("/api/v1/bikes?limit=5").json["next"] is None
    assert mine.get(f"/api/v1/bikes?after={mine.bikes[-1].bike_id}").json == {"bikes": [], "next": None}


@pytest.mark.parametrize("number", ["B 3", "b%203", "%20B%20%203%20", "\uff22 3"])
def test_a_bike_is_found_by_its_number_as_people_write_it(mine: Shop, theirs: Shop, number: str) -> None:
    found = mine.get(f"/api/v1/bikes?number={number}")
    assert numbers(found) == ["B 3"]
    assert found.json["bikes"][0]["bike"] == mine.bikes[2].bike_id
    assert theirs.get(f"/api/v1/bikes?number={number}").status_code == 404


def test_a_bike_is_found_by_its_tag_in_any_case_and_by_its_own_shop_alone(mine: Shop, theirs: Shop) -> None:
    tag = mine.bikes[1].tag
    for written in (tag, tag.lower(), f"{tag[:5]}-{tag[5:]}"):
        assert numbers(mine.get(f"/api/v1/bikes?tag={written}")) == ["B 2"]
        assert theirs.get(f"/api/v1/bikes?tag={written}").status_code == 404


@pytest.mark.parametrize("query", ["number=", "number=99", f"number={'9' * 5000}", "tag=", "tag=x", "tag=" + "0" * 26])
def test_what_no_bike_has_is_not_found(mine: Shop, query: str) -> None:
    answer = mine.get(f"/api/v1/bikes?{query}")
    assert answer.status_code == 404
    assert answer.json["errors"]


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("limit=0", "limit"),
        (f"limit={MOST + 1}", "limit"),
        ("limit=x", "limit"),
        ("after=-1", "after"),
        (f"after={'9' * 5000}", "after"),
        ("number=B+1&tag=x", "tag"),
        ("nunber=B+1", "nunber"),
    ],
)
def test_a_query_that_says_nothing_clear_is_refused(mine: Shop, query: str, field: str) -> None:
    answer = mine.get(f"/api/v1/bikes?{query}")
    assert answer.status_code == 422
    assert field in {one["field"] for one in answer.json["errors"]}


def test_a_retired_bike_is_neither_listed_nor_found(app: Flask, mine: Shop) -> None:
    gone = mine.bikes[0]
    with app.app_context(), database.write() as connection:
        connection.execute(text("UPDATE bike SET retired_at = created_at WHERE id = :id"), {"id": gone.bike_id})
    assert numbers(mine.get("/api/v1/bikes")) == ["B 2", "B 3", "B 4", "B 5"]
    assert mine.get("/api/v1/bikes?number=B+1").status_code == 404
    assert mine.get(f"/api/v1/bikes?tag={gone.tag}").status_code == 404


def test_without_an_access_key_401_and_with_that_of_a_closed_account_403(app: Flask, mine: Shop) -> None:
    for header in ({}, {"Authorization": "Bearer " + "0" * 26}):
        for query in ("", "?number=B+1", f"?tag={mine.bikes[0].tag}", "?limit=x"):
            assert mine.client.get(f"/api/v1/bikes{query}", headers=header).status_code == 401
    with app.app_context():
        create_staff(mine.member.shop_id, "tom", PASSWORD)
        tom = log_in("tom", PASSWORD, "")
        token = create_token(tom, "phone")
        close_account(mine.member, tom.staff_id, closed=True)
    assert mine.get("/api/v1/bikes", token).status_code == 403


def test_the_description_of_the_interface_has_it(client: FlaskClient) -> None:
    listed = client.get("/api/v1/openapi.json").json["paths"]["/api/v1/bikes"]["get"]  # type: ignore[index]
    assert {one["name"] for one in listed["parameters"]} == {"after", "limit", "number", "tag"}
    assert {"200", "401", "403", "404", "422"} <= set(listed["responses"])
