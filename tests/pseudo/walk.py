"""The walk: a shop and its riders' setups made and looked at in the invented language, every page and answer kept."""

from __future__ import annotations

import html
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final
from urllib.parse import urljoin, urlsplit

from flask import Flask, request, request_started
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.kept import make_data_folder as kept
from tests.pseudo.catalogue import settings
from webapp import create_app
from webapp.accounts.actions.throttle import forget_old_attempts
from webapp.demo_day.actions.find_bike import find_bike
from webapp.ground.urls import tag_address
from webapp.stacks.make_cards import make_stack

BASE: Final = kept.BASE_URL

#: The columns of a table that is shown again as it was typed.
HEADS: Final = "rider_mass_kg,riding_style,front.travel_mm,bike_label"
#: What stands outside the brackets because people typed it. The shop's name holds more than one word of it.
TYPED: Final = (
    kept.SHOP,
    HEADS,
    "riding_style",
    "Heron 4",
    "Hire 7, teal",
    "Hire 4, rust",
    "Heron 1, grey",
    "Heron 2, blue",
    "Badger 2, ochre",
    "Heron 3, green",
    "Otter 1, black",
    "Swift 5, white",
    "Swift 6, amber",
    "Badger 9, lime",
    "Otter 9, plum",
    "Fork lower legs serviced",
    "34 mm fork",
    "T-1042",
    "T-1043",
    "harsh over small bumps",
    "Stem bolts",
    "Fen 34",
    "Reed 32",
    "Sedge 55",
    "top cap",
    "air piston and wipers",
    "bushings",
    "as in the manual",
    kept.OWNER["login"],
    kept.STAFF["login"],
)
#: What is the same in every language, or no language at all.
NO_WORDS: Final = (
    r"\bnumber, label, [a-z_, ]+",  # the columns of a list of bikes
    r"https?://[^\s«»]*",
    r"\b[0-9A-HJKMNP-TV-Z]{5}(?: [0-9A-HJKMNP-TV-Z]{5}){3}(?: ?[0-9A-HJKMNP-TV-Z]){0,6}\b",  # a link's code in groups
    r"\b[0-9A-HJKMNP-TV-Z]{26}\b",
    r"\b[0-9A-HJKMNP-TV-Z]{6}\b",  # a shop's short code
    r"\b\d{1,2} (?:January|February|March|April|May|June|July|August|September|October|November|December) \d{4}\b",
    r"(?<![^\W\d_]|['’])(?:psi|kPa|bar|mm|cm³|cm|kg|st|lb|°C|°F|N·m|N/mm|N·s/m|lbf·in|lbf·ft|N|Hz|ft|in|m|h|s)(?![^\W\d_])",
    r"\b(?:UTC|CSV|TOML|JSON)\b",
)
KNOWN: Final = (
    *(re.compile(re.escape(text)) for text in sorted(TYPED, key=len, reverse=True)),
    *map(re.compile, NO_WORDS),
)


@dataclass
class Walked:
    """All answers of a walk, by who asked and what for, and the endpoints that gave them."""

    manifest: dict[str, Any]
    app: Flask
    answers: dict[str, TestResponse] = field(default_factory=dict)
    endpoints: set[tuple[str | None, str]] = field(default_factory=set)

    def of_type(self, mimetype: str) -> Iterator[tuple[str, TestResponse]]:
        """Yield what has the type."""
        return ((name, answer) for name, answer in self.answers.items() if answer.mimetype == mimetype)


def walk(folder: Path) -> Walked:
    """Fill `folder` and look at everything that links lead to, as rider, owner and staff, then send what is refused."""
    endpoints: set[tuple[str | None, str]] = set()

    def note(_app: Flask, **_more: Any) -> None:
        endpoints.add((request.endpoint, request.method))

    with request_started.connected_to(note):
        manifest = kept.fill(folder)
        app = create_app(settings(DATA=str(folder), PUBLIC_BASE_URL=BASE))
        walked = Walked(manifest, app, endpoints=endpoints)
        for role in ("rider", "owner", "staff"):
            _crawl(walked, role)
        _walk_coils(walked)
        _walk_second_chambers(walked)
        for number, (role, path, data) in enumerate(_refused(manifest)):
            answer = client_of(walked, role).post(path, data=data)
            walked.answers[f"post {number} {role} {path} {data}"] = answer
        for number, (path, body) in enumerate(_bodies(manifest)):
            walked.answers[f"api {number} {path} {body}"] = app.test_client().post(f"/api/v1/{path}", json=body)
        _use_a_tool(walked)
        _use_bikes(walked)
        _print_stacks(walked)
    return walked


