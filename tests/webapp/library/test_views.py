"""The unit library, the accounts and the shop's own setups over HTTP."""

from __future__ import annotations

import html
import io
import re
from datetime import UTC, datetime

import pytest
from flask import Flask
from flask.testing import FlaskClient

from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.open_shop import open_shop
from webapp.setups.actions.find_setup import find_setup

PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
UNIT = {
    "kind": "fork",
    "name": "Fen 34",
    "travels_mm": "120, 140 150",
    "stanchion_mm": "34",
    "max_pressure_psi": "11 bar",
    "negative_spring": "coil",
    "chart1.travel_mm": "140",
    "chart1.rows": "55 60\n80\t88\n105;119",
}
SETUP = {"rider_mass_kg": "78", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "140"}


@pytest.fixture
def staff(app: Flask) -> FlaskClient:
    """A browser in which the owner of an invented shop is logged in."""
    with app.app_context():
        owner = open_shop("Lantern Lane Cycles", "mira", PASSWORD)
        create_staff(owner.shop_id, "tom", PASSWORD, "staff")
    return logged_in(app, "mira", PASSWORD)


def logged_in(app: Flask, login: str, password: str) -> FlaskClient:
    """Return a browser in which somebody is logged in."""
    client = app.test_client()
    assert client.post("/shop/log-in", data={"login": login, "password": password}).status_code == 303
    return client


def add(staff: FlaskClient, **changes: str) -> str:
    """Add a unit and return its address."""
    answer = staff.post("/shop/units/new", data=UNIT | changes)
    assert answer.status_code == 303, re.sub("<[^>]+>", " ", answer.text)
    return str(answer.location).partition("?")[0]


def upload(staff: FlaskClient, text: str, name: str = "units.csv", known: str = "refuse") -> tuple[int, str]:
    """Import a file and return (status, page without tags); the page that a success leads to is opened."""
    data = {"file": (io.BytesIO(text.encode()), name), "known": known}
    answer = staff.post("/shop/units/import", data=data, content_type="multipart/form-data")
    shown = staff.get(str(answer.location)) if answer.status_code == 303 else answer
    assert shown.status_code in (200, 422), shown.text
    return answer.status_code, re.sub("<[^>]+>", " ", shown.text)


def test_a_saved_suspension_unit_shows_what_was_typed_and_what_is_assumed(staff: FlaskClient) -> None:
    page = staff.get(add(staff, negative_spring="air")).text
    assert 'value="120 140 150"' in page
    assert "Bore of the air chamber" in page.partition("Our estimate:")[2].partition("</p>")[0]
    assert "The spring fitted to the chart keeps within" in page
    assert '<svg class="plot"' in page
    assert "Caution:" not in page


def test_a_chart_far_from_the_model_is_told_with_the_place_and_by_how_much(staff: FlaskClient) -> None:
    page = staff.get(
        add(staff, negative_spring="air", **{"chart1.rows": "weight,pressure\n55,120\n80,170\n105,220"})
    ).text
    caution = html.unescape(page.partition("Caution:")[2].partition("</p>")[0])
    assert "3 of 3 compared rows" in caution
    assert "most at 55 kg" in caution
    assert re.search(r"\d+ % more", caution)


def test_a_fault_in_the_second_chart_stands_beside_the_second_chart(staff: FlaskClient) -> None:
    faults = {"chart2.rows": ("150", "80 88\n70 90", "Row 2"), "chart2.travel_mm": ("160", "60 55\n80 88", "160 mm")}
    for field, (travel, rows, what) in faults.items():
        data = UNIT | {"chart2.travel_mm": travel, "chart2.rows": rows}
        answer = staff.post("/shop/units/new", data=data)
        assert answer.status_code == 422
        assert re.search(rf'href="#{re.escape(field)}">[^<]*{what}', answer.text), field


def test_saving_a_suspension_unit_again_as_shown_changes_nothing(staff: FlaskClient) -> None:
    rows = "55.5=60.125 80=88.1234567 105.25=119"
    charts = " | ".join(f"{travel} rider 22.5: {rows}" for travel in (100, 110, 120, 130, 140))
    head = "kind,name,travels_mm,bore_mm,positive_volume_cm3,rebound_points,max_volume_spacers,charts"
    text = f'{head}\nfork,Fen 34,100 110 120 130 140,31.4567,201.2345678,2.5=900.125 13=200,4,"{charts}"\n'
    assert upload(staff, text)[0] == 303
    before = staff.get("/shop/units/units.toml").text
    page = staff.get("/shop/units/1").text
    assert staff.post("/shop/units/1", data=typed(page)).status_code == 303
    assert staff.get("/shop/units/units.toml").text == before


