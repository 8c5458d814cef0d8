"""How `data-v1.sqlite.gz` and `data-v1.json` were made: an invented shop's weeks, told to the app over HTTP.

It ran once, with `setup_rules/`, `webapp/` and `templates/` as of commit 4408d7e (tables 0003, rules version 1), and
is not run again: a folder written by today's code says nothing of whether today's code still opens an older one. It
is kept to show what is in the folder and refuses to run on other code. When the tables change, keep a second folder.
"""

from __future__ import annotations

import gzip
import html
import json
import os
import re
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any, Final
from urllib.parse import urlsplit

from flask.testing import FlaskClient

from tests.kept import replay
from tests.kept.make_answers import COMMIT, refuse_other_code
from tests.kept.unpack import BASE_URL, DATABASE, MANIFEST

SHOP: Final = "Lantern Lane Cycles (an invented shop)"
OWNER: Final = {"login": "mira", "password": "three grey herons asleep"}
STAFF: Final = {"login": "tom", "password": "one otter under a bridge"}
SAFE: Final = ("eyes", "release", "release_again")
RIDE: Final = {"temperature_c": 8, "altitude_m": 1400}

FORK: Final[dict[str, Any]] = {
    "rider_mass_kg": 62,
    "riding_style": "cross_country",
    "bike_label": "Heron 1, grey",
    "service_note": "Fork lower legs serviced",
    "front": {"travel_mm": 100, "stanchion_mm": 32, "rebound_clicks": 20},
}
SHOCK: Final[dict[str, Any]] = {
    "rider_mass_kg": 88,
    "riding_style": "enduro",
    "bike_label": "Badger 2, ochre",
    "rear": {
        "stroke_mm": 60,
        "leverage_table": [[0, 2.95], [15, 2.8], [30, 2.62], [45, 2.45], [60, 2.36]],
        "rebound_clicks": 12,
        "compression_clicks": 8,
    },
}
BOTH: Final[dict[str, Any]] = {
    "rider_mass_kg": 78,
    "riding_style": "trail",
    "bike_label": "Heron 3, green",
    "bench": {"temperature_c": 20, "altitude_m": 300},
    "ride": RIDE,
    "front": {"travel_mm": 140, "stanchion_mm": 34, "rebound_clicks": 16, "compression_clicks": 10},
    "rear": {"stroke_mm": 55, "leverage_start": 2.9, "leverage_end": 2.4, "rebound_clicks": 14},
}
COIL: Final[dict[str, Any]] = {
    "rider_mass_kg": 83,
    "riding_style": "park",
    "bike_label": "Otter 1, black",
    "front": {
        "travel_mm": 200,
        "stanchion_mm": 40,
        "negative_spring": "coil",
        "negative_rate_n_per_mm": 4.5,
        "negative_length_mm": 22,
        "rebound_clicks": 15,
    },
}
CHART: Final[dict[str, Any]] = {
    "rider_mass_kg": 71,
    "riding_style": "trail",
    "bike_label": "Swift 5, white",
    "front": {
        "travel_mm": 130,
        "stanchion_mm": 34,
        "rebound_clicks": 16,
        "bore_mm": 30,
        "positive_volume_cm3": 148,
        "volume_spacers": 1,
        "volume_spacer_cm3": 6,
        "chart": [[55, 62], [70, 78], [85, 94], [100, 110]],
        "chart_sag_percent": 20,
    },
}
LONG_FORK: Final[dict[str, Any]] = {
    "rider_mass_kg": 69,
    "riding_style": "trail",
    "bike_label": "Swift 6, amber",
    "front": {"travel_mm": 120, "longest_travel_mm": 150, "stanchion_mm": 34, "rebound_clicks": 16},
}
#: Saved by staff through the form, which makes it the shop's own with a short code.
SHOP_FORM: Final = {
    "rider_mass_kg": "74.5",
    "riding_style": "trail",
    "front.wanted": "y",
    "front_unit": "Fen 34",
    "front.travel_mm": "140",
    "rear.wanted": "y",
    "rear.stroke_mm": "55",
    "rear.wheel_travel_mm": "145",
    "bike_label": "Hire 7, teal",
}
SERVICED_FORM: Final = {
    "rider_mass_kg": "91",
    "riding_style": "trail",
    "front.wanted": "y",
    "front.travel_mm": "100",
    "front.longest_travel_mm": "140",
    "front.stanchion_mm": "34",
    "front.rebound_clicks": "16",
    "bike_label": "Hire 4, rust",
}
UNITS_CSV: Final = (
    "kind,name,travels_mm,stanchion_mm,max_pressure_psi,rebound_clicks,negative_spring,charts\n"
    'fork,Fen 34,120 130 140 150,34,150,16,air,"140 rider 20: 55=62 70=78 85=94 100=110"\n'
    "fork,Reed 32,100 120,32,120,20,coil,\n"
    "shock,Sedge 55,55,,300,14,air,\n"
)
ARRIVAL: Final = {
    "bike_label": "Hire 4, rust",
    "unit_label": "34 mm fork",
    "customer_reference": "T-1042",
    "spring_end": "front",
    "pressure_psi": "62",
    "hose_cm3": "4",
    "chamber_cm3": "100",
    "symptoms": "harsh over small bumps",
}
TRAVEL: Final = {
    "before_mm": "100",
    "longest_mm": "140",
    "after_mm": "120",
    "spacer1.size_mm": "20",
    "spacer1.count": "1",
}
TORQUE: Final = {"part": "top cap", "low": "6", "high": "8", "range_unit": "nm", "torque": "7", "unit": "nm"}
#: Asked of the packed setups, one thing of each; the answers stand in the manifest, the revisions are not packed.
NEXT: Final = (
    ("both", "sag-checks", {"end": "front", "pressure_psi": 92, "readings_mm": [34.5, 35, 34.5]}),
    ("chart", "sag-checks", {"end": "front", "pressure_psi": 73, "readings_mm": [29.5, 30]}),
    ("travel", "sag-checks", {"end": "front", "pressure_psi": 66, "readings_mm": [34, 33.5]}),
    ("coil", "sag-checks", {"end": "front", "pressure_psi": 45, "readings_mm": [50]}),
    ("shock", "bounce-checks", {"end": "rear", "clicks_out": 7, "seen": "creeps_back"}),
    ("serviced", "rides", {"end": "front", "felt": ["packs_down"]}),
    ("shop", "what-if", {"rider_mass_kg": 92, "save": True}),
)


