"""Corrections of a saved setup from something measured, felt or changed: four forms and the page of the answer."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from setup_rules import RequestError, SetupRulesError
from webapp.accounts.access import current_staff
from webapp.checks.actions.check_bounce import check_bounce
from webapp.checks.actions.check_sag import check_sags
from webapp.checks.actions.preview_changes import preview_changes
from webapp.checks.actions.report_ride import report_ride
from webapp.checks.actions.save_changes import save_changes
from webapp.checks.forms.check_forms import BounceForm, RideForm, chosen_end
from webapp.checks.forms.correction_form import CorrectionForm
from webapp.checks.forms.restore_form import revision_number
from webapp.checks.forms.sag_form import SagCheckForm
from webapp.checks.forms.what_if_form import WhatIfForm
from webapp.checks.pages.answer_page import present_answer
from webapp.checks.pages.causes import present_causes
from webapp.checks.pages.correction_page import Conflict, present_conflict, present_correction
from webapp.checks.pages.difference import differences
from webapp.checks.weight_proof import WeightProof
from webapp.ground.action_errors import ConflictError
from webapp.ground.extensions import checks_its_own_token, limit_creation, limit_links
from webapp.ground.text.sentences import say_error
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.one_time_owner_link import was_entered_here
from webapp.setups.revision import Revision

blueprint = Blueprint("corrections", __name__)

Save = Callable[..., Revision]


@blueprint.route("/s/<code>/sag-check", methods=["GET", "POST"])
@checks_its_own_token
@limit_links
@limit_creation
def sag_check(code: str) -> ResponseReturnValue:
    """Take the sag as measured at either end; on POST calculate, save, and redirect to the answer."""
    saved = find_setup(code)
    form = SagCheckForm(saved.setup, saved.number)
    return _save_or_show("checks/sag_check.html", saved, form, check_sags)


@blueprint.route("/s/<code>/bounce", methods=["GET", "POST"])
@checks_its_own_token
@limit_links
@limit_creation
def bounce(code: str) -> ResponseReturnValue:
    """Take what was seen after a firm push; on POST calculate the clicks, save them, and redirect to the answer."""
    saved = find_setup(code)
    form = BounceForm(saved.setup, chosen_end(saved.setup, request.args.get("end")), saved.number)
    return _save_or_show("checks/bounce.html", saved, form, check_bounce)


@blueprint.route("/s/<code>/ride", methods=["GET", "POST"])
@checks_its_own_token
@limit_links
@limit_creation
def ride(code: str) -> ResponseReturnValue:
    """Take how it felt; on POST find the one change, save it, and lead to the answer."""
    saved = find_setup(code)
    form = RideForm(saved.setup, chosen_end(saved.setup, request.args.get("end")), saved.number)
    return _save_or_show("checks/ride.html", saved, form, report_ride)


@blueprint.route("/s/<code>/what-if", methods=["GET", "POST"])
@checks_its_own_token
@limit_links
@limit_creation
def what_if(code: str) -> ResponseReturnValue:
    """Take what is different now; show what it changes, and save it only when the second button is pressed."""
    saved = find_setup(code)
    form = WhatIfForm(_find_seen_revision(saved).setup, saved.number)
    if request.form.get("do") == "save":
        return _save_or_show("checks/what_if.html", saved, form, partial(_save_what_if, form))
    return _show_preview(saved, form)


@blueprint.get("/s/<code>/<int:revision>/answer")
@limit_links
def answer(code: str, revision: int) -> ResponseReturnValue:
    """Show what a saved check, ride or change asks for."""
    saved = find_setup(code, revision)
    before = find_setup(code, saved.base_number) if saved.base_number else None
    return render_template("checks/answer.html", page=present_answer(saved, before))


def _save_what_if(form: WhatIfForm, *asked: Any, **how: Any) -> Revision:
    """Save with the proof and the name that were read with the rest of the form."""
    return save_changes(*asked, **how, proof=_proof(form), rider=form.rider_name.data)


def _find_seen_revision(saved: Revision) -> Revision:
    """Return the revision that the page was drawn from: an entry is a change from that one, also when sent twice."""
    number = revision_number(request.form.get("base_revision"))
    return find_setup(saved.code, number) if number and number < saved.number else saved


def _save_or_show(template: str, saved: Revision, form: Any, save: Save) -> ResponseReturnValue:
    """Show the form, or save what it holds and lead to the answer; whatever goes wrong, the entries stay."""
    if request.method != "POST":
        return _draw_page(template, saved, form)
    asked = form.read()
    if asked is None:
        return _draw_page(template, saved, form), 422
    try:
        done = save(saved.code, asked, base_revision=form.base, idempotency_key=form.submission_key(asked))
    except ConflictError as error:
        return _show_conflict(template, form, error, saved.code), 409
    except SetupRulesError as error:
        _refuse(form, error)
        return _draw_page(template, saved, form), 422
    return redirect(url_for("corrections.answer", code=done.code, revision=done.number), 303)


def _show_preview(saved: Revision, form: WhatIfForm) -> ResponseReturnValue:
    template = "checks/what_if.html"
    conflict = _move_to_newest(saved, form)
    changes = form.read() if request.method == "POST" else None
    if changes is None:
        return _draw_page(template, saved, form, conflict=conflict), 422 if form.problems() else 200
    try:
        preview = preview_changes(saved.code, changes, proof=_proof(form))
    except SetupRulesError as error:
        _refuse(form, error)
        return _draw_page(template, saved, form, conflict=conflict), 422
    compared = differences(preview.saved.setup, preview.setup)
    causes = present_causes(preview.stages)
    return _draw_page(template, saved, form, conflict=conflict, compared_groups=compared, causes=causes)


def _proof(form: WhatIfForm) -> WeightProof:
    """Return what was entered for a proof, with who is signed in and from where it comes."""
    member = current_staff()
    return replace(
        form.proof(),
        shop_id=None if member is None else member.shop_id,
        address=request.remote_addr or "",
        entered_here=was_entered_here((request.view_args or {}).get("code", "").upper()),
    )


def _move_to_newest(saved: Revision, form: WhatIfForm) -> Conflict | None:
    """Let a page that was drawn from an earlier revision continue from the newest, and return what that one changed."""
    seen = form.base
    form.build_on(saved.number, saved.setup)
    return present_conflict(find_setup(saved.code, seen), saved) if seen and seen < saved.number else None


def _refuse(form: CorrectionForm, error: SetupRulesError) -> None:
    if isinstance(error, RequestError):
        form.refuse_all(error.problems)
    else:
        form.refuse("", say_error(error))


def _show_conflict(template: str, form: CorrectionForm, error: ConflictError, code: str) -> str:
    """Show what someone else saved in the meantime; the next press of the button saves on top of it."""
    seen, latest = form.base or 1, error.latest or find_setup(code)
    drawn_of = find_setup(code, seen)
    form.build_on(latest.number, latest.setup)
    form.keep_meant(drawn_of.setup, latest.setup)
    return _draw_page(template, latest, form, conflict=present_conflict(drawn_of, latest))


def _draw_page(template: str, saved: Revision, form: CorrectionForm, **parts: Any) -> str:
    page = present_correction(saved, getattr(form, "name", ""))
    parts["entered_here"] = was_entered_here(saved.code)
    return render_template(template, page=page, form=form, problems=form.problems(), **parts)
