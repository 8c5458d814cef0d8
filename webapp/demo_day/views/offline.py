"""Numbers for when the network is gone: the page that holds them for every bike, and the worker that keeps it."""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from pathlib import Path
from typing import Final

from flask import Blueprint, Response, current_app, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.demo_day.actions.numbers_table import is_fresh, loaded_bikes, make_one_more
from webapp.demo_day.forms.crew_forms import STYLES
from webapp.demo_day.views.drawn_numbers import drawn_numbers

blueprint = Blueprint("offline", __name__, url_prefix="/shop/bikes")

#: What the crew's pages are drawn with; the service worker keeps these and the page of numbers, nothing else.
KEPT_FILES: Final = ("app.css", "shop.css", "crew.css", "crew.js", "icon.svg")
WORKER_FILE: Final = "offline-worker.js"


@blueprint.get("/numbers")
@needs_staff
def numbers() -> ResponseReturnValue:
    """Show the numbers of every bike by weight and style; each visit works out one more that is missing."""
    bikes = loaded_bikes(signed_in().shop_id)
    make_one_more(bikes)
    ready = sum(is_fresh(bike) for bike in bikes)
    if request.args.get("wait") == "1":  # a script asks how far they are before it loads them all
        return {"ready": ready, "all": len(bikes)}
    shown = [(bike, drawn_numbers(bike)) for bike in bikes]
    parts = {"waiting": ready < len(bikes), "all_open": request.args.get("print") == "1"}
    return render_template("demo_day/numbers.html", bikes=shown, ready=ready, styles=STYLES, **parts)


@blueprint.get("/offline-worker.js")
@needs_staff
def worker() -> ResponseReturnValue:
    """Give the service worker, with the version and the addresses of what it keeps; there is nothing private in it."""
    files = [url_for("static", filename=name) for name in KEPT_FILES]
    says = {"version": _version(str(current_app.static_folder)), "files": files, "numbers": url_for(".numbers")}
    says |= {"scope": url_for("bikes.browse"), "root": request.script_root}
    script = (Path(str(current_app.static_folder)) / WORKER_FILE).read_text(encoding="utf-8")
    answer = Response(f"const KEEPS = {json.dumps(says)};\n{script}", mimetype="text/javascript")
    answer.headers["Service-Worker-Allowed"] = url_for("bikes.browse")
    return answer


@lru_cache(maxsize=1)
def _version(folder: str) -> str:
    """Return a name for these very files: another release has another one, and the caches of this one are dropped."""
    parts = [(Path(folder) / name).read_bytes() for name in (*KEPT_FILES, WORKER_FILE)]
    return hashlib.sha256(b"\0".join(parts)).hexdigest()[:12]
