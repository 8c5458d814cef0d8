"""Everything that a server has in memory once it has answered for a while; import it, then fork servers from it.

What a start costs is the reading of libraries, units and fonts, and none of it is what a kill can break.
"""

from __future__ import annotations

import gc
import importlib
import tempfile

from setup_rules.types.units import registry
from tests.faults import ledger
from webapp import BLUEPRINTS, create_app
from webapp.cards.rendering.pdf import write_card
from webapp.ground.database.engine import database

for name in (
    *("webapp.commands.serve", "webapp.commands.http_server", "webapp.accounts.access", "webapp.ground.error_pages"),
    *("webapp.cards.rendering.qr", "scipy.stats.qmc"),
    *(f"webapp.{name}" for name in BLUEPRINTS),
):
    importlib.import_module(name)
registry()
with tempfile.TemporaryDirectory() as folder:
    app = create_app({"DATA": folder, "RATELIMIT_ENABLED": False})
    client = app.test_client()
    code = client.post("/api/v1/setups", json=ledger.REQUEST, headers={"Idempotency-Key": "loaded"}).json["code"]
    client.post(f"/api/v1/setups/{code}/sag-checks", json=ledger.CHECK, headers={"Idempotency-Key": "loaded-1"})
    client.get(f"/api/v1/setups/{code}")
    with app.app_context():
        database.close()
del app, client
write_card("<html lang='en'><title>loaded</title><p>fonts 0123456789</p></html>")
gc.collect()
gc.freeze()  # a forked server need not look through it
