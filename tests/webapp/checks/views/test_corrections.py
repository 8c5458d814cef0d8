"""Coming back to a saved setup over HTTP: the four forms, their answers, and who was faster."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

BOTH = {
    "rider_mass_kg": "87.5",
    "riding_style": "trail",
    "front.wanted": "y",
    "front.travel_mm": "140",
    "front.rebound_clicks": "16",
    "rear.wanted": "y",
    "rear.stroke_mm": "55",
    "rear.wheel_travel_mm": "145",
    "bike_label": "blue trail bike",
}
#: Another weight; who changes it says the one that was saved.
HEAVIER = {"riding_style": "trail", "rider_mass_kg": "101.5", "rider_mass_now_kg": BOTH["rider_mass_kg"]}
#: More kit, with the same word for it.
LADEN = {"riding_style": "trail", "kit_mass_kg": "12", "rider_mass_now_kg": BOTH["rider_mass_kg"]}
GOOD_CHECK = {"front.pressure_psi": "84", "front.readings_mm-0": "34", "front.readings_mm-1": "35"}
FORMS = [
    pytest.param("sag-check", GOOD_CHECK, id="sag check"),
    pytest.param("bounce", {"clicks_out": "8", "seen": "more"}, id="bounce check"),
    pytest.param("ride", {"felt": "kicks_back"}, id="ride"),
    pytest.param("what-if", LADEN | {"do": "save"}, id="what if"),
]


def text_of(answer: TestResponse) -> str:
    """Return the page's text without tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.get_data(as_text=True))).split())


def value_of(page: str, name: str) -> str:
    """Return what the input `name` holds."""
    found = re.search(rf'<input[^>]* name="{re.escape(name)}"[^>]* value="([^"]*)"', page)
    assert found, name
    return html.unescape(found[1])


def hidden(page: str) -> dict[str, str]:
    """Return the hidden entries of a page's form."""
    body = page[page.index('<form method="post"') :]
    return dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', body.split("</form>")[0]))


def newest(client: FlaskClient, path: str) -> int:
    """Return the number of the newest revision."""
    return int(re.findall(r"Version (\d+)", text_of(client.get(f"{path}/history")))[0])


@pytest.fixture
def path(client: FlaskClient) -> str:
    """The path of a saved setup for both ends."""
    return str(client.post("/", data=BOTH).headers["Location"])


@pytest.mark.parametrize(("form", "entries"), FORMS)
def test_what_was_found_is_saved_as_a_revision_and_answered(
    client: FlaskClient, path: str, form: str, entries: dict[str, str]
) -> None:
    page = client.get(f"{path}/{form}").get_data(as_text=True)
    sent = client.post(f"{path}/{form}", data=hidden(page) | entries)
    assert (sent.status_code, sent.headers["Location"]) == (303, f"{path}/2/answer")
    answer = client.get(f"{path}/2/answer")
    assert answer.status_code == 200
    assert f'href="{path}/card.pdf?revision=2"' in answer.get_data(as_text=True)
    assert newest(client, path) == 2


@pytest.mark.parametrize(("form", "entries"), FORMS)
def test_the_same_page_sent_twice_makes_one_revision(
    client: FlaskClient, path: str, form: str, entries: dict[str, str]
) -> None:
    filled = hidden(client.get(f"{path}/{form}").get_data(as_text=True)) | entries
    places = [client.post(f"{path}/{form}", data=filled).headers["Location"] for _tap in range(2)]
    assert places == [f"{path}/2/answer"] * 2
    assert newest(client, path) == 2


