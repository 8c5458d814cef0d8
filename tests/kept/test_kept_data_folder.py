"""A data folder of an earlier code opens: every link, card, number, account and record of it is where it was.

The folder was filled by the code that its manifest names (see `make_data_folder`). It is reached over HTTP and by
`create_app` only, so that modules may move without a word of this being changed.
"""

from __future__ import annotations

import gzip
import html
import io
import json
import re
import sqlite3
import tomllib
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from pikepdf import Pdf

from tests.kept import replay
from tests.kept.unpack import BASE_URL, read_manifest, unpack
from tests.pseudo.catalogue import pseudo, switch_on
from webapp import create_app

MANIFEST = read_manifest()
#: What the kept setups answered to the manifest's `next` when the rules of version 2 were frozen.
NEXT = json.loads(gzip.decompress((Path(__file__).parent / "answers-v3.json.gz").read_bytes()))["next"]
SETUPS: dict[str, dict[str, Any]] = MANIFEST["setups"]
GONE: dict[str, dict[str, Any]] = MANIFEST["gone"]
every_setup = pytest.mark.parametrize("name", SETUPS)
every_gone_link = pytest.mark.parametrize("name", GONE)


def start(folder: Path) -> Flask:
    """Start the app of today on an unpacked folder, with nothing but the folder's own secret key."""
    settings = {"DATA": str(folder), "PUBLIC_BASE_URL": BASE_URL, "TESTING": True}
    return create_app({**settings, "RETENTION_DAYS": 36_500, "WTF_CSRF_ENABLED": False, "RATELIMIT_ENABLED": False})


@pytest.fixture(scope="module")
def kept_app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """The app on the kept folder, for all tests that only look."""
    return start(unpack(tmp_path_factory.mktemp("kept") / "data"))


@pytest.fixture
def fresh_app(tmp_path: Path) -> Flask:
    """The app on a kept folder of the test's own, for tests that save."""
    return start(unpack(tmp_path / "kept"))


@pytest.fixture
def rider(kept_app: Flask) -> FlaskClient:
    """A browser of somebody who holds a card."""
    return kept_app.test_client()


def logged_in(app: Flask, role: str) -> FlaskClient:
    """Return a browser in which the kept shop's owner or staff is logged in."""
    client = app.test_client()
    answer = client.post("/shop/log-in", data=MANIFEST["shop"][role])
    assert answer.status_code == 303, words(answer.text)
    return client