def sent(client: FlaskClient, path: str, data: dict[str, Any]) -> str:
    """Send a form that has to succeed and return the path that it leads to."""
    answer = client.post(path, data=data, content_type="multipart/form-data" if "file" in data else None)
    if answer.status_code != 303:
        sys.exit(f"{path}: {answer.status_code} {re.sub('<[^>]+>', ' ', answer.text)}")
    return urlsplit(answer.location).path


def create(client: FlaskClient, body: dict[str, Any]) -> dict[str, Any]:
    """Save a setup by the JSON interface and return its code and owner's key."""
    answer = client.post("/api/v1/setups", json=body)
    return {
        "label": body["bike_label"],
        "code": answer.json["code"],
        "owner_key": answer.headers["Setup-Owner-Link"].rsplit("/", 1)[1],
    }


def correct(client: FlaskClient, one: dict[str, Any], where: str, body: dict[str, Any]) -> dict[str, Any]:
    """Add a revision by the JSON interface and return the answer."""
    answer = client.post(f"/api/v1/setups/{one['code']}/{where}", json=body)
    if answer.status_code != 201:
        sys.exit(f"{where}: {answer.status_code} {answer.json}")
    return dict(answer.json)


def hidden(client: FlaskClient, path: str) -> dict[str, str]:
    """Return the hidden entries of a page's forms."""
    return dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', client.get(path).text))


def corrected_setup(client: FlaskClient) -> dict[str, Any]:
    """Save a setup for both ends and lead it through every kind of revision."""
    one = create(client, BOTH)
    sag = {"end": "front", "pressure_psi": 84.0, "readings_mm": [36, 35, 36]}
    psi = correct(client, one, "sag-checks", sag)["front"]["pressure_psi"]
    two_ways = {"readings_from_above_mm": [27.5, 28], "readings_from_below_mm": [31, 31.5], "temperature_c": 12}
    correct(client, one, "sag-checks", {"end": "front", "pressure_psi": psi, **two_ways})
    correct(client, one, "sag-checks", {"end": "rear", "pressure_psi": 180, "readings_mm": [17, 16.5]})
    correct(client, one, "bounce-checks", {"end": "front", "clicks_out": 8, "seen": "several_swings"})
    correct(client, one, "bounce-checks", {"end": "rear", "clicks_out": 7, "dip_mm": 80, "beyond_mm": 42})
    ride = {"end": "rear", "felt": ["hits_the_end"], "travel_used_mm": 55, "hard_hits": 3}
    correct(client, one, "rides", ride)
    known = {"rider_mass_now_kg": BOTH["rider_mass_kg"]}  # asked for since, where the folder is filled by today's code
    changes = {"kit_mass_kg": 12, "ride": {"temperature_c": -3, "altitude_m": 2100}, "save": True}
    correct(client, one, "what-if", changes | known)
    history = f"/s/{one['code']}/history"
    sent(client, f"/s/{one['code']}/restore", hidden(client, history) | {"revision": "4"})
    return one


