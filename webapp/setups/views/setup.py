"""The form, the saved setup's page, and the box that opens a card."""

from __future__ import annotations

from functools import partial

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from setup_rules import SetupRequest, SetupRulesError
from webapp.accounts.access import current_staff
from webapp.accounts.staff import StaffMember
from webapp.ground import urls
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.device_units import remember_units
from webapp.ground.drawing import start_pictures
from webapp.ground.drawing.force_plot import force_plot
from webapp.ground.extensions import checks_its_own_token, limit_creation, limit_links, needs_no_token
from webapp.ground.fields.quantity import CHOSEN_SYMBOLS
from webapp.ground.fields.submission_key import new_key
from webapp.ground.text.sentences import say_error
from webapp.library.actions.class_factors import with_shop_checks
from webapp.library.actions.find_suspension_units import find_suspension_unit_by_name, offered_suspension_units
from webapp.library.actions.unit_learning import tie_to_units, with_unit_memories
from webapp.setups import one_time_owner_link
from webapp.setups.actions.create_setup import create_setup
from webapp.setups.actions.find_borrower import find_borrower
from webapp.setups.actions.find_setup import find_setup
from webapp.setups.actions.shop_setups import register_setup
from webapp.setups.forms.cached_form_page import cached_form_page
from webapp.setups.forms.find_form import FindForm
from webapp.setups.forms.setup_form import SetupForm
from webapp.setups.pages.setup_page import present_setup
from webapp.setups.revision import CreatedSetup

blueprint = Blueprint("setups", __name__)


@blueprint.route("/", methods=["GET", "POST"])
@checks_its_own_token
@limit_creation
def new() -> ResponseReturnValue:
    """Show the form; on POST calculate the setup, save it, and redirect to its page."""
    member = current_staff()
    if request.method != "POST":
        return cached_form_page(_draw) if member is None else _draw(SetupForm())
    form = SetupForm()
    wanted = form.read(None if member is None else partial(find_suspension_unit_by_name, member.shop_id))
    if wanted is None:
        return _draw(form), 422
    try:
        created = _save(form, wanted, member)
    except SetupRulesError as error:
        form.refuse("", say_error(error))
        return _draw(form), 422
    one_time_owner_link.remember_owner_link(created.saved.code, created.owner_key)
    answer = redirect(url_for("setups.show", code=created.saved.code), 303)
    return remember_units(answer, form.chosen_units)


def _save(form: SetupForm, wanted: SetupRequest, member: StaffMember | None) -> CreatedSetup:
    if member is None:
        return create_setup(wanted, form.read_texts(), idempotency_key=form.page_key(wanted))
    units = form.chosen_suspension_units
    asked = with_unit_memories(member.shop_id, with_shop_checks(member.shop_id, wanted), units)
    created = create_setup(asked, form.read_texts(), idempotency_key=form.page_key(wanted))
    register_setup(member, created.saved.code)
    tie_to_units(member.shop_id, created.saved.code, units)
    return created


def _draw(form: SetupForm) -> str:
    member = current_staff()
    names = offered_suspension_units(member.shop_id) if member else None
    return render_template(
        "setups/new.html", form=form, problems=form.problems(), chosen_units=CHOSEN_SYMBOLS, suspension_unit_names=names
    )


@blueprint.get("/s/<code>")
@blueprint.get("/s/<code>/<int:revision>")
@limit_links
def show(code: str, revision: int | None = None) -> ResponseReturnValue:
    """Show a saved setup at its newest revision, or at the one asked for."""
    saved = find_setup(code, revision)
    return render_template(
        "setups/show.html",
        page=present_setup(saved),
        draw=force_plot,
        pictures=start_pictures,
        entry_key=new_key(),
        borrower=find_borrower(saved),
        link=urls.setup_url(saved.code),
        link_is_local=urls.is_local_address(),
        owner_link=one_time_owner_link.take_owner_link(saved.code),
        remembered=current_staff() is None,
    )


@blueprint.route("/find", methods=["GET", "POST"])
@needs_no_token
@limit_links
def find() -> ResponseReturnValue:
    """Take a card link or a code in any case, and lead to its setup."""
    form, status = FindForm(), 422
    if request.method != "POST":
        status = 200
    elif text := form.read():
        try:
            return redirect(url_for("setups.show", code=find_setup(text).code), 303)
        except LinkUnknownError as error:
            form.refuse("code", str(error))
            status = 404
        except LinkGoneError as error:
            form.refuse("code", str(error))
            status = 410
    problems = form.problems()
    return render_template("setups/find.html", form=form, problems=problems), status
