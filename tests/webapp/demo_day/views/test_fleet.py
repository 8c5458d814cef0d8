"""The fleet's pages: a bike described, edited, listed, taken in from a file, tagged, archived."""

from __future__ import annotations

import io
import re

import pikepdf
import pytest
from werkzeug.test import TestResponse

from tests.webapp.demo_day.conftest import Crew, found, plain
from webapp.cards.rendering.sizes import SheetSize
from webapp.cards.rendering.tags import Tag, print_tags
from webapp.demo_day.actions import list_bikes
from webapp.demo_day.bike_columns import COLUMNS
from webapp.demo_day.views import tag as tag_views
from webapp.library.actions.save_suspension_unit import save_suspension_unit
from webapp.library.parsing import read_suspension_unit

BIKE = {
    "number": "12",
    "label": "Otter, plum",
    "riding_style": "trail",
    "bike_mass_kg": "15",
    "front.wanted": "y",
    "front.travel_mm": "140",
    "front.rebound_clicks": "18",
    "rear.wanted": "",
}


def unit(crew: Crew, **data: object) -> None:
    with crew.app.app_context():
        save_suspension_unit(crew.shop_id, read_suspension_unit(data))


def send_bike(crew: Crew, path: str, **fields: str) -> TestResponse:
    page = crew.page(path)
    sent = {name: value for name, value in (BIKE | fields).items() if value}
    hidden = {name: found(page, name) for name in ("version", "idempotency_key")}
    return crew.client.post(path, data=hidden | sent)


def test_a_bike_is_added_and_shown(crew: Crew) -> None:
    page = plain(crew.follow(send_bike(crew, "/shop/bikes/new")))
    assert "Bike 12 · Otter, plum" in page
    assert "140 mm travel" in page
    assert "not known" in page
    assert "12 Otter, plum" in plain(crew.page("/shop/bikes"))


def test_a_number_that_only_looks_free_is_taken(crew: Crew) -> None:
    crew.add("12")
    assert send_bike(crew, "/shop/bikes/new", number="1\u200b2").status_code == 422
    data = {"file": (io.BytesIO("number,fork_travel_mm\n\u00ad12,140\n".encode()), "bikes.csv")}
    assert crew.client.post("/shop/bikes/import", data=data).status_code == 422


def test_a_number_is_needed_and_taken_once(crew: Crew) -> None:
    crew.add("12")
    taken = send_bike(crew, "/shop/bikes/new")
    assert taken.status_code == 422
    assert "has a bike with this number already" in taken.text
    assert 'value="Otter, plum"' in taken.text
    nameless = send_bike(crew, "/shop/bikes/new", number="")
    assert "Give the bike a number" in nameless.text


def test_a_fork_of_one_travel_is_not_asked_for_it_and_one_of_several_is(crew: Crew) -> None:
    unit(crew, kind="fork", name="Fen 34", travels_mm=[130], max_pressure_psi=120)
    unit(crew, kind="fork", name="Reed 36", travels_mm=[140, 160])
    one = {"front_unit": "fen 34", "front.travel_mm": "", "front.rebound_clicks": ""}
    page = plain(crew.follow(send_bike(crew, "/shop/bikes/new", **one)))
    assert "Fen 34, 130 mm travel, maximum 120 psi" in page
    several = send_bike(crew, "/shop/bikes/new", number="13", front_unit="Reed 36", **{"front.travel_mm": ""})
    assert several.status_code == 422
    assert "comes with 140, 160 mm" in several.text
    unknown = send_bike(crew, "/shop/bikes/new", number="14", front_unit="Sedge")
    assert "not in this shop" in unknown.text
    assert 'value="Sedge"' in unknown.text


def test_an_edited_bike_keeps_what_the_form_does_not_show(crew: Crew) -> None:
    unit(crew, kind="fork", name="Fen 34", travels_mm=[130], charts=[{"travel_mm": 130, "rows": [[60, 70], [80, 90]]}])
    rear = {"stroke_mm": 60, "leverage_table": [[0, 2.9], [30, 2.6], [60, 2.4]]}
    bike = crew.add("5", front={"unit": "Fen 34"}, rear=rear)
    page = crew.page(f"/shop/bikes/{bike.bike_id}/edit")
    assert 'value="Fen 34"' in page
    fields = {"rear.wanted": "y", "rear.stroke_mm": "60", "front_unit": "Fen 34", "front.travel_mm": "", "number": "5b"}
    sent = {**fields, "front.rebound_clicks": "", "bike_mass_kg": "14", "riding_style": "enduro"}
    crew.follow(send_bike(crew, f"/shop/bikes/{bike.bike_id}/edit", **sent, **{"rear.wheel_travel_mm": "158"}))
    after = crew.bike(bike.bike_id)
    assert after.number == "5b"
    assert after.document["front"] == bike.document["front"]
    assert after.document["rear"].get("leverage_table") == bike.document["rear"]["leverage_table"]


