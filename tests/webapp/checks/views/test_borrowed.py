"""A borrowed bike: a named rider on it, what is measured meanwhile, and back in one press."""

from __future__ import annotations

import re

import pytest
from flask.testing import FlaskClient

from tests.webapp.setups.views.test_setup import save, text_of, value_of

ANA = {"rider_mass_kg": "60", "kit_mass_kg": "3", "riding_style": "trail", "rider_name": "Ana", "do": "save"}


@pytest.fixture
def path(client: FlaskClient) -> str:
    """A setup that this browser entered."""
    return save(client)


def lend(client: FlaskClient, path: str, **changes: str) -> None:
    """Put Ana on it."""
    answer = client.post(f"{path}/what-if", data=ANA | changes)
    assert answer.status_code == 303, text_of(answer)


def give_back(client: FlaskClient, path: str) -> str:
    """Press the one button, as the page draws it, and return where that leads."""
    page = client.get(path).get_data(as_text=True)
    form = re.search(rf'<form[^>]+action="{path}/give-back">.*?</form>', page, re.DOTALL)
    assert form, "no button"
    names = ("idempotency_key", "base_revision")
    hidden = {name: re.search(rf'name="{name}" value="([^"]*)"', form[0])[1] for name in names}  # type: ignore[index]
    answer = client.post(f"{path}/give-back", data=hidden)
    assert answer.status_code == 303, text_of(answer)
    return str(answer.headers["Location"])


def numbers(client: FlaskClient, path: str) -> tuple[object, object]:
    """Return both ends of the newest version."""
    answer = client.get(f"/api/v1{path.replace('/s/', '/setups/')}").get_json()
    return answer["front"], answer["rear"]


def test_a_named_rider_is_on_it_and_the_page_and_the_history_say_so(client: FlaskClient, path: str) -> None:
    own = numbers(client, path)
    lend(client, path)
    assert "Ana is on it" in text_of(client.get(path))
    assert "Ana is on it" in text_of(client.get(f"{path}/history"))
    assert numbers(client, path) != own


def test_it_goes_back_in_one_press_with_every_number_as_it_was(client: FlaskClient, path: str) -> None:
    own = numbers(client, path)
    lend(client, path)
    assert give_back(client, path) == f"{path}/3/answer"
    assert client.get(f"{path}/3/answer").status_code == 200
    assert numbers(client, path) == own
    page = text_of(client.get(path))
    assert "Ana is on it" not in page
    assert "Back to how it was before Ana" in text_of(client.get(f"{path}/history"))


def test_what_is_measured_with_the_borrower_on_it_is_kept(client: FlaskClient, path: str) -> None:
    own = numbers(client, path)
    lend(client, path)
    check = client.post(f"{path}/sag-check", data={"front.pressure_psi": "62", "front.readings_mm-0": "34"})
    assert check.status_code == 303, text_of(check)
    assert "Ana is on it" in text_of(client.get(path))
    give_back(client, path)
    assert numbers(client, path)[0] != own[0]
    assert client.get(f"{path}/history").get_data(as_text=True).count(f'action="{path}/strike"') == 1


def test_a_second_borrower_gives_it_back_to_its_own_rider(client: FlaskClient, path: str) -> None:
    own = numbers(client, path)
    lend(client, path)
    lend(client, path, rider_mass_kg="90", rider_name="Ben")
    assert "Ben is on it" in text_of(client.get(path))
    give_back(client, path)
    assert numbers(client, path) == own


def test_restoring_a_version_from_before_ends_it_and_one_of_the_loan_brings_it_back(
    client: FlaskClient, path: str
) -> None:
    lend(client, path)
    client.post(f"{path}/restore", data={"revision": "1", "base_revision": "2"})
    assert "Ana is on it" not in text_of(client.get(path))
    client.post(f"{path}/restore", data={"revision": "2", "base_revision": "3"})
    assert "Ana is on it" in text_of(client.get(path))


def test_who_was_faster_is_told_and_nothing_is_overwritten(client: FlaskClient, path: str) -> None:
    lend(client, path)
    client.post(f"{path}/what-if", data={"riding_style": "trail", "bench.temperature_c": "5", "do": "save"})
    late = client.post(f"{path}/give-back", data={"base_revision": "2", "idempotency_key": "k" * 32})
    assert late.status_code == 409
    assert "5 °C" in text_of(client.get(path))


def test_nobody_gives_back_what_nobody_borrowed(client: FlaskClient, path: str) -> None:
    answer = client.post(f"{path}/give-back", data={"base_revision": "1", "idempotency_key": "k" * 32})
    assert answer.status_code == 422
    assert "This bike is not borrowed" in text_of(answer)


def test_a_name_is_one_short_line_and_is_never_printed(client: FlaskClient, path: str) -> None:
    refused = client.post(f"{path}/what-if", data=ANA | {"rider_name": "x" * 25})
    assert refused.status_code == 422
    assert value_of(refused.get_data(as_text=True), "rider_name") == "x" * 25
    lend(client, path)
    assert "Ana" not in text_of(client.get(f"{path}/print"))


def test_a_stranger_lends_it_only_with_the_proof(client: FlaskClient, path: str) -> None:
    stranger = client.application.test_client()
    assert stranger.post(f"{path}/what-if", data=ANA).status_code == 422
    assert stranger.post(f"{path}/what-if", data=ANA | {"rider_mass_now_kg": "81.5"}).status_code == 303


def test_a_name_alone_is_asked_for_its_weight_and_stays(client: FlaskClient, path: str) -> None:
    answer = client.post(f"{path}/what-if", data={"riding_style": "trail", "rider_name": "Ana"})
    assert answer.status_code == 422
    assert "Enter the weight of who is on it too" in text_of(answer)
    assert value_of(answer.get_data(as_text=True), "rider_name") == "Ana"


def test_a_maximum_read_while_it_is_lent_holds_for_its_own_rider(client: FlaskClient, path: str) -> None:
    lend(client, path, **{"front.max_pressure_psi": "55"})
    give_back(client, path)
    front, _rear = numbers(client, path)
    assert front["max_pressure_psi"] == 55  # type: ignore[index]
    assert front["pressure_psi"] <= 55  # type: ignore[index]
