"""Correct my entries: the form as it was entered, saved as a new version under the same link."""

from __future__ import annotations

from dataclasses import astuple, replace

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from setup_rules import RequestError, SetupRequest, SetupRulesError
from webapp.accounts.access import current_staff
from webapp.checks.actions.correct_entries import correct_entries
from webapp.checks.actions.prove_weight import prove_weight
from webapp.checks.forms.entries_form import EntriesForm
from webapp.checks.forms.restore_form import revision_number
from webapp.checks.pages.correction_page import Conflict, present_conflict, present_correction
from webapp.checks.weight_proof import WeightProof
from webapp.ground.action_errors import ConflictError
from webapp.ground.device_units import remember_units
from webapp.ground.extensions import checks_its_own_token, limit_creation, limit_links
from webapp.ground.fields.quantity import CHOSEN_SYMBOLS
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say_error
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import is_of_shop
from webapp.setups.one_time_owner_link import was_entered_here
from webapp.setups.revision import Revision

blueprint = Blueprint("correct", __name__)


@blueprint.route("/s/<code>/entries", methods=["GET", "POST"])
@checks_its_own_token
@limit_links
@limit_creation
def entries(code: str) -> ResponseReturnValue:
    """Show what was entered; on POST save what was put right, and lead to what it changed."""
    saved = find_setup(code)
    seen = _find_seen(saved)
    form = EntriesForm(seen, sees_weight=_sees_weight(saved.code))
    if request.method != "POST":
        return _draw(saved, form)
    try:
        return _save(saved, form)
    except ConflictError as error:
        return _show_conflict(form, error), 409
    except SetupRulesError as error:
        _refuse(form, error)
    return _draw(saved, form), 422


def _save(saved: Revision, form: EntriesForm) -> ResponseReturnValue:
    wanted = _read(saved, form)
    if wanted is None:
        return _draw(saved, form), 422
    changes, texts = form.changes_to(wanted), form.changed_texts()
    if not changes and texts is None:
        form.refuse("", _("You have not changed anything. Correct what was wrong."))
        return _draw(saved, form), 422
    key = form.submission_key([changes, None if texts is None else astuple(texts)])
    proof = None if form.sees_weight else _proof(form)
    done = correct_entries(saved.code, changes, texts, base_revision=form.base, idempotency_key=key, proof=proof)
    answer = redirect(url_for("corrections.answer", code=done.code, revision=done.number), 303)
    return remember_units(answer, form.chosen_units)


def _read(saved: Revision, form: EntriesForm) -> SetupRequest | None:
    """Return the request that was entered; a weight of a hidden one is proven before the rules say anything of it."""
    if not form.validate():
        form.read()
        return None
    if weights := form.typed_weights():
        prove_weight(saved.code, saved.setup, weights, _proof(form))
    return form.read()


def _find_seen(saved: Revision) -> Revision:
    """Return the revision that the page was drawn from: what differs from that one was corrected."""
    number = revision_number(request.form.get("seen_revision"))
    return find_setup(saved.code, number) if number and number < saved.number else saved


def _sees_weight(code: str) -> bool:
    member = current_staff()
    return was_entered_here(code) or (member is not None and is_of_shop(code, member.shop_id))


def _proof(form: EntriesForm) -> WeightProof:
    member = current_staff()
    return replace(form.proof(), shop_id=None if member is None else member.shop_id, address=request.remote_addr or "")


def _refuse(form: EntriesForm, error: SetupRulesError) -> None:
    if isinstance(error, RequestError):
        form.refuse_all(error.problems)
    else:
        form.refuse("", say_error(error))


def _show_conflict(form: EntriesForm, error: ConflictError) -> str:
    """Show what someone else saved; the corrections stay typed, and only what was put right is saved on top of it."""
    seen, latest = form.base or 1, error.latest
    conflict = present_conflict(find_setup(latest.code, seen), latest)
    form.build_on(latest.number, latest.setup)
    return _draw(latest, form, conflict)


def _draw(saved: Revision, form: EntriesForm, conflict: Conflict | None = None) -> str:
    return render_template(
        "checks/entries.html",
        page=present_correction(saved, ""),
        form=form,
        problems=form.problems(),
        chosen_units=CHOSEN_SYMBOLS,
        suspension_unit_names=None,
        conflict=conflict,
    )
