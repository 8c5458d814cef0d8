"""The owner's page of accounts: add, new password, role, close and open."""

from __future__ import annotations

from flask import Blueprint, abort, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_owner, signed_in
from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.manage_staff import change_role, close_account, list_staff, reset_password
from webapp.accounts.forms import ResetForm, StaffForm
from webapp.ground.action_errors import RefusedError
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.page_form import ConfirmForm, PageForm

blueprint = Blueprint("staff", __name__, url_prefix="/shop/staff")


@blueprint.route("", methods=["GET", "POST"])
@checks_its_own_token
@needs_owner
def accounts() -> ResponseReturnValue:
    """List the accounts of the shop and add one."""
    form = StaffForm()
    if form.is_submitted() and form.validate():
        try:
            create_staff(signed_in().shop_id, form.login.data, form.password.data, form.role.data)
            return redirect(url_for(".accounts", done="added"), 303)
        except RefusedError as error:
            form.refuse(error.field, str(error))
    return _draw_page(form)


def _draw_page(form: PageForm, sentence: str = "") -> ResponseReturnValue:
    member, problems = signed_in(), form.problems()
    if sentence:
        problems = [("", sentence), *problems]
    shown = render_template(
        "accounts/staff.html",
        form=form,
        problems=problems,
        staff=list_staff(member.shop_id),
        member=member,
        confirm=ConfirmForm(formdata=None),
    )
    return shown, 422 if problems else 200


@blueprint.post("/<int:staff_id>/change")
@needs_owner
def change(staff_id: int) -> ResponseReturnValue:
    """Change the role of an account, or close or open it."""
    owner, what = signed_in(), request.form.get("what", "")
    try:
        if what in ("owner", "staff"):
            change_role(owner, staff_id, what)
        elif what in ("close", "open"):
            close_account(owner, staff_id, closed=what == "close")
        else:
            abort(400)
    except RefusedError as error:
        return _draw_page(StaffForm(formdata=None), str(error))
    return redirect(url_for(".accounts", done="changed"), 303)


@blueprint.route("/<int:staff_id>/password", methods=["GET", "POST"])
@checks_its_own_token
@needs_owner
def password(staff_id: int) -> ResponseReturnValue:
    """Give an account a new password."""
    form, owner = ResetForm(), signed_in()
    login = next((one.login for one in list_staff(owner.shop_id) if one.staff_id == staff_id), "")
    if form.is_submitted() and form.validate():
        try:
            reset_password(owner, staff_id, form.password.data)
            return redirect(url_for(".accounts", done="password"), 303)
        except RefusedError as error:
            form.refuse(error.field, str(error))
    problems = form.problems()
    page = render_template("accounts/staff_password.html", form=form, problems=problems, login=login, staff_id=staff_id)
    return page, (422 if problems else 200) if login else 404