def test_another_travel_halves_what_was_learned_and_lets_the_air_out(crew: Crew) -> None:
    bike = crew.add("12", label="", front={"travel_mm": 140, "rebound_clicks": 18}, rear=None)
    page = crew.page(f"/shop/bikes/{bike.bike_id}")
    read = {"front.pressure_psi": "70", "front.rebound_clicks_out": "9"}
    crew.follow(crew.send(page, f"/shop/bikes/{bike.bike_id}/stands", **read))
    assert crew.bike(bike.bike_id).standing["front"].pressure_psi == 70
    crew.follow(send_bike(crew, f"/shop/bikes/{bike.bike_id}/edit", **{"front.travel_mm": "130"}))
    stands = crew.bike(bike.bike_id).standing["front"]
    assert (stands.pressure_psi, stands.rebound_clicks_out) == (None, 9)


def test_what_is_fitted_stays_while_a_rider_has_the_bike(crew: Crew) -> None:
    bike = crew.add("12", label="", front={"travel_mm": 140, "rebound_clicks": 18}, rear=None).bike_id
    crew.set_up(bike, "70")
    refused = send_bike(crew, f"/shop/bikes/{bike}/edit", **{"front.travel_mm": "130"})
    assert "A rider is on this bike" in refused.text
    renamed = send_bike(
        crew, f"/shop/bikes/{bike}/edit", label="Otter, green", bike_mass_kg="14", riding_style="enduro"
    )
    assert renamed.status_code == 303
    assert crew.bike(bike).label == "Otter, green"


def test_two_editors_are_told_of_each_other(crews: tuple[Crew, Crew]) -> None:
    mira, tom = crews
    bike = mira.add("12", front={"travel_mm": 140, "rebound_clicks": 18}, rear=None).bike_id
    path = f"/shop/bikes/{bike}/edit"
    page = tom.page(path)
    mira.follow(send_bike(mira, path, label="Otter, green"))
    hidden = {name: found(page, name) for name in ("version", "idempotency_key")}
    late = tom.client.post(path, data=hidden | {k: v for k, v in BIKE.items() if v} | {"label": "Otter, grey"})
    assert "mira edited the bike, under 1 min ago." in late.text
    assert 'value="Otter, grey"' in late.text
    assert mira.bike(bike).label == "Otter, green"
    again = {name: found(late.text, name) for name in ("version", "idempotency_key")}
    on_top = tom.client.post(path, data=again | {k: v for k, v in BIKE.items() if v} | {"label": "Otter, grey"})
    assert on_top.status_code == 303
    assert mira.bike(bike).label == "Otter, grey"


def upload(crew: Crew, text: str) -> TestResponse:
    data = {"file": (io.BytesIO(text.encode()), "bikes.csv")}
    return crew.client.post("/shop/bikes/import", data=data)


def test_a_list_is_taken_in_whole(crew: Crew) -> None:
    unit(crew, kind="shock", name="Rill 60", travels_mm=[60], max_pressure_psi=250)
    rows = (
        "number;label;riding_style;fork_travel_mm;fork_rebound_clicks;shock;leverage_start;leverage_end;fork_pressure_psi\n"
        "1;Blue, M;cross-country;120;16;;;;71,5\n"
        "2;Red, L;enduro;150;;rill 60;2,8;2,4;\n"
    )
    page = plain(crew.follow(upload(crew, rows)))
    assert "Import done: 2 bikes added." in page
    assert "1 Blue, M" in page
    assert "71.5 psi" in page or "72 psi" in page
    assert crew.page("/shop/bikes").count('class="bike-row"') == 2


def test_the_sample_has_every_column_and_can_be_taken_in_as_it_is(crew: Crew) -> None:
    page = crew.page("/shop/bikes/import")
    assert 'href="/shop/bikes/import/sample.csv"' in page
    sample = crew.client.get("/shop/bikes/import/sample.csv").data
    heads = sample.decode("utf-8-sig").split("\r\n")[0].split(",")
    assert heads == list(COLUMNS)
    data = {"file": (io.BytesIO(sample), "bikes-sample.csv")}
    answer = crew.client.post("/shop/bikes/import", data=data)
    assert answer.status_code == 303, plain(answer.text)
    shown = plain(crew.page(answer.location))
    assert all(name in shown for name in ("Heron, rust, size M", "Heron, slate, size L", "Finch"))


