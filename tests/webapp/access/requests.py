"""What is sent to each route, and where to: a request that succeeds for whoever may send it."""

from __future__ import annotations

import io
from typing import Any, Final

from tests.webapp.access.world import ARRIVAL, KNOW_THE_LINK, NO_CODE, PASSWORD, SETUP, STEPS, World

NEW: Final = "another long pass phrase"
#: The forms that are the same for everybody, by rule.
FORMS: Final[dict[str, dict[str, str]]] = {
    "/": SETUP,
    "/leak": {"first_psi": "84", "first_c": "20", "second_psi": "80", "second_c": "10", "hours": "72"},
    "/shop/log-in": {"login": "tom", "password": "a wrong pass phrase"},
    "/shop/open/<token>": {"name": "Third Wheel", "login": "ada", "password": NEW},
    "/shop/password": {"old_password": PASSWORD, "new_password": NEW, "again": NEW},
    "/shop/calibration/switch": {"what": "off"},
    "/shop/staff": {"login": "ola", "password": NEW, "role": "staff"},
    "/shop/staff/<int:staff_id>/change": {"what": "owner"},
    "/shop/staff/<int:staff_id>/password": {"password": NEW},
    "/shop/settings": {"phone": "01234 567890", "time_zone": "Europe/London"},
    "/shop/settings/initials": {"initials": "MK"},
    "/shop/bench/bike/<code>/visit": {"part": "front", "service_kind": "list", "customer_reference": "T-2"},
    "/shop/tokens": {"name": "tablet"},
    "/shop/stacks/table": {"table": "Rider weight,Riding style,Fork travel\n78,trail,140", "size": "a4-8"},
    "/shop/units/new": {"kind": "fork", "name": "Reed 32", "travels_mm": "120"},
    "/shop/units/<int:suspension_unit_id>": {"kind": "fork", "name": "Fen 35", "travels_mm": "120", "version": "1"},
    "/shop/units/<int:suspension_unit_id>/retire": {"retired": "1"},
    "/shop/units/<int:suspension_unit_id>/learned": {"forget": "1"},
    "/shop/bikes/free": {"rider_mass_kg": "71", "riding_style": "trail"},
    "/shop/bikes/new": {"number": "19", "riding_style": "trail", "front.wanted": "y", "front.travel_mm": "120"},
    "/shop/bikes/<int:bike>/edit": {
        "number": "17",
        "riding_style": "park",
        "version": "3",
        "front.wanted": "y",
        "front.travel_mm": "100",
    },
    "/shop/bikes/<int:bike>/stands": {"front.pressure_psi": "61", "version": "3"},
    "/shop/bikes/<int:bike>/read": {"front.pressure_psi": "61", "version": "3"},
    "/shop/bikes/<int:bike>/tag": {"version": "3"},
    "/shop/bikes/<int:bike>/archive": {"archived": "1", "version": "3"},
    "/shop/bikes/<int:bike>/set-up": {"rider_mass_kg": "71", "riding_style": "trail", "version": "3"},
    "/shop/bikes/<int:bike>/do": {"do": "checked", "version": "3"},
    "/shop/bikes/<int:bike>/aside": {"reason": "bent lever", "version": "3"},
    "/shop/bench/new": ARRIVAL,
    "/shop/bench/checklist": {f"row{n}.title": f"Own step {n}" for n in range(12)},
    "/shop/bench/<code>/setup": {name: SETUP[name] for name in SETUP if name != "bike_label"} | {"rider_mass_kg": "71"},
    "/shop/bench/<code>/found": {"pressure_psi": "50"},
    "/shop/bench/<code>/sheet": {"left.pressure_psi": "54"},
    "/shop/bench/<code>/details": {"bike_label": "Heron 9"},
    "/shop/bench/<code>/cancel": {"sure": "1"},
    "/shop/bench/<code>/addendum": {"note": "Checked again"},
    "/shop/bench/<code>/left": {"pressure_psi": "55"},
    "/shop/bench/<code>/steps/<key>": STEPS["torque"] | {"torque": "6.5"},
    "/shop/bench/<code>/steps/<key>/state": {"state": "open"},
    "/s/<code>/sag-check": {"front.pressure_psi": "60", "front.readings_mm-0": "21", "base_revision": "2"},
    "/s/<code>/bounce": {"clicks_out": "8", "seen": "more", "base_revision": "2"},
    "/s/<code>/ride": {"felt": "dives", "base_revision": "2"},
    "/s/<code>/what-if": {"riding_style": "trail", "bench.temperature_c": "9", "do": "save", "base_revision": "2"},
    "/s/<code>/entries": SETUP
    | {"rider_mass_now_kg": SETUP["rider_mass_kg"], "bench.temperature_c": "9"}
    | {"base_revision": "2", "seen_revision": "2"},
    "/s/<code>/give-back": {"base_revision": "2"},
    "/s/<code>/restore": {"revision": "1", "base_revision": "2"},
    "/s/<code>/strike": {"check": "1", "struck": "1", "base_revision": "2"},
    "/s/<code>/travel": {"travel_mm": "120", "longest_travel_mm": "140", "spacer1.size_mm": "20", "spacer1.count": "1"},
    "/owner/<key>/renew-key": {"page_key": "p" * 32},
}
BODIES: Final[dict[str, dict[str, Any]]] = {
    "/api/v1/setups": {"rider_mass_kg": 78, "riding_style": "trail", "front": {"travel_mm": 140}},
    "/api/v1/setups/<code>/sag-checks": {"end": "front", "pressure_psi": 60.0, "readings_mm": [21]},
    "/api/v1/setups/<code>/bounce-checks": {"end": "front", "seen": "more", "clicks_out": 8},
    "/api/v1/setups/<code>/rides": {"end": "front", "felt": ["dives"]},
    "/api/v1/setups/<code>/what-if": {"bench": {"temperature_c": 9}, "save": True},
    "/api/v1/bikes": {"number": "18", "front": {"travel_mm": 140}},
    "/api/v1/bikes/<int:bike>/setups": {"rider_mass_kg": 78},
    "/api/v1/bikes/<int:bike>/standing": {"front": {"pressure_psi": 60}},
    "/api/v1/bikes/<int:bike>/events": {"end": "front", "event": "leak"},
}
BIKES_CSV: Final = b"number,fork_travel_mm\n40,120\n"
UNITS_CSV: Final = b"kind,name,travels_mm\nfork,Sedge 36,120 130\n"
QUERIES: Final = {"/s/<code>/compare": {"a": "1", "b": "2"}}