@pytest.mark.parametrize(("form", "entries"), FORMS)
def test_the_second_saver_is_told_and_can_save_on_top(
    client: FlaskClient, path: str, form: str, entries: dict[str, str]
) -> None:
    mine = hidden(client.get(f"{path}/{form}").get_data(as_text=True)) | entries
    first = client.post(f"{path}/sag-check", data={"rear.pressure_psi": "200", "rear.readings_mm-0": "16"})
    assert first.status_code == 303
    told = client.post(f"{path}/{form}", data=mine)
    page = told.get_data(as_text=True)
    assert told.status_code == 409
    assert "Version 2 was saved while this page was open: Sag check of the shock" in text_of(told)
    assert "Shock rear" in text_of(told)
    for name, typed in entries.items():
        if name not in ("do", "seen", "felt", "riding_style"):
            assert value_of(page, name) == typed
    for name in ("seen", "felt"):
        if name in entries:
            assert re.search(rf'name="{name}" value="{entries[name]}" checked', page)
    again = client.post(f"{path}/{form}", data=hidden(page) | entries)
    assert again.headers["Location"] == f"{path}/3/answer"


@pytest.mark.parametrize(("form", "entries"), FORMS)
def test_a_lost_token_says_so_and_loses_nothing(
    make_app: Callable[..., Flask], form: str, entries: dict[str, str]
) -> None:
    client = make_app(WTF_CSRF_ENABLED=True, PUBLIC_BASE_URL="http://localhost:8000").test_client()
    token = value_of(client.get("/").get_data(as_text=True), "csrf_token")
    path = client.post("/", data=BOTH | {"csrf_token": token}).headers["Location"]
    lost = client.post(f"{path}/{form}", data=entries | {"csrf_token": "stale"})
    page = lost.get_data(as_text=True)
    assert lost.status_code == 422
    assert "Your entries are kept. Press the button again." in page
    assert client.post(f"{path}/{form}", data=hidden(page) | entries).status_code == 303


def test_the_short_form_on_the_setups_page_is_one_tap_away_and_works(client: FlaskClient, path: str) -> None:
    page = client.get(path).get_data(as_text=True)
    forms = re.findall(r'<form method="post" action="([^"]*sag-check[^"]*)"', page)
    assert [html.unescape(one) for one in forms] == [f"{path}/sag-check"] * 2
    sent = client.post(forms[0], data=hidden(page) | {"front.pressure_psi": "84", "front.readings_mm-0": "34"})
    assert sent.headers["Location"] == f"{path}/2/answer"


def test_an_earlier_revision_offers_no_way_to_add_to_it(client: FlaskClient, path: str) -> None:
    client.post(f"{path}/sag-check", data=GOOD_CHECK)
    page = client.get(f"{path}/1").get_data(as_text=True)
    assert "sag-check" not in page
    assert "sag-check" in client.get(path).get_data(as_text=True)


@pytest.mark.parametrize(
    ("entries", "where", "words"),
    [
        ({"front.readings_mm-0": ""}, "front.readings_mm", "at least one sag reading"),
        ({"front.readings_mm-0": "0"}, "front.readings_mm", "did not move"),
        ({"front.readings_mm-0": "150"}, "front.readings_mm", "150 mm is not less than the travel of 140 mm"),
        ({"front.readings_mm-0": "20", "front.readings_mm-1": "60"}, "front.readings_mm", "apart"),
        (
            {"front.readings_from_above_mm-0": "40", "front.readings_from_below_mm-0": "30"},
            "front.readings_from_above_mm",
            "swapped",
        ),
        ({"front.pressure_psi": "6"}, "front.pressure_psi", "If the pump shows bar"),
        ({"front.pressure_psi": "0"}, "front.pressure_psi", "above 0 psi"),
        ({"front.pressure_psi": "lots"}, "front.pressure_psi", "is not a number"),
        ({"front.readings_mm-1": "3O"}, "front.readings_mm-1", "Reading 2"),
        ({"temperature_c": "99"}, "temperature_c", "outside -30 to 60"),
    ],
)
def test_nonsense_in_a_sag_check_is_kept_with_its_reason_beside_it(
    client: FlaskClient, path: str, entries: dict[str, str], where: str, words: str
) -> None:
    sent = {**GOOD_CHECK, "front.readings_mm-1": "", **entries}
    answer = client.post(f"{path}/sag-check", data=sent)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert "<title>Error: " in page
    assert words in text_of(answer)
    assert f'<a href="#{where}">' in page
    assert f'id="{where}"' in page
    assert f'id="{where}-fault"' in page
    for name, typed in sent.items():
        assert value_of(page, name) == typed
    assert newest(client, path) == 1