def typed(page: str) -> dict[str, str]:
    """Return what a browser would send of the first form that has a name in it."""
    form = next(part for part in page.split("<form")[1:] if 'name="name"' in part).partition("</form>")[0]
    sent: dict[str, str] = {}
    for tag in re.findall(r"<input[^>]*>", form):
        name, value = (re.search(rf'\b{key}="([^"]*)"', tag) for key in ("name", "value"))
        if name and ("radio" not in tag or " checked" in tag):
            sent[name[1]] = html.unescape(value[1]) if value else ""
    for name, text in re.findall(r'<textarea[^>]*name="([^"]*)"[^>]*>([^<]*)</textarea>', form):
        sent[name] = html.unescape(text)
    return sent


def test_what_is_wrong_with_a_suspension_unit_is_said_beside_it_and_the_rest_is_kept(staff: FlaskClient) -> None:
    answer = staff.post("/shop/units/new", data=UNIT | {"name": "", "chart1.rows": "80 88\n70 90"})
    assert answer.status_code == 422
    assert "Enter a name." in answer.text
    assert "Row 2" in answer.text
    assert "80 88\n70 90" in answer.text


def test_two_suspension_units_of_one_name_are_refused(staff: FlaskClient) -> None:
    add(staff)
    answer = staff.post("/shop/units/new", data=UNIT | {"name": " fen  34 "})
    assert answer.status_code == 422
    assert "The name must be unique." in answer.text


def test_a_copy_starts_with_everything_of_the_suspension_unit(staff: FlaskClient) -> None:
    number = add(staff).rpartition("/")[2]
    page = staff.get(f"/shop/units/new?copy={number}").text
    assert 'value="120 140 150"' in page
    assert "80 88" in page


def test_who_saves_an_older_page_is_told_and_overwrites_nothing(staff: FlaskClient) -> None:
    path = add(staff)
    assert staff.post(path, data=UNIT | {"version": "1", "note": "first"}).status_code == 303
    answer = staff.post(path, data=UNIT | {"version": "1", "note": "second"})
    assert answer.status_code == 422
    assert "in the meantime" in answer.text
    assert 'value="first"' in staff.get(path).text


@pytest.mark.parametrize("text", ["9" * 20, "9" * 5_000, "²", "-1", "x"])
def test_no_number_in_an_address_or_a_hidden_field_breaks_a_page(staff: FlaskClient, text: str) -> None:
    path = add(staff)
    assert staff.get("/shop/units", query_string={"page": text}).status_code == 200
    assert staff.get("/shop/units/new", query_string={"copy": text}).status_code == 200
    refused = staff.post(path, data=UNIT | {"version": text, "note": "an older page"})
    assert refused.status_code == 422
    assert "an older page" not in staff.get(path).text
    assert staff.get("/shop/units/" + "9" * 20).status_code == 404


def test_a_retired_suspension_unit_is_no_longer_offered(staff: FlaskClient) -> None:
    path = add(staff)
    assert "Fen 34" in staff.get("/").text
    assert staff.post(f"{path}/retire", data={"retired": "1"}).status_code == 303
    assert "Fen 34" not in staff.get("/").text
    assert "Fen 34" in staff.get("/shop/units?retired=1").text


def test_a_setup_takes_the_suspension_units_figures_where_nothing_was_typed(staff: FlaskClient) -> None:
    add(staff)
    answer = staff.post("/", data=SETUP | {"front_unit": "fen 34"})
    assert answer.status_code == 303, answer.text
    code = str(answer.location).rpartition("/")[2]
    page = html.unescape(re.sub("<[^>]+>", " ", staff.get(f"/s/{code}").text))
    assert "The chart gives" in page
    assert re.search(r"159\s+psi \(11(\.0)? bar\)", page), re.findall(r"Maximum pressure.{0,80}", page, re.DOTALL)
    assert "a coil negative spring" in page