#: A bike with coils at both ends, and what is entered on it afterwards.
COILS: Final = {
    "rider_mass_kg": "78",
    "riding_style": "trail",
    "front.wanted": "y",
    "front.travel_mm": "140",
    "front.spring": "coil",
    "front.stocked_rates_n_per_mm": "7 8 9 10 11",
    "rear.wanted": "y",
    "rear.stroke_mm": "55",
    "rear.wheel_travel_mm": "145",
    "rear.spring": "coil",
    "rear.stocked_rates_n_per_mm": "350 400 450 500 lb/in",
    "rear.preload_pitch_mm": "1.25",
    "rear.coil_stroke_mm": "57",
    "bike_label": "Otter 9, plum",
}
COIL_ENTRIES: Final = (
    ("sag-check", {"front.spring_rate_n_per_mm": "9", "front.preload_mm": "0", "front.readings_mm-0": "41"}),
    ("sag-check", {"rear.spring_rate_n_per_mm": "450 lb/in", "rear.preload_mm": "9", "rear.readings_mm-0": "22"}),
    ("ride?end=front", {"end": "front", "felt": "hits_the_end"}),
    ("what-if", {"rear.stocked_rates_n_per_mm": "60 70 80", "riding_style": "enduro", "do": "save"}),
    ("what-if", {"rear.fitted_rate_n_per_mm": "900", "riding_style": "enduro"}),
    ("sag-check", {"rear.spring_rate_n_per_mm": "900", "rear.readings_mm-0": "22"}),
    ("travel", {"travel_mm": "120", "longest_travel_mm": "160"}),
)


def _walk_coils(walked: Walked) -> None:
    """Make a bike with coils, enter what can be entered, and look at every page and answer of it."""
    client = client_of(walked, "rider")
    for text in ("400 450", "soft", "8 9 bar"):
        walked.answers[f"coils {text}"] = client.post("/", data={**COILS, "front.stocked_rates_n_per_mm": text})
    made = client.post("/", data={**COILS, "confirm": "y"})
    assert made.status_code == 303, made.text
    code = urlsplit(made.headers["Location"]).path.rsplit("/", 1)[-1]
    for number, (path, data) in enumerate(COIL_ENTRIES):
        walked.answers[f"coils {number} {path}"] = client.post(f"/s/{code}/{path}", data={**data, "confirm": "y"})
    pages = (
        "",
        "/entries",
        "/history",
        "/print",
        "/sag-check",
        "/what-if",
        "/1",
        "/2/answer",
        "/3/answer",
        "/4/answer",
    )
    for path in (*(f"/s/{code}{page}" for page in pages), *(f"/api/v1/setups/{code}{p}" for p in ("", "/revisions"))):
        walked.answers[f"coils {path}"] = client.get(path)


#: A fork with a second positive chamber: as it is, at its maximum, closed all along, and with a maximum of ours.
TWIN: Final[dict[str, Any]] = {
    "travel_mm": 160,
    "bore_mm": 34,
    "positive_volume_cm3": 230,
    "second_volume_cm3": 45,
    "second_pressure_ratio": 1.8,
    "second_max_pressure_psi": 200,
    "rebound_clicks": 14,
}
TWINS: Final[tuple[dict[str, Any], ...]] = (
    {},
    {"second_pressure_ratio": 5, "second_max_pressure_psi": 90},
    {"second_pressure_ratio": 5, "second_max_pressure_psi": 400},
    {"second_pressure_ratio": 1.05, "second_max_pressure_psi": None},
    {"second_volume_cm3": None},
)


