"""A saved setup as the JSON interface gives it: plain numbers, the unit in the key."""

from __future__ import annotations

from typing import Any

from setup_rules.types.result import ClickStart, EndSetup, Note
from setup_rules.types.units import PSI_PA
from webapp.api.history_page import HistoryPage
from webapp.api.pages.coil_answers import with_coil, with_past_coil
from webapp.api.pages.second_chamber_answers import past_second_answer, second_answer
from webapp.ground import urls
from webapp.ground.text.phrases import pump_range_pa, source
from webapp.ground.text.sentences import say
from webapp.setups.actions.list_revisions import PastRevision, RevisionEnd
from webapp.setups.revision import Revision
from webapp.setups.told_reasons import told_reasons

_BAR_PA = 100_000.0


def setup_answer(saved: Revision) -> dict[str, Any]:
    """Return the answer to POST and GET of a setup; after a correction with what to do next."""
    setup = saved.setup
    corrected = saved.kind != "created"
    return {
        "code": saved.code,
        "url": urls.setup_url(saved.code),
        "card_url": urls.card_url(saved.code),
        "revision": saved.number,
        "front": _end_answer(setup.front),
        "rear": _end_answer(setup.rear),
        "cautions": [_note_answer(note) for note in setup.cautions],
        "reasons": [{**_note_answer(note), "source": source(note)} for note in told_reasons(setup)],
        **(_next_answer(setup.settled, setup.advice) if corrected else {}),
    }


def history_answer(code: str, past: tuple[PastRevision, ...], following: str | None) -> dict[str, Any]:
    """Return a page of a setup's history, its first revision first, and the address of the page after it."""
    lines = [_past_answer(one) for one in past]
    return {"code": code, "url": urls.setup_url(code), "revisions": lines, "next": following}


def next_page(saved: Revision, asked: HistoryPage) -> str | None:
    """Return the address of the page of history after the one that was asked for, None after the last."""
    last = asked.after + asked.limit
    if last >= saved.latest_number:
        return None
    return f"{urls.base_url()}/api/v1/setups/{saved.code}/revisions?after={last}&limit={asked.limit}"


def _past_answer(past: PastRevision) -> dict[str, Any]:
    ends = {end.end: _past_end_answer(end) for end in past.ends}
    revision = past.revision
    return {
        "revision": revision.number,
        "base_revision": revision.base_number,
        "created_at": revision.created_at.isoformat(timespec="seconds"),
        "kind": revision.kind,
        "reason": say(revision.reason),
        **_next_answer(revision.setup.settled, revision.setup.advice),
        "front": ends.get("front"),
        "rear": ends.get("rear"),
    }


def _past_end_answer(end: RevisionEnd) -> dict[str, Any]:
    measured_at, sag = end.measured_at_pa, end.measured_sag_mm
    answer = {
        "pressure_psi": round(end.pressure_pa / PSI_PA, 1),
        "pressure_bar": round(end.pressure_pa / _BAR_PA, 2),
        "sag_target_mm": round(end.sag_target_mm, 1),
        "sag_expected_mm": round(end.sag_expected_mm, 1),
        "sag_low_mm": round(end.sag_low_mm, 1),
        "sag_high_mm": round(end.sag_high_mm, 1),
        "measured_sag_mm": None if sag is None else round(sag, 1),
        "measured_at_psi": None if measured_at is None else round(measured_at / PSI_PA, 1),
        "measured_on_ride_mm": None if sag is None else round(sag - end.measured_shift_mm, 1),
        "measured_place": None if end.measured_with is None else end.measured_with.place,
        "rebound_clicks_out": end.rebound_out,
        "compression_clicks_out": end.compression_out,
        "volume_spacers": end.volume_spacers,
        "travel_mm": end.travel_mm,
        **past_second_answer(end.second),
    }
    return with_past_coil(answer, end)


def _next_answer(settled: bool | None, advice: tuple[Note, ...]) -> dict[str, Any]:
    return {"settled": settled, "advice": [{**_note_answer(note), "source": source(note)} for note in advice]}


def _end_answer(end: EndSetup | None) -> dict[str, Any] | None:
    if end is None:
        return None
    answer = {
        "pressure_psi": round(end.pressure_pa / PSI_PA, 1),
        "pressure_bar": round(end.pressure_pa / _BAR_PA, 2),
        "pressure_low_psi": round(pump_range_pa(end)[0] / PSI_PA, 1),
        "pressure_high_psi": round(pump_range_pa(end)[1] / PSI_PA, 1),
        "min_pressure_psi": round(end.min_pressure_pa / PSI_PA, 1),
        "max_pressure_psi": round(end.max_pressure_pa / PSI_PA, 1),
        "sag_target_mm": round(end.sag_target_mm, 1),
        "sag_target_bench_mm": _bench_target(end),
        "sag_expected_mm": round(end.sag_expected_mm, 1),
        "sag_low_mm": round(end.sag_low_mm, 1),
        "sag_high_mm": round(end.sag_high_mm, 1),
        "limited": end.limited,
        "spring_test": _pushed_answer(end),
        **_clicks_answer("rebound", end.rebound),
        **_clicks_answer("compression", end.compression),
        **second_answer(end.second),
    }
    return with_coil(answer, end)


def _bench_target(end: EndSetup) -> float | None:
    """Return what the target reads where the spring is set [mm], None where it is out of reach or was not reckoned."""
    known = end.bench_shift_mm is not None and end.reaches_target
    return round(end.bench_target_mm, 1) if known else None


def _pushed_answer(end: EndSetup) -> dict[str, Any] | None:
    if end.pushed is None:
        return None
    return {
        "pressure_psi": round(end.pushed.pressure_pa / PSI_PA, 1),
        "compression_mm": [round(mm, 1) for mm in end.pushed.compression_mm],
        "force_n": [round(n, 1) for n in end.pushed.force_n],
        "residual_n": [round(n, 1) for n in end.pushed.residual_n],
        "friction_n": round(end.pushed.friction_n, 1),
    }


def _clicks_answer(adjuster: str, clicks: ClickStart | None) -> dict[str, int | None]:
    return {
        f"{adjuster}_clicks_out": None if clicks is None else clicks.out,
        f"{adjuster}_clicks_total": None if clicks is None else clicks.total,
    }


def _note_answer(note: Note) -> dict[str, Any]:
    return {"code": note.code, "end": note.end, "message": say(note.said)}