def test_a_suspension_unit_that_the_library_lacks_is_said_beside_its_box(staff: FlaskClient) -> None:
    answer = staff.post("/", data=SETUP | {"front_unit": "Nothing"})
    assert answer.status_code == 422
    assert "does not contain this fork or shock" in answer.text


def test_a_rider_without_an_account_has_no_suspension_unit_box(client: FlaskClient, staff: FlaskClient) -> None:
    add(staff)
    assert "front_unit" not in client.get("/").text
    assert client.post("/", data=SETUP | {"front_unit": "Fen 34"}).status_code == 303


def test_the_library_comes_back_from_its_own_files(staff: FlaskClient) -> None:
    add(staff)
    for kind in ("csv", "toml"):
        text = staff.get(f"/shop/units/units.{kind}").get_data(as_text=True)
        assert upload(staff, text, f"units.{kind}")[0] == 422  # it is there already
        status, page = upload(staff, text, f"units.{kind}", "replace")
        assert status == 303
        assert "Import done: 0 new, 1 replaced." in page


def test_a_file_with_a_wrong_line_stores_nothing(staff: FlaskClient) -> None:
    status, page = upload(staff, "kind,name,max_pressure_psi\nfork,One,150\nfork,Two,9000\n")
    assert status == 422
    assert "Line 3" in page
    assert "Nothing was saved" in page
    assert "One" not in staff.get("/shop/units").text


def test_what_staff_sets_up_is_found_by_short_code_bike_and_day(staff: FlaskClient, app: Flask) -> None:
    answer = staff.post("/", data=SETUP | {"bike_label": "Heron 4, green"})
    code = str(answer.location).rpartition("/")[2]
    home = staff.get("/shop").text
    short = re.search(r"<td>([0-9A-Z]{6})</td>", home)
    assert short
    today = re.search(r"\d+ \w+ \d{4}", home)
    assert today
    for text in (short[1].lower(), "green", code, f"https://cards.example/s/{code}"):
        assert "Heron 4" in staff.get("/shop", query_string={"q": text}, follow_redirects=True).text, text
    for text in ("violet", "2001-01-01"):
        assert "Heron 4" not in staff.get("/shop", query_string={"q": text}).text
    assert app.test_client().get(f"/s/{short[1]}").status_code == 404


def test_the_owner_adds_closes_and_opens_an_account(staff: FlaskClient, app: Flask) -> None:
    data = {"login": "ada", "password": "pedal stand grease", "role": "staff"}
    assert staff.post("/shop/staff", data=data).status_code == 303
    ada = logged_in(app, "ada", "pedal stand grease")
    assert ada.get("/shop").status_code == 200
    assert staff.post("/shop/staff/3/change", data={"what": "close"}).status_code == 303
    assert ada.get("/shop").status_code == 303
    assert app.test_client().post("/shop/log-in", data=data).status_code == 422
    assert staff.post("/shop/staff/3/change", data={"what": "open"}).status_code == 303
    logged_in(app, "ada", "pedal stand grease")


def test_a_new_password_ends_the_sessions_of_the_account(staff: FlaskClient, app: Flask) -> None:
    tom = logged_in(app, "tom", PASSWORD)
    assert staff.post("/shop/staff/2/password", data={"password": "spoke key and rim tape"}).status_code == 303
    assert tom.get("/shop").status_code == 303
    logged_in(app, "tom", "spoke key and rim tape")


@pytest.mark.parametrize("what", ["", "nonsense"])
def test_a_change_that_is_none_is_refused(staff: FlaskClient, what: str) -> None:
    assert staff.post("/shop/staff/2/change", data={"what": what}).status_code == 400


def test_the_last_owner_stays_one(staff: FlaskClient) -> None:
    for what in ("staff", "close"):
        answer = staff.post("/shop/staff/1/change", data={"what": what})
        assert answer.status_code == 422
        assert "needs an owner" in answer.text


def test_a_bike_that_comes_in_takes_its_suspension_unit_from_the_library_too(staff: FlaskClient) -> None:
    add(staff)
    arrival = {"bike_label": "Heron 4", "spring_end": "front"}
    record = str(staff.post("/shop/bench/new", data=arrival).location)
    assert "Fen 34" in staff.get(f"{record}/setup").text
    assert staff.post(f"{record}/setup", data=SETUP | {"front_unit": "fen 34"}).status_code == 303
    assert "Fork, start pressure" in re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", staff.get(record).text))