def _walk_second_chambers(walked: Walked) -> None:
    """Make forks with a second chamber, check the sag of one, and look at every page and answer of it."""
    client = client_of(walked, "rider")
    ride = {"temperature_c": 0, "altitude_m": 1200}
    for number, changes in enumerate(TWINS):
        body = {"rider_mass_kg": 78, "riding_style": "enduro", "ride": ride, "front": {**TWIN, **changes}}
        made = client.post("/api/v1/setups", json=body)
        walked.answers[f"second chamber {number}"] = made
        if made.status_code != 201:
            continue
        code = made.get_json()["code"]
        check = {"front.pressure_psi": "60", "front.readings_mm-0": "52", "confirm": "y"}
        walked.answers[f"second chamber {number} check"] = client.post(f"/s/{code}/sag-check", data=check)
        wish = {"travel_mm": "150", "longest_travel_mm": "160", "spacer1.size_mm": "10", "spacer1.count": "1"}
        walked.answers[f"second chamber {number} travel"] = client.post(f"/s/{code}/travel", data=wish)
        for page in ("", "/history", "/print", "/what-if", "/2/answer"):
            walked.answers[f"second chamber {number} {page}"] = client.get(f"/s/{code}{page}")


def _use_a_tool(walked: Walked) -> None:
    """Make an access key on its page, and send with it all that a tool sends about bikes, right and wrong."""
    page = client_of(walked, "owner").post("/shop/tokens", data={"name": "Fen 34"})
    walked.answers["post tokens"] = page
    token = re.search(r'class="secret">([0-9A-Z]{26})<', page.text)
    assert token
    bike = {"number": "Reed 32", "label": "Sedge 55", "front": {"travel_mm": 140}}
    fork = {"end": "front", "event": "leak"}
    sent: tuple[tuple[str, Any], ...] = (
        *(("", body) for body in (bike, bike, {}, {**bike, "number": 5}, {**bike, "front": {"unit": "none"}})),
        *(("/1/setups", body) for body in ({"rider_mass_kg": 78}, {"bike_mass_kg": 9}, [])),
        *(("/1/standing", body) for body in ({"front": {"pressure_psi": 60}}, {}, {"rear": {}}, {"setup": 5})),
        ("/1/standing", {"front": {"rebound_clicks_out": 99}, "side": 1}),
        *(("/1/events", body) for body in (fork, {}, {**fork, "fitted": 3}, {**fork, "version": 1})),
        ("/1/events", {"end": "rear", "event": "service"}),
        ("/99/standing", {}),
        *((path, None) for path in ("/1", "", "?number=Reed%2032", "?tag=x", "?after=x&limit=999", "?number=1&tag=2")),
    )
    for key in (token[1], "none"):
        for number, (path, body) in enumerate(sent):
            how = {"method": "GET"} if body is None else {"method": "POST", "json": body}
            headers = {"Authorization": f"Bearer {key}"}
            answer = walked.app.test_client().open(f"/api/v1/bikes{path}", headers=headers, **how)  # type: ignore[arg-type]
            walked.answers[f"tool {number} {path} {key} {body}"] = answer
    walked.answers["post revoke"] = client_of(walked, "owner").post("/shop/tokens/1/revoke")


#: What a crew does with one bike, in turn: (path below the bike, what is sent). The version is put in.
CREW: Final[tuple[tuple[str, dict[str, str]], ...]] = (
    ("set-up", {"rider_mass_kg": "x"}),
    ("set-up", {"rider_mass_kg": "96", "riding_style": "enduro"}),
    ("do", {"do": "take_over"}),
    ("read", {}),
    ("read", {"front.pressure_psi": "900"}),
    ("read", {"front.pressure_psi": "90"}),
    ("do", {"do": "undo", "event": "1"}),
    ("do", {"do": "set", "revision": "9"}),
    ("do", {"do": "set", "revision": "1"}),
    ("do", {"do": "card"}),
    ("set-up", {"rider_mass_kg": "60", "riding_style": "trail"}),
    ("do", {"do": "set_and_check", "revision": "1"}),
    ("edit", {"number": "Reed 32", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "120"}),
    ("archive", {"archived": "1"}),
    ("do", {"do": "not_done"}),
    ("do", {"do": "set", "revision": "1"}),
    ("aside", {"reason": ""}),
    ("aside", {"reason": "bushings"}),
    ("set-up", {"rider_mass_kg": "60", "riding_style": "trail"}),
    ("do", {"do": "checked"}),
    ("do", {"do": "checked"}),
    ("stands", {"front.rebound_clicks_out": "9", "front.pressure_psi": "80"}),
    ("stands", {}),
    ("edit", {"number": "Reed 32", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "120"}),
    ("tag", {}),
    ("set-up", {"rider_mass_kg": "110", "riding_style": "cross_country"}),
    ("do", {"do": "set", "revision": "1"}),
    ("do", {"do": "back"}),
)