@pytest.mark.parametrize(
    ("form", "entries", "where", "words"),
    [
        ("bounce", {"clicks_out": "99", "seen": "about_right"}, "clicks_out", "outside 0 to"),
        (
            "bounce",
            {"clicks_out": "8", "seen": "about_right", "dip_mm": "60", "beyond_mm": "9"},
            "seen",
            "Enter one of the two",
        ),
        ("bounce", {"clicks_out": "8", "dip_mm": "60", "beyond_mm": "90"}, "beyond_mm", "is not possible"),
        ("ride", {}, "felt", "how it felt"),
        ("ride", {"felt": ["kicks_back", "packs_down"]}, "felt", "opposite changes"),
        ("ride", {"felt": ["feels_right", "dives"]}, "felt", "cannot go with"),
        ("ride", {"travel_used_mm": "90", "hard_hits": "3"}, "travel_used_mm", "contradict each other"),
        ("ride", {"travel_used_mm": "200"}, "travel_used_mm", "outside 0 to"),
        ("what-if", {"kit_mass_kg": "400"}, "kit_mass_kg", "outside 0 to 40 kg"),
        ("what-if", {"front.sag_target_percent": "90"}, "front.sag_target_percent", "outside 5 to 45"),
    ],
)
def test_what_contradicts_itself_is_told_beside_its_field(
    client: FlaskClient, path: str, form: str, entries: dict[str, Any], where: str, words: str
) -> None:
    answer = client.post(f"{path}/{form}", data=entries)
    page = answer.get_data(as_text=True)
    assert answer.status_code == 422
    assert words in text_of(answer)
    assert f'<a href="#{where}">' in page
    assert f'id="{where}-fault"' in page
    assert newest(client, path) == 1


def test_a_settled_check_says_done(client: FlaskClient, path: str) -> None:
    place = client.post(f"{path}/sag-check", data=GOOD_CHECK).headers["Location"]
    page = client.get(place).get_data(as_text=True)
    psi = re.findall(r'<span class="big">([\d.]+)</span>', page)[0]
    reading = {f"front.readings_mm-{n}": "22.5 %" for n in range(3)}
    done = client.post(f"{path}/sag-check", data={"front.pressure_psi": psi, **reading}).headers["Location"]
    text = text_of(client.get(done))
    assert "Done: go for a ride" in text
    assert "Measure again" not in text


def test_the_difference_is_shown_before_anything_is_saved(client: FlaskClient, path: str) -> None:
    shown = client.post(
        f"{path}/what-if",
        data={**HEAVIER, "do": "show"},
    )
    text = text_of(shown)
    assert shown.status_code == 200
    assert "psi more" in text
    assert "Rider weight not shown not shown changed" in text
    assert newest(client, path) == 1
    page = shown.get_data(as_text=True)
    assert value_of(page, "rider_mass_kg") == "101.5"
    saved = client.post(
        f"{path}/what-if",
        data=hidden(page) | {**HEAVIER, "do": "save"},
    )
    assert saved.status_code == 303, text_of(saved)


@pytest.mark.parametrize("button", ["show", "save"])
def test_a_changed_circumstance_does_not_undo_what_was_saved_meanwhile(
    client: FlaskClient, path: str, button: str
) -> None:
    page = hidden(client.get(f"{path}/what-if").get_data(as_text=True))
    client.post(f"{path}/what-if", data={"riding_style": "enduro", "do": "save"})
    mine = LADEN  # the style as it stood on the page, untouched
    told = client.post(f"{path}/what-if", data=page | mine | {"do": button})
    assert "Version 2 was saved while this page was open: Changed: Riding style" in text_of(told)
    shown = told.get_data(as_text=True)
    (style,) = re.findall(r'name="riding_style" value="(\w+)" checked', shown)
    on_top = client.post(f"{path}/what-if", data=mine | hidden(shown) | {"riding_style": style, "do": "save"})
    assert on_top.headers["Location"] == f"{path}/3/answer"
    assert "Changed: Kit weight ·" in text_of(client.get(f"{path}/3/answer"))