def words(page: str) -> str:
    """Return the text of a page."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split())


def headline(answer: dict[str, Any]) -> list[str]:
    """Return the whole pressures in psi that a page of an answer shows."""
    return [f"{answer[end]['pressure_psi']:.0f} psi" for end in ("front", "rear") if answer[end]]


def test_the_kept_folder_holds_what_it_is_meant_to_hold() -> None:
    newest = [one["answers"][-1] for one in SETUPS.values()]
    assert {(bool(answer["front"]), bool(answer["rear"])) for answer in newest} == {
        (True, False),
        (False, True),
        (True, True),
    }
    kinds = {
        line["kind"].removesuffix("_front").removesuffix("_rear") for s in SETUPS.values() for line in s["history"]
    }
    assert kinds >= {
        "created",
        "sag_check",
        "bounce_check",
        "ride",
        "what_if",
        "restored",
        "travel_change",
        "service",
    }


@every_setup
def test_a_kept_link_opens_its_page_with_its_pressures(rider: FlaskClient, name: str) -> None:
    one = SETUPS[name]
    for path in (f"/s/{one['code']}", f"/S/{one['code']}", f"/s/{one['code'].lower()}"):
        page = rider.get(path, follow_redirects=True)
        assert page.status_code == 200, path
        for pressure in headline(one["answers"][-1]):
            assert pressure in words(page.text)
    assert one["label"] in words(page.text)


@every_setup
def test_a_kept_card_prints(rider: FlaskClient, name: str) -> None:
    answer = rider.get(f"/s/{SETUPS[name]['code']}/card.pdf")
    assert (answer.status_code, answer.mimetype) == (200, "application/pdf")
    with Pdf.open(io.BytesIO(answer.data)) as pdf:
        assert len(pdf.pages) == 1


@every_setup
def test_every_kept_revision_answers_with_its_numbers(rider: FlaskClient, name: str) -> None:
    one = SETUPS[name]
    for number, kept in enumerate(map(_within_its_maximum, one["answers"]), 1):
        now = replay.plain(rider.get(f"/api/v1/setups/{one['code']}?revision={number}"))
        assert not list(replay.differences(kept, now, f"{name} {number}"))
    newest = replay.plain(rider.get(f"/api/v1/setups/{one['code']}"))
    assert not list(replay.differences(_within_its_maximum(one["answers"][-1]), newest, name))


def _within_its_maximum(answer: dict[str, Any]) -> dict[str, Any]:
    """Return a kept answer whose ranges end at the maximum, as JSON has them since rules 2: no number lies above it."""
    ends = {name: end for name in ("front", "rear") if (end := answer[name])}
    cut = {n: e | {"pressure_high_psi": min(e["pressure_high_psi"], e["max_pressure_psi"])} for n, e in ends.items()}
    return answer | cut


@every_setup
def test_the_kept_history_is_told_and_each_revision_has_its_pages(rider: FlaskClient, name: str) -> None:
    one = SETUPS[name]
    lines = (rider.get(f"/api/v1/setups/{one['code']}/revisions").json or {})["revisions"]
    for line in lines:
        line["advice"] = [f"{note['end'] or '-'} {note['code']}" for note in line["advice"]]
    assert not list(replay.differences(one["history"], lines, name))
    pages = ["history", "compare", "sag-check", "bounce", "ride", "what-if", "travel", "print"]
    pages += [f"{line['revision']}" for line in lines] + [f"{line['revision']}/answer" for line in lines]
    for page in pages:
        assert rider.get(f"/s/{one['code']}/{page}").status_code == 200, page


@every_setup
def test_a_kept_owners_key_hands_over_the_same_requests(rider: FlaskClient, name: str) -> None:
    one = SETUPS[name]
    assert rider.get(f"/owner/{one['owner_key']}").status_code == 200
    export = rider.get(f"/owner/{one['owner_key']}/setup.json").json or {}
    assert export["code"] == one["code"]
    assert not list(replay.differences(one["requests"], [r["request"] for r in export["revisions"]], name))


@every_gone_link
@pytest.mark.parametrize("page", ["/s/{}", "/S/{}", "/s/{}/card.pdf", "/s/{}/history", "/api/v1/setups/{}"])
def test_a_link_that_was_given_up_stays_gone(rider: FlaskClient, name: str, page: str) -> None:
    assert rider.get(page.format(GONE[name]["code"]), follow_redirects=True).status_code == 410


def test_the_owners_key_of_the_deleted_setup_opens_nothing(rider: FlaskClient) -> None:
    assert rider.get(f"/owner/{GONE['deleted']['owner_key']}").status_code in (404, 410)


@every_setup
def test_a_kept_page_and_its_card_say_that_earlier_rules_gave_their_numbers(rider: FlaskClient, name: str) -> None:
    assert "from an earlier version of the rules" in words(rider.get(f"/s/{SETUPS[name]['code']}").text)


@pytest.mark.parametrize(
    ("asked", "now"),
    list(zip(MANIFEST["next"], NEXT, strict=True)),
    ids=[f"{asked['setup']}-{asked['where']}" for asked in MANIFEST["next"]],
)
def test_what_a_kept_setup_is_asked_next_is_answered_by_the_rules_of_today_and_the_step_is_explained(
    fresh_app: Flask, asked: dict[str, Any], now: dict[str, Any]
) -> None:
    one, client = SETUPS[asked["setup"]], fresh_app.test_client()
    # What changes the rider's weight needs the owner's link, or the weight that was saved.
    headers = {"Setup-Owner-Link": f"{BASE_URL}/owner/{one['owner_key']}"}
    answer = client.post(f"/api/v1/setups/{one['code']}/{asked['where']}", json=asked["body"], headers=headers)
    assert answer.status_code == 201
    assert not list(replay.differences(now, replay.plain(answer)))
    if asked["where"] == "sag-checks":
        assert any(note["code"] == "rules_changed" for note in (answer.json or {})["advice"])
    number = one["answers"][-1]["revision"] + 1
    assert client.get(f"/s/{one['code']}/{number}/answer").status_code == 200


def test_what_is_asked_next_moves_a_number_on_every_setup() -> None:
    for asked in MANIFEST["next"]:
        before = SETUPS[asked["setup"]]["answers"][-1]
        assert any(before[end] != asked["answer"][end] for end in ("front", "rear")), asked["setup"]


@pytest.mark.parametrize("role", ["owner", "staff"])
def test_kept_staff_log_in_and_find_the_shops_setups_by_short_code(kept_app: Flask, role: str) -> None:
    client = logged_in(kept_app, role)
    home = words(client.get("/shop").text)
    for name in ("shop", "serviced"):
        one = SETUPS[name]
        assert one["label"] in home
        found = client.get("/shop", query_string={"q": one["short_code"]}, follow_redirects=True).text
        assert f"/s/{one['code']}" in found
    assert client.get("/shop/staff").status_code == (200 if role == "owner" else 403)


def test_a_wrong_password_is_refused_on_the_kept_folder(rider: FlaskClient) -> None:
    wrong = {"login": MANIFEST["shop"]["staff"]["login"], "password": "one otter over a bridge"}
    assert rider.post("/shop/log-in", data=wrong).status_code == 422


def test_the_kept_library_is_as_it_was(kept_app: Flask) -> None:
    client = logged_in(kept_app, "staff")
    assert tomllib.loads(client.get("/shop/units/units.toml").text) == tomllib.loads(MANIFEST["units_toml"])
    for path, names in (("/shop/units", "units"), ("/shop/units?retired=1", "retired_units")):
        page = client.get(path).text
        for name in MANIFEST[names]:
            assert name in words(page)
    for number in (1, 2, 3):
        assert client.get(f"/shop/units/{number}").status_code == 200


def test_the_kept_closed_record_opens_and_its_card_has_a_back(kept_app: Flask, rider: FlaskClient) -> None:
    record = f"/shop/bench/{MANIFEST['records']['closed']}"
    client = logged_in(kept_app, "staff")
    page = client.get(record)
    assert page.status_code == 200
    for said in (SETUPS["serviced"]["label"], "T-1042", "64.5 psi", "air piston and wipers", "120 mm", "2090-05-20"):
        assert said in words(page.text)
    assert client.post(f"{record}/left", data={"pressure_psi": "60"}).status_code == 409
    both = rider.get(f"/s/{SETUPS['serviced']['code']}/card.pdf?side=both")
    with Pdf.open(io.BytesIO(both.data)) as pdf:
        assert len(pdf.pages) == 2


def test_the_kept_open_record_goes_on_where_it_stood_and_can_be_closed(fresh_app: Flask) -> None:
    client = logged_in(fresh_app, "staff")
    record = f"/shop/bench/{MANIFEST['records']['open']}"
    page = words(client.get(record).text)
    assert "Otter 9, plum" in page
    assert "62 lbf·in" in page
    steps = set(re.findall(rf"{record}/steps/([\w-]+)", client.get(record).text))
    assert {"release", "torque", "leak"} <= steps
    assert all(client.get(f"{record}/steps/{step}").status_code == 200 for step in steps)
    assert client.post(f"{record}/close").status_code == 422
    for step in ("release", "release_again"):
        assert client.post(f"{record}/steps/{step}/state", data={"state": "done"}).status_code == 303
    closed = client.post(f"{record}/close")
    assert closed.status_code == 303
    assert "Otter 9, plum" in words(client.get(closed.location).text)


def test_the_kept_checklist_still_has_the_shops_own_step(kept_app: Flask) -> None:
    assert "Stem bolts" in logged_in(kept_app, "owner").get("/shop/bench/checklist").text


def test_starting_twice_on_the_kept_folder_changes_nothing(tmp_path: Path) -> None:
    folder = unpack(tmp_path / "kept")
    path = f"/api/v1/setups/{SETUPS['both']['code']}/revisions"
    first, second = (start(folder).test_client().get(path).json for _start in range(2))
    assert first == second


@every_setup
def test_the_kept_revisions_keep_their_words_and_new_ones_have_a_key(
    tmp_path: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, code = unpack(tmp_path / "kept"), SETUPS[name]["code"]
    before = stored_reasons(folder, code, "reason")
    client = start(folder).test_client()
    assert stored_reasons(folder, code, "reason, reason_key, reason_values") == [(*row, None, None) for row in before]
    assert len(before) == len(SETUPS[name]["answers"])
    rider_kg = SETUPS[name]["requests"][-1]["rider_mass_kg"]
    body = {"kit_mass_kg": 11, "rider_mass_now_kg": rider_kg, "save": True}
    assert client.post(f"/api/v1/setups/{code}/what-if", json=body).status_code == 201
    new = stored_reasons(folder, code, "reason, reason_key, reason_values")[-1]
    assert new[:2] == ("Changed: Kit weight", "revision.changed")
    said = [*(reason for (reason,) in before), "Changed: Kit weight"]
    lines = (client.get(f"/api/v1/setups/{code}/revisions").json or {})["revisions"]
    assert [line["reason"] for line in lines] == said
    export = client.get(f"/owner/{SETUPS[name]['owner_key']}/setup.json").json or {}
    assert [revision["reason"] for revision in export["revisions"]] == said
    history = words(client.get(f"/s/{code}/history").text)
    assert all(one in history for one in said)
    switch_on(monkeypatch)
    history = words(client.get(f"/s/{code}/history").text)
    assert all(one in history for one in said[:-1])
    assert said[-1] not in history
    assert pseudo("Kit weight") in history


def stored_reasons(folder: Path, code: str, columns: str) -> list[tuple[str | None, ...]]:
    """Return columns of a setup's revisions as they lie in the folder's database, the first revision first."""
    with closing(sqlite3.connect(folder / "setups.db")) as connection:
        return connection.execute(
            f"SELECT {columns} FROM revision JOIN setup ON setup.id = setup_id WHERE code = ? ORDER BY number",  # noqa: S608 columns are this file's own
            (code,),
        ).fetchall()