def travelled_setup(client: FlaskClient) -> dict[str, Any]:
    """Save a setup, check its sag, and change its travel by the planner's page."""
    one = create(client, LONG_FORK)
    correct(client, one, "sag-checks", {"end": "front", "pressure_psi": 75, "readings_mm": [26, 27]})
    path = f"/s/{one['code']}/travel"
    wish = {"travel_mm": "140", "longest_travel_mm": "150", "spacer1.size_mm": "10", "spacer1.count": "3"}
    planned = client.post(path, data=hidden(client, path) | wish).text
    fields = dict(re.findall(r'<input type="hidden" name="(base|planned)" value="([^"]*)">', planned))
    sent(client, path, fields | wish | {"save": "1", "stack": "0"})
    return one


def setup_by_form(client: FlaskClient, form: dict[str, str]) -> dict[str, Any]:
    """Save a setup by the form and return its code, and the owner's key that staff holds for the rider's strip."""
    path = sent(client, "/", form)
    with client.session_transaction() as session:
        key = next((key for code, key in session.get("owner_strips", []) if path.endswith(code)), None)
    home = html.unescape(client.get("/shop", query_string={"q": form["bike_label"]}).text)
    short = re.search(rf'/{path.rpartition("/")[2]}">[^<]*</a></th><td>([^<]+)</td>', home)
    if key is None or short is None:
        sys.exit(f"{path} shows no owner's key or no short code")
    return {"label": form["bike_label"], "code": path.rsplit("/", 1)[1], "owner_key": key, "short_code": short[1]}


def closed_record(client: FlaskClient, one: dict[str, Any]) -> str:
    """Bring a bike in, take every step, change its travel, close the record; return its code."""
    record = sent(client, "/shop/bench/new", ARRIVAL | {"setup_code": one["code"]})
    for key in SAFE:
        sent(client, f"{record}/steps/{key}/state", {"state": "done"})
    steps = {
        "parts": {"part1.part": "bushings", "part1.condition": "good"},
        "seals": {"what": "air piston and wipers"},
        "lubricant": {"what": "as in the manual", "amount_cm3": "3"},
        "travel": TRAVEL,
        "torque": TORQUE,
        "leak": {"first_psi": "99", "second_psi": "98.5", "hours": "1"},
    }
    for key, data in steps.items():
        sent(client, f"{record}/steps/{key}", data)
    for key in ("clearance", "handover"):
        sent(client, f"{record}/steps/{key}/state", {"state": "done"})
    sent(client, f"{record}/left", {"pressure_psi": "99", "next_due_hours": "50", "next_due_on": "2090-05-20"})
    sent(client, f"{record}/close", {})
    return record.rsplit("/", 1)[1]


def open_record(client: FlaskClient) -> str:
    """Bring a bike without a card in, with its first setup drafted and some steps taken; return the record's code."""
    arrival = ARRIVAL | {"bike_label": "Otter 9, plum", "customer_reference": "T-1043", "pressure_psi": "71"}
    record = sent(client, "/shop/bench/new", arrival)
    draft = {name: value for name, value in SERVICED_FORM.items() if name != "bike_label"}
    sent(client, f"{record}/setup", draft)
    sent(client, f"{record}/steps/eyes/state", {"state": "done"})
    sent(client, f"{record}/steps/torque", TORQUE | {"torque": "62 lbf·in"})
    return record.rsplit("/", 1)[1]


def change_checklist(client: FlaskClient) -> None:
    """Give the shop a step of its own, which records opened before do not have."""
    page = client.get("/shop/bench/checklist").text
    rows = dict(re.findall(r'<input type="text"[^>]* name="(row\d+\.\w+)" value="([^"]*)"', page))
    rows |= {"row12.title": "Stem bolts", "row12.kind": "torque"}
    sent(client, "/shop/bench/checklist", {name: html.unescape(value) for name, value in rows.items()})