def _end_day(walked: Walked) -> None:
    """See the numbers for when the network is gone before and after they are made, and end the day."""
    staff, owner = client_of(walked, "staff"), client_of(walked, "owner")
    walked.answers["numbers"] = staff.get("/shop/bikes/numbers")
    walked.answers["numbers to print"] = staff.get("/shop/bikes/numbers?print=1")
    walked.answers["set up with numbers"] = staff.get("/shop/bikes/1/set-up")
    walked.answers["day of staff"] = staff.get("/shop/bikes/day")
    walked.answers["erase"] = owner.get("/shop/bikes/day/erase")
    walked.answers["erased"] = owner.post("/shop/bikes/day/erase", data={})
    walked.answers["day"] = owner.get("/shop/bikes/day?erased=1")


def _use_bikes(walked: Walked) -> None:
    """Let a crew set a bike up, out, back and aside, with what is wrong on the way, and describe and import bikes."""
    client, path = client_of(walked, "staff"), "/shop/bikes/1"
    for number, (below, data) in enumerate(CREW):
        page = client.get(f"{path}/set-up").text or ""
        version = re.findall(r'name="version" value="(\d+)"', page)
        sent = {**data, "version": version[-1] if version else "1"}
        walked.answers[f"crew {number} {below}"] = client.post(f"{path}/{below}", data=sent)
        for shown in ("/set-up", "/change", ""):
            walked.answers[f"crew {number} {shown}"] = client.get(f"{path}{shown}")
    walked.answers["crew late"] = client.post(f"{path}/do", data={"do": "back", "version": "1"})
    tag = re.search(r"BIKE/([0-9A-Z]{26})", str(_tag_of(walked)))
    for one in (walked.app.test_client(), client):
        walked.answers[f"tag {one is client}"] = one.get(f"/bike/{tag[1] if tag else ''}")
    walked.answers["no tag"] = client.get("/bike/x")
    for number, weight in enumerate(("", "80", "300")):
        sent = {"rider_mass_kg": weight, "riding_style": "enduro"}
        walked.answers[f"free {number}"] = client.post("/shop/bikes/free", data=sent)
    wrong = "number,fork_travel_mm,fork\n5,9,\n5,x,none,1\n"
    for text in ("", "number,x\n", "number\n", wrong, "number,fork_travel_mm\n77,120\n"):
        file = {"file": (io.BytesIO(text.encode()), "bikes.csv")}
        walked.answers[f"bikes file {text}"] = client.post("/shop/bikes/import", data=file)
    walked.answers["no bikes file"] = client.post("/shop/bikes/import", data={})
    for number, data in enumerate(({}, {"number": "Fen 34", "front.wanted": "y", "front_unit": "none"})):
        walked.answers[f"new bike {number}"] = client.post("/shop/bikes/new", data={**data, "riding_style": "trail"})
    for below in ("/edit", "/tag.pdf", "/tag.pdf?size=none", "/archive"):
        walked.answers[f"bike {below}"] = client.get(f"{path}{below}")
    for query in ("?q=zzz", "?archived=1", "?done=1", "?q=Reed 32"):
        walked.answers[f"bikes {query}"] = client.get(f"/shop/bikes{query}")
    for name in ("tags", "tags.pdf", "tags.pdf?file=99", "offline-worker.js"):
        walked.answers[f"bikes' {name}"] = client.get(f"/shop/bikes/{name}")
    _end_day(walked)


def _tag_of(walked: Walked) -> str:
    with walked.app.app_context():
        return tag_address(find_bike(1, 1).tag)