def path_of(world: World, rule: str, visitor: str) -> str:
    """Return the address that the visitor tries; what belongs to the shop is numbered, so that anyone can."""
    code = world.record if rule.startswith("/shop/") else world.code_of(visitor)
    if rule.startswith("/shop/bench/bike/"):
        code = world.short
    parts = {
        "code": code,
        "key": "torque" if rule.startswith("/shop/") else world.key_of(visitor),
        "int:revision": "2",
        "int:suspension_unit_id": "1",
        "int:staff_id": "3",
        "int:token_id": "1",
        "int:bike": "1",
        "int:stack": "2" if rule.endswith("/cancel") else "1",
        "int:first": "1",
        "kind": "csv",
        "what": "records",
        "tag": world.tag if visitor in KNOW_THE_LINK else NO_CODE,
        "token": NO_CODE,
        "path:filename": "app.css",
    }
    path = rule
    for name, value in parts.items():
        path = path.replace(f"<{name}>", value)
    assert "<" not in path, f"{rule} has a part that no visitor knows how to fill in"
    return path


def request_of(world: World, method: str, rule: str, visitor: str) -> dict[str, Any]:
    """Return what a browser or tool would send there."""
    if method != "POST":
        own = {"/shop/cards.pdf": {"code": world.short, "size": "a6"}}
        return {"query_string": own.get(rule, QUERIES.get(rule, {}))}
    if rule in BODIES:
        return {"json": BODIES[rule]}
    if rule == "/shop/units/import":
        return {"data": {"file": (io.BytesIO(UNITS_CSV), "units.csv"), "known": "refuse"}}
    if rule == "/shop/bikes/import":
        return {"data": {"file": (io.BytesIO(BIKES_CSV), "bikes.csv")}}
    own = {
        "/find": {"code": world.code_of(visitor)},
        "/owner/<key>/renew": {"code": world.code_of(visitor)},
        "/shop/bench/<code>/card": {"setup_code": world.code_of(visitor)},
        "/shop/stacks/setups": {"codes": world.code_of(visitor), "size": "a4-8"},
    }
    return {"data": own.get(rule, FORMS.get(rule, {}))}
