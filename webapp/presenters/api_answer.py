"""A saved setup as the JSON interface gives it: plain numbers, the unit in the key."""

from __future__ import annotations

from typing import Any

from setup_rules.result import ClickStart, EndSetup, Note
from setup_rules.units import PSI_PA
from webapp import links
from webapp.i18n import gettext as _
from webapp.services.saved import SavedSetup

_BAR_PA = 100_000.0


def setup_answer(saved: SavedSetup) -> dict[str, Any]:
    """Return the answer to POST and GET of a setup."""
    setup = saved.setup
    return {
        "code": saved.code,
        "url": links.setup_url(saved.code),
        "card_url": links.card_url(saved.code),
        "revision": saved.revision,
        "front": _end_answer(setup.front),
        "rear": _end_answer(setup.rear),
        "cautions": [_note_answer(note) for note in setup.cautions],
        "reasons": [{**_note_answer(note), "source": note.source} for note in setup.reasons],
    }


def _end_answer(end: EndSetup | None) -> dict[str, Any] | None:
    if end is None:
        return None
    return {
        "pressure_psi": round(end.pressure_pa / PSI_PA, 1),
        "pressure_bar": round(end.pressure_pa / _BAR_PA, 2),
        "pressure_low_psi": round(end.pressure_low_pa / PSI_PA, 1),
        "pressure_high_psi": round(end.pressure_high_pa / PSI_PA, 1),
        "sag_target_mm": round(end.sag_target_mm, 1),
        "sag_low_mm": round(end.sag_low_mm, 1),
        "sag_high_mm": round(end.sag_high_mm, 1),
        **_clicks_answer("rebound", end.rebound),
        **_clicks_answer("compression", end.compression),
    }


def _clicks_answer(adjuster: str, clicks: ClickStart | None) -> dict[str, int | None]:
    return {
        f"{adjuster}_clicks_out": None if clicks is None else clicks.out,
        f"{adjuster}_clicks_total": None if clicks is None else clicks.total,
    }


def _note_answer(note: Note) -> dict[str, Any]:
    return {"code": note.code, "end": note.end, "message": _(note.template).format(**note.values)}
