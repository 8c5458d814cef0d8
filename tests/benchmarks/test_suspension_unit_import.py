"""A library of 5,000 units with one bad line in a hundred: every one is named, nothing is stored."""

from __future__ import annotations

import io
import time

import pytest
from flask import Flask

from webapp.accounts.actions.open_shop import open_shop
from webapp.library.actions.find_suspension_units import list_suspension_units

pytestmark = pytest.mark.benchmark

ROWS = 5_000
PASSWORD = "a long enough pass phrase"  # noqa: S105 it opens an invented shop
FAULTS = (
    "fork,Unit {n},34,120 140,9999,",
    "fork,Unit {n},34,120;x,150,",
    "bicycle,Unit {n},34,120,150,",
    'fork,Unit {n},34,120,150,"120: 80=88 70=90"',
    "fork,Unit 0,34,120,150,",
)


def test_every_bad_line_of_five_thousand_is_named_and_nothing_is_stored(
    app: Flask, capsys: pytest.CaptureFixture[str]
) -> None:
    with app.app_context():
        shop_id = open_shop("Lantern Lane Cycles", "mira", PASSWORD).shop_id
    client = app.test_client()
    client.post("/shop/log-in", data={"login": "mira", "password": PASSWORD})
    lines, bad = ["kind,name,stanchion_mm,travels_mm,max_pressure_psi,charts"], []
    for n in range(ROWS):
        if n % 100 == 99:
            lines.append(FAULTS[n // 100 % len(FAULTS)].format(n=n))
            bad.append(n + 2)
        else:
            lines.append(f'fork,Unit {n},34,120 140,150,"140: 55=60 80=88 105=119"')
    data = {"file": (io.BytesIO("\n".join(lines).encode()), "units.csv"), "known": "refuse"}
    begun = time.perf_counter()
    answer = client.post("/shop/units/import", data=data, content_type="multipart/form-data")
    took = time.perf_counter() - begun
    with capsys.disabled():
        print(f"\n{ROWS} rows, {len(bad)} bad: refused in {took:.2f} s (goal: under 5 s)")
    assert answer.status_code == 422
    missing = [line for line in bad if f"Line {line}:" not in answer.text]
    assert not missing
    with app.app_context():
        assert list_suspension_units(shop_id).total == 0