def test_every_problem_of_a_list_is_named_by_line_and_nothing_is_stored(crew: Crew) -> None:
    crew.add("3")
    rows = (
        "number,fork_travel_mm,fork_pressure_psi,riding_style,fork\n"
        "1,120,60,trail,\n"
        "1,abc,,trail,\n"
        ",120,,trail,\n"
        "3,120,,trail,\n"
        "4,9000,,racing,Sedge\n"
        "5,120,400,trail,\n"
    )
    answer = upload(crew, rows)
    assert answer.status_code == 422
    said = plain(answer.text)
    for told in (
        "Line 3: Number 1 is also in line 2.",
        "Line 3: fork_travel_mm: “abc” is not a plain number.",
        "Line 4: number: Give the bike a number",
        "Line 5: The shop has a bike with the number 3 already.",
        "Line 6: fork: 'Sedge' is not in this shop",
        "Line 6: riding_style",
        "Line 7: fork_pressure_psi: 400",
    ):
        assert told in said.replace("&#39;", "'"), (told, said)
    assert crew.page("/shop/bikes").count('class="bike-row"') == 1


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "The file is empty"),
        ("label\nx\n", "The column number is missing"),
        ("number,frok\n1,2\n", "Did you mean fork?"),
        ("number\n", "no rows below"),
        ('number\n"1\n', "quotation mark"),
    ],
)
def test_a_file_that_is_no_list_says_why(crew: Crew, text: str, told: str) -> None:
    answer = upload(crew, text)
    assert answer.status_code == 422
    assert told in plain(answer.text)
    assert crew.client.post("/shop/bikes/import", data={}).status_code == 422


def test_a_bike_is_found_by_number_tag_and_scanned_link(crew: Crew) -> None:
    bike = crew.add("12")
    crew.add("120")
    for typed in ("12", " 12 ", bike.tag, bike.tag.lower(), f"https://CARDS.EXAMPLE/BIKE/{bike.tag}"):
        answer = crew.client.get("/shop/bikes", query_string={"q": typed})
        assert answer.location == f"/shop/bikes/{bike.bike_id}/set-up", typed
    mangled = f"httpsÖ--cards.example-bike-{bike.tag.lower()}"  # a scanner that types on another layout
    assert crew.client.get("/shop/bikes", query_string={"q": mangled}).status_code == 303
    assert "No bike has" in plain(crew.page("/shop/bikes?q=99"))
    assert 'href="/shop?q=4F7H05"' in crew.page("/shop/bikes?q=4F7H05")  # a customer's card, scanned in the wrong box
    assert crew.page("/shop/bikes?q=heron").count('class="bike-row"') == 2


def test_a_new_tag_ends_the_old_one(crew: Crew) -> None:
    bike = crew.add("12")
    assert "Rider weight" in plain(crew.page(f"/bike/{bike.tag}"))
    page = crew.page(f"/shop/bikes/{bike.bike_id}")
    crew.follow(crew.send(page, f"/shop/bikes/{bike.bike_id}/tag"))
    assert crew.client.get(f"/bike/{bike.tag}").status_code == 404
    assert "Rider weight" in plain(crew.page(f"/BIKE/{crew.bike(bike.bike_id).tag}"))


def test_an_archived_bike_leaves_the_list_and_comes_back(crew: Crew) -> None:
    bike = crew.add("12").bike_id
    crew.set_up(bike, "70")
    page = crew.page(f"/shop/bikes/{bike}")
    assert crew.send(page, f"/shop/bikes/{bike}/archive", archived="1").status_code == 409
    crew.press(bike, "not_done")
    page = crew.page(f"/shop/bikes/{bike}")
    shown = plain(crew.follow(crew.send(page, f"/shop/bikes/{bike}/archive", archived="1")))
    assert "This bike is archived." in shown
    assert "No bikes yet" in plain(crew.page("/shop/bikes"))
    assert "12 Heron" in plain(crew.page("/shop/bikes?archived=1"))
    assert crew.client.get(f"/shop/bikes/{bike}/set-up").status_code == 404
    page = crew.page(f"/shop/bikes/{bike}")
    crew.follow(crew.send(page, f"/shop/bikes/{bike}/archive", archived="0"))
    assert "12 Heron" in plain(crew.page("/shop/bikes"))