def _print_stacks(walked: Walked) -> None:
    """Order cards by the stack from a table and by code, look at them waiting, cancelled and gone, and print one."""
    client = client_of(walked, "owner")
    good, bad = f"{HEADS}\n78,trail,140,Heron 4", "900,9,9,Heron 4"
    tables = (
        "",
        f"{HEADS},Sedge 55\n{bad}",
        f"{HEADS}\n{bad},5",
        f"{HEADS}\n{bad}",
        f'{HEADS}\n"',
        f"{HEADS},{HEADS}\n{bad}",
    )
    for number, table in enumerate((good, *tables, "riding_style\n9")):
        walked.answers[f"stack table {number}"] = client.post("/shop/stacks/table", data={"table": table, "size": "a6"})
    for number, codes in enumerate(("", "ZZZZZZ", next(iter(walked.manifest["setups"].values()))["code"])):
        walked.answers[f"stack codes {number}"] = client.post("/shop/stacks/setups", data={"codes": codes})
    with walked.app.app_context():
        make_stack(2, "walk")
    for path in ("", "/table", "/setups", "/1", "/2", "/2/cards-1.pdf", "/99", "/1/cards-1.pdf"):
        walked.answers[f"stacks {path}"] = client.get(f"/shop/stacks{path}")
    for path in ("/1/cancel", "/1/remove"):
        walked.answers[f"stacks {path}"] = client.post(f"/shop/stacks{path}")


def client_of(walked: Walked, role: str) -> FlaskClient:
    """Return a browser in which that one is logged in; a rider is nobody."""
    client = walked.app.test_client()
    if role != "rider":
        answer = client.post("/shop/log-in", data=walked.manifest["shop"][role])
        assert answer.status_code == 303, answer.text
        with walked.app.app_context():
            forget_old_attempts(
                datetime.now(UTC) + timedelta(days=2)
            )  # one address logs in more often than a shop does
    return client


def _crawl(walked: Walked, role: str) -> None:
    client, queue, seen = client_of(walked, role), list(_seeds(walked.manifest)), set()
    while queue:
        path = queue.pop()
        if path in seen or path.startswith("/static/") or (role != "rider" and not path.startswith("/shop")):
            continue
        seen.add(path)
        answer = walked.answers[f"{role} {path}"] = client.get(path)
        if answer.mimetype == "text/html":
            found = (html.unescape(link) for link in re.findall(r'(?:href|src)="([^"#]+)', answer.text))
            whole = [urlsplit(urljoin(BASE + path, link)) for link in [*found, answer.headers.get("Location", path)]]
            queue += [f"{p.path}?{p.query}" if p.query else p.path for p in whole if p.geturl().startswith(BASE + "/")]


def _seeds(manifest: dict[str, Any]) -> Iterator[str]:
    """Yield what no link leads to."""
    yield from (
        "/",
        "/owner/deleted",
        "/leak",
        "/no-such-page",
        "/api/v1/openapi.json",
        "/s/" + "0" * 26,
        "/shop/open/x",
        "/robots.txt",
        "/healthz",
        "/readyz",
        "/metrics",
    )
    for one in manifest["setups"].values():
        code = one["code"]
        yield from (f"/s/{code}{p}" for p in ("", "/history", "/print", "/travel", "/99", "/card.pdf?size=nothing"))
        yield from (f"/s/{code}/card", f"/s/{code}/owner-strip.pdf", f"/shop/bench/bike/{code}")
        yield from (f"/s/{code}/{p}?end={end}" for p in ("sag-check", "bounce", "ride") for end in ("front", "rear"))
        yield from (f"/s/{code}/{n}{p}" for n in range(1, len(one["answers"]) + 1) for p in ("", "/answer"))
        yield from (f"/owner/{one['owner_key']}{p}" for p in ("", "/setup.json", "/renew", "/renew-key", "/delete"))
        yield from (f"/api/v1/setups/{code}{p}" for p in ("", "/revisions"))
    for one in manifest["gone"].values():
        yield from (f"/s/{one['code']}", f"/api/v1/setups/{one['code']}")
    yield from (
        "/shop",
        "/shop?q=zebra",
        "/shop/units?retired=1",
        "/shop/calibration/checks.csv",
        "/shop/bench?q=zebra",
        "/shop/bench/NOSUCH",
        *(f"/shop/bench?show={part}" for part in ("open", "mine", "all")),
        "/shop/bench/due",
        "/shop/settings",
        "/shop/settings?done=shop",
        "/shop/cards.pdf",
        *(f"/shop/export/{what}.{kind}" for what in ("records", "setups") for kind in ("csv", "json")),
    )
    for code in manifest["records"].values():
        yield from (
            f"/shop/bench/{code}{p}"
            for p in ("", "/found", "/left", "/setup", "/card", "/details", "/addendum", "/steps/none")
        )


