"""The shop's settings: the owner's for the shop, everybody's own initials."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_owner, needs_staff, signed_in
from webapp.accounts.actions.shop_settings import SettingsConflictError, find_settings, save_initials, save_settings
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.text.local_time import zone_names
from webapp.workshop.forms.settings_form import InitialsForm, SettingsForm

blueprint = Blueprint("shop_settings", __name__, url_prefix="/shop/settings")


@blueprint.get("")
@needs_staff
def show() -> ResponseReturnValue:
    """Show the settings; staff sees them and changes its own initials."""
    return _page(_filled())


@blueprint.post("")
@checks_its_own_token
@needs_owner
def save() -> ResponseReturnValue:
    """Replace the shop's settings."""
    form = SettingsForm()
    if (entered := form.read()) is not None:
        try:
            save_settings(signed_in(), entered, form.seen_settings())
            return redirect(url_for(".show", done="shop"), 303)
        except SettingsConflictError as error:
            form.form_errors.append(str(error))
            form.seen.data = _filled().seen.data
    return _page(form)


@blueprint.post("/initials")
@checks_its_own_token
@needs_staff
def initials() -> ResponseReturnValue:
    """Replace one's own initials."""
    form = InitialsForm()
    if (entered := form.read()) is None:
        return _page(_filled(), form)
    save_initials(signed_in(), entered)
    return redirect(url_for(".show", done="initials"), 303)


def _filled() -> SettingsForm:
    form = SettingsForm(formdata=None)
    form.fill(find_settings(signed_in().shop_id))
    return form


def _page(form: SettingsForm, own: InitialsForm | None = None) -> ResponseReturnValue:
    if own is None:
        own = InitialsForm(formdata=None)
        own.show({"initials": signed_in().initials})
    problems = form.problems() + own.problems()
    shown = render_template(
        "workshop/settings.html",
        form=form,
        own=own,
        problems=problems,
        member=signed_in(),
        zones=sorted(zone_names()) if signed_in().is_owner else (),
        current=find_settings(signed_in().shop_id),
        done=request.args.get("done", "") if not problems else "",
    )
    return shown, 422 if problems else 200