def test_free_bikes_come_by_the_work_that_they_need(crew: Crew) -> None:
    far, near, weak = crew.add("1"), crew.add("2"), crew.add("3", front={"travel_mm": 150, "max_pressure_psi": 50})
    busy = crew.add("4")
    for bike, kg in ((far, "55"), (near, "90")):
        crew.set_up(bike.bike_id, kg, "enduro")
        crew.press(bike.bike_id, "set")
        crew.press(bike.bike_id, "back")
    crew.set_up(busy.bike_id, "90", "enduro")
    form = {"rider_mass_kg": "90", "riding_style": "enduro"}
    answer = crew.client.post("/shop/bikes/free", data=form)
    said = plain(answer.text)
    order = [said.index(f"{number} Heron") for number in ("2", "1", "3")]
    assert order == sorted(order)
    assert "nothing to change · unchecked" in said
    assert "a limit is in the way" in said
    assert "4 Heron" not in said
    assert f"/shop/bikes/{weak.bike_id}/set-up" in answer.text
    wrong = crew.client.post("/shop/bikes/free", data=form | {"rider_mass_kg": "x"})
    assert wrong.status_code == 422
    assert 'value="x"' in wrong.text


def test_a_long_fleet_comes_in_pages(crew: Crew) -> None:
    rows = "number,fork_travel_mm\n" + "".join(f"{n},120\n" for n in range(1, 66))
    crew.follow(upload(crew, rows))
    first, second = (crew.page(f"/shop/bikes?page={n}") for n in (1, 2))
    assert (first.count('class="bike-row"'), second.count('class="bike-row"')) == (60, 5)
    assert plain(first).index("2 ") < plain(first).index("10 ")


def test_all_tags_are_printed_in_files_of_a_few_sheets(crew: Crew, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(list_bikes, "TAGS_AT_ONCE", 3)
    printed: list[list[str]] = []

    def print_and_note(tags: list[Tag], size: SheetSize) -> bytes:
        printed.append([tag.address.rpartition("/")[2] for tag in tags])
        return print_tags(tags, size)

    monkeypatch.setattr(tag_views, "print_tags", print_and_note)
    bikes = {number: crew.add(number) for number in ("10", "2", "3", "1")}
    files = re.findall(r'href="([^"]*tags\.pdf\?file=\d+)"', crew.page("/shop/bikes/tags"))
    pages = [len(pikepdf.open(io.BytesIO(crew.client.get(file).data)).pages) for file in files]
    assert pages == [1, 1]
    assert printed == [[bikes[number].tag for number in ("1", "2", "3")], [bikes["10"].tag]]
    assert "1 to 3" in plain(crew.page("/shop/bikes/tags"))
    assert crew.client.get("/shop/bikes/tags.pdf?file=3").status_code == 404
    assert crew.client.get("/shop/bikes/tags.pdf?size=none").status_code == 404


@pytest.mark.parametrize(
    ("address", "dead"), [("http://localhost:8000", True), ("http://192.168.4.20:8000", False), ("http://[::1]", True)]
)
def test_tags_that_no_phone_can_open_are_not_printed_unawares(crew: Crew, address: str, dead: bool) -> None:
    bike = crew.add("12").bike_id
    crew.app.config["PUBLIC_BASE_URL"] = address
    assert ("Do not print yet." in plain(crew.page("/shop/bikes/tags"))) is dead
    assert ("which no phone can open" in plain(crew.page(f"/shop/bikes/{bike}"))) is dead


def test_the_tag_prints_number_and_code(crew: Crew) -> None:
    bike = crew.add("12").bike_id
    answer = crew.client.get(f"/shop/bikes/{bike}/tag.pdf")
    assert answer.status_code == 200
    assert answer.data.startswith(b"%PDF")
    assert crew.client.get(f"/shop/bikes/{bike}/tag.pdf?size=none").status_code == 404


def test_a_bike_that_stands_above_a_maximum_entered_later_says_so(crew: Crew) -> None:
    bike = crew.add("7").bike_id
    page = crew.page(f"/shop/bikes/{bike}")
    assert crew.send(page, f"/shop/bikes/{bike}/stands", **{"front.pressure_psi": "130"}).status_code == 303
    assert "let air out" not in plain(crew.page("/shop/bikes"))
    fields = {"number": "7", "front.travel_mm": "150", "front.max_pressure_psi": "100", "rear.wanted": ""}
    assert send_bike(crew, f"/shop/bikes/{bike}/edit", **fields).status_code == 303
    for path in ("", f"/{bike}", f"/{bike}/set-up"):
        assert "130 psi – above its maximum of 100 psi: let air out" in plain(crew.page(f"/shop/bikes{path}"))