def _refused(manifest: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Yield forms that are shown again with problems, refused, or answered without a save."""
    code = {name: one["code"] for name, one in manifest["setups"].items()}
    both, fork, gone = code["both"], code["fork"], manifest["gone"]["renewed"]["code"]
    wrong = {
        "rider_mass_kg": "900",
        "riding_style": "x",
        "front.wanted": "y",
        "front.travel_mm": "x",
        "rear.wanted": "y",
    }
    rear = {"rider_mass_kg": "78", "riding_style": "trail", "rear.wanted": "y", "rear.stroke_mm": "55"}
    two = {"rear.leverage_start": "2.9", "rear.leverage_end": "2.4", "rear.wheel_travel_mm": "190"}
    for form in (
        {},
        wrong,
        rear,
        rear | two,
        rear | {"rear.wheel_travel_mm": "900"},
        rear | {"rear.leverage_table": "0"},
    ):
        yield "rider", "/", form
    yield "rider", "/", wrong | {"rider_mass_kg": "1,234", "front.travel_mm": "140 psi", "bike_label": "x" * 70}
    for key in ("", "nonsense", "U" * 26, "x" * 400, gone):
        yield "rider", "/find", {"code": key}
    leak = {"first_psi": "84", "first_c": "20", "second_c": "10", "hours": "72"}
    for form in (
        {},
        leak | {"second_psi": "80"},
        leak | {"second_psi": "60"},
        leak | {"second_psi": "83", "hours": "1"},
    ):
        yield "rider", "/leak", form
    sag = {"front.pressure_psi": "90", "front.readings_mm-0": "33", "base_revision": "2"}
    for form in (
        {},
        {"front.pressure_psi": "6", "front.readings_mm-0": "150"},
        sag,
        sag | {"front.readings_mm-1": "90"},
    ):
        yield "rider", f"/s/{both}/sag-check", form
    yield "rider", f"/s/{both}/bounce", {"clicks_out": "8", "dip_mm": "60", "beyond_mm": "90"}
    yield "rider", f"/s/{both}/bounce", {}
    for felt in ([], ["kicks_back", "packs_down"]):
        yield "rider", f"/s/{both}/ride", {"felt": felt}
    laden = {"kit_mass_kg": "12", "riding_style": "enduro", "rider_mass_now_kg": "78"}
    for form in (laden, {"kit_mass_kg": "400"}, {"ride_temperature_c": "-5"}):
        yield "rider", f"/s/{both}/what-if", form
    heavier = {"rider_mass_kg": "90", "riding_style": "trail"}
    for form in (heavier, *(heavier | {"rider_mass_now_kg": str(wrong_kg)} for wrong_kg in (140, 141, 142, 143))):
        yield "rider", f"/s/{both}/what-if", form
    yield "rider", f"/owner/{manifest['setups']['both']['owner_key']}/renew-key", {}
    yield (
        "rider",
        f"/s/{both}/what-if",
        {"riding_style": "park", "rider_name": "Ana", "do": "save", "luggage_rear_kg": "6"},
    )
    yield "rider", f"/s/{both}/give-back", {"base_revision": "1"}
    yield "rider", f"/s/{both}/entries", {"front.travel_mm": "9999", "rider_mass_kg": "150"}
    yield "rider", f"/s/{both}/restore", {}
    yield "rider", f"/s/{both}/restore", {"revision": "2", "base_revision": "1"}
    for check in ({}, {"check": "99", "struck": "1"}, {"check": "1", "struck": "0"}):
        yield "rider", f"/s/{both}/strike", check
    yield "rider", f"/s/{both}/strike", {"check": "1", "struck": "1", "base_revision": "1"}
    travel = {"travel_mm": "120", "longest_travel_mm": "140", "spacer1.size_mm": "10", "spacer1.count": "2"}
    yield "rider", f"/s/{fork}/travel", {}
    yield "rider", f"/s/{fork}/travel", travel
    yield "rider", f"/s/{fork}/travel", travel | {"travel_mm": "125"}
    yield "rider", f"/s/{code['travel']}/travel", travel | {"longest_travel_mm": "150", "spacer2.size_mm": "5"}
    yield "rider", f"/s/{code['shock']}/travel", travel
    yield "rider", "/shop/log-in", {}
    yield "rider", "/shop/log-in", {"login": "nobody", "password": "wrong words"}
    yield "rider", "/shop/bench/new", {"keep": "1", "bike_label": "Heron"}
    yield "rider", "/shop/open/x", {"shop": "", "login": "", "password": ""}
    yield "staff", "/shop/staff", {}
    unit = {"kind": "fork", "name": "Fen 34", "travels_mm": "120", "chart1.rows": "80 88\n70 90"}
    for path, form in (("units/new", {}), ("units/new", unit), ("units/import", {}), ("staff", {}), ("password", {})):
        yield "owner", f"/shop/{path}", form
    yield "owner", "/shop/tokens", {}
    yield "owner", "/shop/units/1", {}
    yield "owner", "/shop/units/1/learned", {"forget": "1"}
    yield "owner", "/shop/calibration/switch", {"what": "use"}
    yield "owner", "/shop/staff/2/password", {}
    yield "owner", "/shop/staff/1/change", {"active": ""}
    for path in ("new", "checklist"):
        yield "owner", f"/shop/bench/{path}", {}
    opened, closed = (f"/shop/bench/{manifest['records'][name]}" for name in ("open", "closed"))
    for path, form in (
        ("close", {}),
        ("setup", {}),
        ("card", {}),
        ("card", {"setup_code": gone}),
        ("left", {"next_due_on": "soon"}),
        ("found", {"front.pressure_psi": "x"}),
        *((f"steps/{key}", {}) for key in ("parts", "seals", "travel", "torque", "leak")),
        ("steps/travel", {"before_mm": "150", "longest_mm": "140", "after_mm": "120", "spacer1.size_mm": "10"}),
    ):
        yield "owner", f"{opened}/{path}", form
    yield "owner", f"{opened}/sheet", {"left.pressure_psi": "x", "leak.first_psi": "80", "seals.what": "x" * 300}
    yield "owner", f"{opened}/details", {}
    yield "owner", f"{opened}/cancel", {}
    yield "owner", f"{opened}/addendum", {"note": "x"}
    yield "owner", f"{closed}/addendum", {}
    yield "owner", f"{closed}/part", {}
    yield "owner", f"{closed}/close", {}
    yield "owner", f"{closed}/left", {"front.pressure_psi": "60"}
    yield "owner", f"/shop/bench/bike/{both}/visit", {"part": "rear", "service_kind": "lower_legs"}
    yield "owner", "/shop/settings", {"time_zone": "Mars", "riding_hours": "900", "phone": "0" * 30}
    yield "owner", "/shop/settings", {"phone": "1", "seen": "{}"}
    yield "owner", "/shop/settings/initials", {"initials": "ABCDE"}
    yield "owner", "/shop/log-out", {}


def _bodies(manifest: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    """Yield what the interface refuses, and what it answers without a save."""
    both, gone = manifest["setups"]["both"]["code"], manifest["gone"]["renewed"]["code"]
    front = {"travel_mm": 140, "stanchion_mm": 34, "chart": [[1, 2]], "negative_spring": "rubber"}
    yield from (("setups", body) for body in ({}, [], {"rider_mass_kg": 900, "riding_style": "x", "more": 1}))
    yield "setups", {"rider_mass_kg": "x", "riding_style": "trail", "front": front, "rear": {"stroke_mm": 55}}
    yield from ((f"setups/{both}/{what}", {}) for what in ("sag-checks", "bounce-checks", "rides", "what-if"))
    yield f"setups/{both}/sag-checks", {"end": "front", "pressure_psi": 6, "readings_mm": [150]}
    yield f"setups/{both}/rides", {"end": "front", "felt": ["dives", "feels_right"]}
    yield f"setups/{both}/what-if", {"kit_mass_kg": 12, "rider_mass_now_kg": 78}
    yield f"setups/{gone}/what-if", {"kit_mass_kg": 12}
