"""The history of a setup: its revisions, a comparison of two, restoring one, and striking a sag check out."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from setup_rules import RequestError
from webapp.checks.actions.restore_revision import restore_revision
from webapp.checks.actions.return_bike import return_bike
from webapp.checks.actions.strike_check import strike_check
from webapp.checks.forms.correction_form import CorrectionForm
from webapp.checks.forms.restore_form import RestoreForm, StrikeForm, revision_number
from webapp.checks.pages.compare_page import present_compare
from webapp.checks.pages.correction_page import Conflict, present_conflict
from webapp.checks.pages.history_page import count_pages, numbers_on_page, present_history
from webapp.checks.pages.history_plot import history_plot
from webapp.ground.action_errors import ConflictError, LinkUnknownError
from webapp.ground.extensions import checks_its_own_token, limit_creation, limit_links
from webapp.ground.text.i18n import gettext as _
from webapp.ground.whole_numbers import read_whole_number
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.list_revisions import list_revisions
from webapp.setups.revision import Revision

blueprint = Blueprint("history", __name__)


@blueprint.get("/s/<code>/history")
@limit_links
def show(code: str) -> str:
    """Show every revision, the newest first."""
    saved = find_setup(code)
    return _draw_page(saved, RestoreForm(saved.number))


@blueprint.post("/s/<code>/restore")
@checks_its_own_token
@limit_links
@limit_creation
def restore(code: str) -> ResponseReturnValue:
    """Save an earlier revision again as the newest."""
    saved = find_setup(code)
    form = RestoreForm(saved.number)
    wanted = form.read()
    if wanted is None:
        return _draw_page(saved, form), 422
    how: dict[str, Any] = {"base_revision": form.base, "idempotency_key": form.submission_key(wanted)}
    return _save_or_show(saved, form, lambda: restore_revision(saved.code, wanted, **how))


@blueprint.post("/s/<code>/strike")
@checks_its_own_token
@limit_links
@limit_creation
def strike(code: str) -> ResponseReturnValue:
    """Let a sag check count no longer, or again."""
    saved = find_setup(code)
    form = StrikeForm(saved.number)
    wanted = form.read()
    if wanted is None:
        return _draw_page(saved, form), 422
    how: dict[str, Any] = {
        "struck": wanted[1],
        "base_revision": form.base,
        "idempotency_key": form.submission_key(wanted),
    }
    return _save_or_show(saved, form, lambda: strike_check(saved.code, wanted[0], **how))


@blueprint.post("/s/<code>/give-back")
@checks_its_own_token
@limit_links
@limit_creation
def give_back(code: str) -> ResponseReturnValue:
    """Give a borrowed bike back to its own rider."""
    saved = find_setup(code)
    form = CorrectionForm(saved.number)
    if not form.validate():
        return _draw_page(saved, RestoreForm(saved.number)), 422
    how: dict[str, Any] = {"base_revision": form.base, "idempotency_key": form.submission_key("give back")}
    return _save_or_show(saved, RestoreForm(saved.number), lambda: return_bike(saved.code, **how))


def _save_or_show(saved: Revision, form: CorrectionForm, save: Callable[[], Revision]) -> ResponseReturnValue:
    """Save and lead to the answer; whatever goes wrong is said on the history's page."""
    try:
        done = save()
    except ConflictError as error:
        return _show_conflict(saved.code, form, error), 409
    except RequestError as error:
        form.refuse_all(error.problems)
        return _draw_page(saved, form), 422
    return redirect(url_for("corrections.answer", code=done.code, revision=done.number), 303)


def _show_conflict(code: str, form: CorrectionForm, error: ConflictError) -> str:
    latest = error.latest or find_setup(code)
    told = present_conflict(find_setup(code, form.base or 1), latest)
    form.build_on(latest.number, latest.setup)
    return _draw_page(latest, form, told)


@blueprint.get("/s/<code>/compare")
@limit_links
def compare(code: str) -> str:
    """Show two revisions side by side; without numbers the newest beside the one before."""
    latest = find_setup(code)
    first = find_setup(code, _asked("a", max(1, latest.number - 1)))
    second = find_setup(code, _asked("b", latest.number))
    return render_template("checks/compare.html", page=present_compare(first, second))


def _asked(name: str, default: int) -> int:
    """Return the version that the query asks for, `default` where it leaves the question open."""
    text = request.args.get(name, "").strip()
    number = revision_number(text) if text else default
    if number is None:
        raise LinkUnknownError(_("This setup has no version “%(text)s”. Choose one from its history.", text=text[:20]))
    return number


def _draw_page(saved: Revision, form: CorrectionForm, conflict: Conflict | None = None) -> str:
    number = min(read_whole_number(request.args.get("page")) or 1, count_pages(saved.number))
    first, last = numbers_on_page(saved.number, number)
    page = present_history(saved, list_revisions(saved.code, first - 1, last), number)
    parts = {"form": form, "problems": form.problems(), "conflict": conflict}
    return render_template("checks/history.html", page=page, draw=history_plot, **parts)
