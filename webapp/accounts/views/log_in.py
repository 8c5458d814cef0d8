"""Log in and out, change one's own password, and the one-time link of the first start."""

from __future__ import annotations

from flask import Blueprint, Response, make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import current_staff, drop_session, needs_staff, signed_in, start_session
from webapp.accounts.actions.change_password import change_password
from webapp.accounts.actions.end_sessions import end_sessions
from webapp.accounts.actions.log_in import log_in as check_log_in
from webapp.accounts.actions.open_shop import check_opening_link, open_first_shop
from webapp.accounts.forms import LogInForm, OpenShopForm, PasswordForm
from webapp.accounts.known_device import known_device, remember_device
from webapp.ground.action_errors import LogInRefusedError, RefusedError, TooManyAttemptsError
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.page_form import PageForm

blueprint = Blueprint("log_in", __name__, url_prefix="/shop")


@blueprint.route("/log-in", methods=["GET", "POST"])
@checks_its_own_token
def log_in() -> ResponseReturnValue:
    """Let staff in, and lead to the page that they wanted."""
    form, status = LogInForm(), 200
    if form.is_submitted():
        status = 422
        if form.validate():
            try:
                address = request.remote_addr or ""
                member = check_log_in(form.login.data, form.password.data, address, known_device)
                start_session(member)
                return remember_device(make_response(redirect(_find_way_back(), 303)), member.login)
            except LogInRefusedError as error:
                form.refuse("", str(error))
            except TooManyAttemptsError as error:
                form.refuse("", str(error))
                return _draw_page("log_in", form, 429, {"Retry-After": str(error.wait_s)})
    return _draw_page("log_in", form, status)


def _find_way_back() -> str:
    """Return where to go after the log-in: a path of ours from the query, else the shop's home."""
    path = request.args.get("back", "")
    ours = path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable() and path.isascii()
    return request.script_root + path if ours else url_for("shop.home")


def _draw_page(name: str, form: PageForm, status: int, headers: dict[str, str] | None = None) -> Response:
    answer = make_response(
        render_template(f"accounts/{name}.html", form=form, problems=form.problems(), member=current_staff()), status
    )
    answer.headers.update(headers or {})
    return answer


@blueprint.post("/log-out")
@needs_staff
def log_out() -> ResponseReturnValue:
    """End the session here and on the server, on every device."""
    end_sessions(signed_in())
    drop_session()
    answer = make_response(redirect(url_for("log_in.log_in"), 303))
    answer.headers["Clear-Site-Data"] = '"storage"'  # what a service worker kept for when the network is gone
    return answer


@blueprint.route("/password", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def password() -> ResponseReturnValue:
    """Change one's own password; every other session of the account ends."""
    form = PasswordForm()
    if not form.is_submitted():
        return _draw_page("password", form, 200)
    if form.validate():
        try:
            address = request.remote_addr or ""
            start_session(change_password(signed_in(), form.old_password.data, form.new_password.data, address))
            return redirect(url_for("shop.home", done="password"), 303)
        except RefusedError as error:
            form.refuse(error.field, str(error))
        except TooManyAttemptsError as error:
            form.refuse("", str(error))
            return _draw_page("password", form, 429, {"Retry-After": str(error.wait_s)})
    return _draw_page("password", form, 422)


@blueprint.route("/open/<token>", methods=["GET", "POST"])
@checks_its_own_token
def open_first(token: str) -> ResponseReturnValue:
    """Open the first shop by the link that the first start printed; the link works once."""
    check_opening_link(token)
    form = OpenShopForm()
    if not form.is_submitted():
        return _draw_page("open", form, 200)
    if form.validate():
        try:
            start_session(open_first_shop(token, form.name.data, form.login.data, form.password.data))
            return redirect(url_for("shop.home"), 303)
        except RefusedError as error:
            form.refuse(error.field, str(error))
    return _draw_page("open", form, 422)
