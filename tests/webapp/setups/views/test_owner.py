"""The owner's page: nothing happens on GET, everything is asked twice."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from setup_rules import read_request
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.revision import CardTexts, CreatedSetup


@pytest.fixture
def created(app: Flask, whole_request: dict[str, Any]) -> CreatedSetup:
    with app.app_context():
        return create_setup(read_request(whole_request), CardTexts("<b>Heron</b>"))


@pytest.fixture
def path(created: CreatedSetup) -> str:
    return f"/owner/{created.owner_key}"


def test_the_page_names_the_setup_and_escapes_its_label(client: FlaskClient, path: str, created: CreatedSetup) -> None:
    page = client.get(path)
    assert page.status_code == 200
    assert f"https://cards.example/s/{created.saved.code}" in page.text
    assert "&lt;b&gt;Heron" in page.text
    assert "<b>Heron" not in page.text


def test_the_download_is_everything_as_a_file(client: FlaskClient, path: str, created: CreatedSetup) -> None:
    answer = client.get(f"{path}/setup.json")
    assert answer.mimetype == "application/json"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="setup.json"'
    assert answer.json is not None
    assert answer.json["code"] == created.saved.code


def test_opening_any_page_changes_nothing(client: FlaskClient, path: str, created: CreatedSetup) -> None:
    before = client.get(f"{path}/setup.json").json
    for below in ("", "/renew", "/renew-key", "/delete"):
        assert client.get(path + below).status_code == 200
    assert client.get(f"{path}/setup.json").json == before
    assert client.get(f"/s/{created.saved.code}").status_code == 200


def test_renewing_leads_back_to_the_page_with_the_new_link(
    client: FlaskClient, path: str, created: CreatedSetup
) -> None:
    answer = client.post(f"{path}/renew", follow_redirects=True)
    assert answer.status_code == 200
    found = re.search(r"https://cards\.example/s/([0-9A-Z]{26})", answer.text)
    assert found is not None
    assert found[1] != created.saved.code
    assert client.get(f"/s/{found[1]}").status_code == 200
    assert client.get(f"/s/{created.saved.code}").status_code == 410


def sent(client: FlaskClient, path: str) -> dict[str, str]:
    """Return what the form of a page sends."""
    return dict(re.findall('<input type="hidden" name="([a-z_]+)" value="([^"]*)"', client.get(path).text))


def test_renewing_sent_twice_keeps_the_first_new_link(client: FlaskClient, path: str) -> None:
    form = sent(client, f"{path}/renew")
    pages = [client.post(f"{path}/renew", data=form, follow_redirects=True).text for _tap in range(2)]
    first, second = (re.search(r"https://cards\.example/s/([0-9A-Z]{26})", page) for page in pages)
    assert first is not None
    assert second is not None
    assert first[1] == second[1]
    assert client.get(f"/s/{first[1]}").status_code == 200


def test_the_owners_own_link_is_renewed_too_and_sent_twice_it_is_not_lost(
    client: FlaskClient, path: str, created: CreatedSetup
) -> None:
    form = sent(client, f"{path}/renew-key")
    answers = [client.post(f"{path}/renew-key", data=form) for _tap in range(2)]
    assert [a.status_code for a in answers] == [303, 303]
    assert answers[0].location == answers[1].location != path
    assert client.get(path).status_code == 404
    assert f"/s/{created.saved.code}" in client.get(answers[0].location).text


def test_who_saw_the_old_owners_link_alone_does_not_get_the_new_one(client: FlaskClient, path: str) -> None:
    seen = sent(client, f"{path}/renew-key")
    client.post(f"{path}/renew-key", data=sent(client, f"{path}/renew-key"))
    assert client.post(f"{path}/renew-key", data=seen).status_code == 404
    assert client.get(f"{path}/renew-key").status_code == 404


@pytest.mark.parametrize("page_key", [None, "", "short"])
def test_a_sending_that_the_page_did_not_make_leads_to_the_page(
    client: FlaskClient, path: str, page_key: str | None
) -> None:
    answer = client.post(f"{path}/renew-key", data={} if page_key is None else {"page_key": page_key})
    assert answer.status_code == 303
    assert answer.location == f"{path}/renew-key"
    assert client.get(path).status_code == 200


def test_deleting_makes_setup_card_and_owners_page_gone(client: FlaskClient, path: str, created: CreatedSetup) -> None:
    answer = client.post(f"{path}/delete", follow_redirects=True)
    assert "deleted" in answer.text
    assert client.get(f"/s/{created.saved.code}").status_code == 410
    assert client.get(path).status_code == 410
    assert client.post(f"{path}/delete").status_code == 410


def test_a_wrong_key_is_not_found(client: FlaskClient, created: CreatedSetup) -> None:
    for key in (created.saved.code, "0" * 26, "short"):
        for below in ("", "/setup.json", "/renew", "/delete"):
            assert client.get(f"/owner/{key}{below}").status_code == 404
        assert client.post(f"/owner/{key}/delete").status_code == 404
    assert client.get(f"/s/{created.saved.code}").status_code == 200


def test_a_form_from_elsewhere_deletes_nothing(make_app: Callable[..., Flask], whole_request: dict[str, Any]) -> None:
    app = make_app(WTF_CSRF_ENABLED=True, PUBLIC_BASE_URL="http://localhost:8000")
    with app.app_context():
        created = create_setup(read_request(whole_request))
    client, path = app.test_client(), f"/owner/{created.owner_key}/delete"
    assert client.post(path).status_code == 400
    token = re.search('name="csrf_token" value="([^"]+)"', client.get(path).text)
    assert token is not None
    assert client.get(f"/s/{created.saved.code}").status_code == 200
    assert client.post(path, data={"csrf_token": token[1]}).status_code == 303
    assert client.get(f"/s/{created.saved.code}").status_code == 410


def test_the_owners_page_stays_out_of_search_engines_and_caches(client: FlaskClient, path: str) -> None:
    headers = client.get(path).headers
    assert "noindex" in headers["X-Robots-Tag"]
    assert headers["Cache-Control"] == "no-store"