def fill(folder: Path) -> dict[str, Any]:
    """Fill a data folder and return the manifest of what is in it."""
    from webapp import create_app

    environment = {**os.environ, "SETUP_CARD_DATA": str(folder)}
    command = [sys.executable, "-m", "webapp", "shop", SHOP, OWNER["login"]]
    subprocess.run(command, input=OWNER["password"] + "\n", text=True, env=environment, check=True)
    app = create_app(
        {
            "DATA": str(folder),
            "PUBLIC_BASE_URL": BASE_URL,
            "RETENTION_DAYS": 36_500,
            "WTF_CSRF_ENABLED": False,
            "RATELIMIT_ENABLED": False,
            "TESTING": True,
        }
    )
    rider, owner, staff = app.test_client(), app.test_client(), app.test_client()
    sent(owner, "/shop/log-in", OWNER)
    sent(owner, "/shop/staff", STAFF | {"role": "staff"})
    sent(staff, "/shop/log-in", STAFF)
    (folder / "units.csv").write_text(UNITS_CSV, encoding="utf-8")
    with (folder / "units.csv").open("rb") as file:
        sent(owner, "/shop/units/import", {"file": (file, "units.csv"), "known": "refuse"})
    sent(owner, "/shop/units/2/retire", {"retired": "1"})
    setups = {name: create(rider, body) for name, body in (("fork", FORK), ("shock", SHOCK), ("coil", COIL))}
    setups |= {"chart": create(rider, CHART), "both": corrected_setup(rider), "travel": travelled_setup(rider)}
    correct(rider, setups["chart"], "sag-checks", {"end": "front", "pressure_psi": 78, "readings_mm": [27, 28, 27.5]})
    setups |= {"shop": setup_by_form(staff, SHOP_FORM), "serviced": setup_by_form(staff, SERVICED_FORM)}
    records = {"closed": closed_record(staff, setups["serviced"]), "open": open_record(staff)}
    change_checklist(owner)
    gone = {"renewed": create(rider, FORK | {"bike_label": "Heron 2, blue"})}
    renewed_key = gone["renewed"]["owner_key"]
    sent(rider, f"/owner/{renewed_key}/renew", {})
    code = re.search(r"/s/([0-9A-Z]{26})", rider.get(f"/owner/{renewed_key}").text)
    setups["renewed"] = {**gone["renewed"], "code": code[1] if code else ""}
    gone["deleted"] = create(rider, SHOCK | {"bike_label": "Badger 9, lime"})
    sent(rider, f"/owner/{gone['deleted']['owner_key']}/delete", {})
    return {
        "commit": COMMIT,
        "secret_key": (folder / "secret_key").read_text("ascii"),
        "shop": {"name": SHOP, "owner": OWNER, "staff": STAFF},
        "units": ["Fen 34", "Sedge 55"],
        "retired_units": ["Reed 32"],
        "units_toml": staff.get("/shop/units/units.toml").text,
        "records": records,
        "gone": gone,
        "setups": {name: {**one, **described(rider, one)} for name, one in setups.items()},
    }


def described(client: FlaskClient, one: dict[str, Any]) -> dict[str, Any]:
    """Return what the JSON interface and the owner's download say of a setup."""
    history = client.get(f"/api/v1/setups/{one['code']}/revisions").json
    lines = (history or {})["revisions"]
    for line in lines:
        del line["reason"]  # a sentence, not a number
        line["advice"] = [f"{note['end'] or '-'} {note['code']}" for note in line["advice"]]
    export = client.get(f"/owner/{one['owner_key']}/setup.json").json or {}
    answers = [client.get(f"/api/v1/setups/{one['code']}?revision={line['revision']}") for line in lines]
    return {
        "answers": [replay.plain(answer) for answer in answers],
        "history": lines,
        "requests": [revision["request"] for revision in export["revisions"]],
    }


def pack(folder: Path) -> bytes:
    """Return the database of a folder as one small file."""
    copy = folder / "copy.sqlite"
    source, target = sqlite3.connect(folder / "setups.db"), sqlite3.connect(copy, isolation_level=None)
    source.backup(target)
    for statement in ("PRAGMA journal_mode=DELETE", "VACUUM"):
        target.execute(statement)
    source.close()
    target.close()
    return gzip.compress(copy.read_bytes(), 9, mtime=0)


def asked_next(folder: Path, setups: dict[str, Any]) -> list[dict[str, Any]]:
    """Return what the packed setups answer to the next check, ride or change; all start from what is packed."""
    from webapp import create_app

    settings = {"DATA": str(folder), "RETENTION_DAYS": 36_500, "RATELIMIT_ENABLED": False, "TESTING": True}
    client = create_app(settings).test_client()
    asked = []
    for name, where, body in NEXT:
        answer = client.post(f"/api/v1/setups/{setups[name]['code']}/{where}", json=body)
        asked.append({"setup": name, "where": where, "body": body, "answer": replay.plain(answer)})
    return asked


def make() -> None:
    """Write the kept data folder and its manifest."""
    refuse_other_code("setup_rules", "webapp", "templates")
    with tempfile.TemporaryDirectory() as name:
        manifest = fill(Path(name))
        DATABASE.write_bytes(pack(Path(name)))
        manifest["next"] = asked_next(Path(name), manifest["setups"])
    MANIFEST.write_text(json.dumps(manifest, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    make()
