"""The page of the empty form, drawn once: only its token and its key differ from one visit to the next.

Binding and drawing fifty fields costs twenty times a bare view, and everybody who comes gets the same page,
in the language that they read.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Final

from cachetools import LRUCache
from flask import current_app, request
from flask_wtf.csrf import generate_csrf

from webapp.ground.device_units import device_units
from webapp.ground.fields.submission_key import new_key
from webapp.ground.text.i18n import language
from webapp.setups.forms.setup_form import SetupForm

_DRAWN: Final = "blank_setup_pages"
#: Pages kept at most (about 40 kB each): a mount point has one for each language and choice of units.
_KEPT: Final = 16
#: The library's caches are not safe between threads.
_LOCK: Final = threading.Lock()
# Characters that no template holds and no browser ever sees.
_TOKEN, _KEY = "\x01token\x01", "\x01key\x01"


def cached_form_page(draw: Callable[[SetupForm], str]) -> str:
    """Return the empty form's page with a fresh token and key, drawn once for a mount point, language and units."""
    pages: LRUCache[tuple[str, str, str], str] = current_app.extensions.setdefault(_DRAWN, LRUCache(_KEPT))
    key = request.script_root, language(), device_units().text
    with _LOCK:
        page = pages.get(key)
    if page is None:
        page = _draw_with_gaps(draw)
        with _LOCK:
            pages[key] = page
    token = generate_csrf() if _TOKEN in page else ""
    return page.replace(_TOKEN, token).replace(_KEY, new_key())


def _draw_with_gaps(draw: Callable[[SetupForm], str]) -> str:
    form = SetupForm(formdata=None)
    page = draw(form).replace(form.idempotency_key.data, _KEY)
    token = form.csrf_token.current_token if "csrf_token" in form else ""
    return page.replace(token, _TOKEN) if token else page