def test_what_was_learned_survives_a_change(client: FlaskClient, path: str) -> None:
    client.post(f"{path}/sag-check", data=GOOD_CHECK)
    client.post(f"{path}/what-if", data=LADEN | {"do": "save"})
    assert "From one sag check" in text_of(client.get(path))


def test_nobody_reads_the_riders_weight_from_these_pages(client: FlaskClient, path: str) -> None:
    client.post(
        f"{path}/what-if",
        data={**HEAVIER, "do": "save"},
    )
    pages = ("sag-check", "bounce", "ride", "what-if", "history", "compare?a=1&b=2", "2/answer")
    for page in pages:
        text = client.get(f"{path}/{page}").get_data(as_text=True)
        assert "101.5" not in text
        assert "87.5" not in text


def test_looking_changes_nothing(client: FlaskClient, path: str) -> None:
    for page in ("sag-check", "bounce", "ride", "what-if", "history", "compare"):
        assert client.get(f"{path}/{page}").status_code == 200
        assert client.head(f"{path}/{page}").status_code == 200
    assert client.get(f"{path}/restore").status_code == 405
    assert newest(client, path) == 1


def test_a_setup_of_one_end_is_not_asked_which(client: FlaskClient) -> None:
    only = {name: typed for name, typed in BOTH.items() if not name.startswith("rear")}
    path = client.post("/", data=only).headers["Location"]
    for page in ("sag-check", "bounce?end=rear", "ride"):
        text = client.get(f"{path}/{page}").get_data(as_text=True)
        assert 'class="which"' not in text
        assert "fork" in text


@pytest.mark.parametrize("page", ["sag-check", "bounce", "ride", "what-if", "history", "compare", "1/answer"])
def test_a_link_that_nobody_has_is_a_page_with_a_way_on(client: FlaskClient, page: str) -> None:
    assert client.get(f"/s/{'0' * 26}/{page}").status_code == 404


@pytest.mark.parametrize("text", ["", "x" * 900, "\x00", "nan", "9**9", "٨٢", "1e400", "-5", "{{7*7}}", "<script>"])
@pytest.mark.parametrize("form", ["sag-check", "bounce", "ride", "what-if"])
def test_no_text_in_any_field_ends_in_a_traceback(client: FlaskClient, path: str, form: str, text: str) -> None:
    page = client.get(f"{path}/{form}").get_data(as_text=True)
    names = set(re.findall(r'name="([^"]+)"', page.partition("<form")[2]))
    assert len(names) >= 5
    for do in ("show", "save"):
        answer = client.post(f"{path}/{form}", data=dict.fromkeys(names, text) | {"do": do})
        assert answer.status_code == 422
        assert "<script>" not in answer.get_data(as_text=True)


def test_no_page_has_inline_script_or_style_and_none_is_indexed(client: FlaskClient, path: str) -> None:
    client.post(f"{path}/sag-check", data=GOOD_CHECK)
    for place in ("sag-check", "bounce", "ride", "what-if", "history", "compare", "2/answer"):
        answer = client.get(f"{path}/{place}")
        page = answer.get_data(as_text=True)
        assert page.count("<script") == len(re.findall(r'<script src="/static/\w+\.js" defer></script>', page))
        assert not re.search(r"<[^>]+ (style|on\w+)=", page)
        assert answer.headers["X-Robots-Tag"] == "noindex, nofollow"


def test_a_fault_in_a_two_way_reading_opens_its_part_once(client: FlaskClient, path: str) -> None:
    wrong = {"front.readings_from_above_mm-0": "x" * 8, "front.readings_from_below_mm-0": "300"}
    page = client.post(f"{path}/sag-check", data=wrong).text
    assert "<details open>" in page
    assert "open open" not in page
