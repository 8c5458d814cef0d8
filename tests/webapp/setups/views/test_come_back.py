"""A rider who comes back: to another travel, a link that ended, and the owner's link on a phone."""

from __future__ import annotations

from flask.testing import FlaskClient

from tests.webapp.setups.views.test_setup import BOTH, save, text_of


def test_the_page_leads_to_another_travel(client: FlaskClient) -> None:
    path = save(client)
    page = client.get(path).get_data(as_text=True)
    assert f'<a href="{path}/travel">Change the travel</a>' in page
    assert client.get(f"{path}/travel").status_code == 200


def test_a_bike_without_a_fork_has_no_travel_to_change(client: FlaskClient) -> None:
    answer = client.post("/", data={name: value for name, value in BOTH.items() if not name.startswith("front.")})
    path = answer.headers["Location"].removeprefix("https://cards.example").partition("?")[0]
    page = client.get(path, follow_redirects=True).get_data(as_text=True)
    assert "Fine-tune" in page
    assert "Change the travel" not in page


def test_the_owners_link_can_be_copied_where_it_is_shown(client: FlaskClient) -> None:
    path = save(client)
    page = client.get(path).get_data(as_text=True)
    assert 'data-copy="https://cards.example/owner/' in page
    assert 'data-copy="' not in client.get(path).get_data(as_text=True)


def test_a_link_that_ended_names_itself_so_that_the_browser_forgets_it(client: FlaskClient) -> None:
    path = save(client)
    page = client.get(path).get_data(as_text=True)
    owner = page.partition('data-copy="https://cards.example')[2].partition('"')[0]
    client.post(f"{owner}/renew")
    gone = client.get(path)
    assert gone.status_code == 410
    assert f'id="gone-bike" data-code="{path.removeprefix("/s/")}" hidden' in gone.get_data(as_text=True)
    assert "gone-bike" not in client.get("/s/" + 26 * "0").get_data(as_text=True)
    assert "This setup no longer exists" in text_of(gone)