def test_the_card_of_a_shops_setup_shows_its_short_code(staff: FlaskClient) -> None:
    code = str(staff.post("/", data=SETUP).location).rpartition("/")[2]
    short = re.search(r"<td>([0-9A-Z]{6})</td>", staff.get("/shop").text)
    assert short
    assert f"shop code {short[1]}" in staff.get(f"/s/{code}/print").text


@pytest.mark.parametrize("size", ["a6", "4x6", "62x100", "a4", "letter-2"])
@pytest.mark.parametrize(
    "letters", ["A very long bike label of the demo fleet number 1234567 XL", "W" * 60, "ÅÄÖ gjq " * 7]
)
def test_the_fullest_card_of_a_shop_is_printed_in_every_size(staff: FlaskClient, size: str, letters: str) -> None:
    rear = {"rear.wanted": "y", "rear.stroke_mm": "55", "rear.wheel_travel_mm": "145", "rear.compression_clicks": "9"}
    front = {"front.longest_travel_mm": "160", "front.compression_clicks": "12", "front.sag_target_percent": "43"}
    words = {
        "bike_label": letters.strip()[:60],
        "service_note": f"{letters} {letters} {letters} {letters}"[:200].strip(),
    }
    answer = staff.post("/", data=SETUP | {"rider_mass_kg": "150 kg"} | front | rear | words)
    assert answer.status_code == 303
    card = staff.get(f"{answer.location}/card.pdf?size={size}")
    assert card.status_code == 200
    assert card.data.startswith(b"%PDF-")


def test_pushes_on_a_fork_say_when_and_by_whom_and_reach_a_setup_that_chooses_it(
    app: Flask, staff: FlaskClient
) -> None:
    pushes = {"spring_test.pressure_psi": "80"}
    for n, (x, down, up) in enumerate(((20, 195, 150), (42, 345, 305), (70, 570, 530), (98, 890, 840)), 1):
        pushes |= {f"spring_test.x{n}": str(x), f"spring_test.down{n}": f"{down} N", f"spring_test.up{n}": f"{up} N"}
    address = add(staff, name="Fen 36", travels_mm="140", negative_spring="", **pushes)
    page = staff.get(address).text
    today = datetime.now(UTC).date().isoformat()
    for words in (
        "Pushes at 80 psi",
        "Friction is about 21 N either way",
        "Off the curve, N",
        "lies 20 N off the curve",
    ):
        assert words in page
    assert page.count('class="plot-pushed"') == 4
    for value in ("80", "42", today, "mira"):
        assert f'value="{value}"' in page
    for kind in ("csv", "toml"):
        assert today in staff.get(f"/shop/units/units.{kind}").text
    made = staff.post("/", data={**SETUP, "front_unit": "Fen 36"})
    assert made.status_code == 303
    with app.app_context():
        front = find_setup(str(made.location).rpartition("/")[2]).setup.front
    assert front is not None
    assert front.pushed is not None
    # Saved again as it is shown, in kilograms, it stays the same but for the digits on the page.
    assert staff.get(address).text.count('name="spring_test.down') == 4


def test_pushes_above_the_maximum_of_a_fork_of_the_library_are_refused_at_their_pressure(staff: FlaskClient) -> None:
    pushes = {"spring_test.pressure_psi": "130", "max_pressure_psi": "110", "travels_mm": "140"}
    for n, (x, down, up) in enumerate(((20, 312, 240), (42, 552, 488), (70, 912, 848), (98, 1424, 1344)), 1):
        pushes |= {f"spring_test.x{n}": str(x), f"spring_test.down{n}": f"{down} N", f"spring_test.up{n}": f"{up} N"}
    answer = staff.post("/shop/units/new", data=UNIT | pushes)
    assert answer.status_code == 422
    assert re.search(
        r'id="spring_test.pressure_psi-fault"><strong>Error:</strong> [^<]*130 psi[^<]*110 psi', answer.text
    )
    assert "Never above the maximum printed on the fork or shock" in answer.text


def test_half_a_push_on_a_fork_of_the_library_is_said(staff: FlaskClient) -> None:
    answer = staff.post("/shop/units/new", data=UNIT | {"spring_test.pressure_psi": "80", "spring_test.x1": "20"})
    assert answer.status_code == 422
    assert "Push 1: going down is missing" in html.unescape(answer.text)
