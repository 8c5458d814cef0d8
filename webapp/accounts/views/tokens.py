"""The page of the tokens that a shop's tools use: listed, made and shown once, revoked."""

from __future__ import annotations

from flask import Blueprint, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.accounts.actions.tokens import create_token, list_tokens, may_revoke, revoke_token
from webapp.accounts.forms import TokenForm
from webapp.accounts.pages import present_token
from webapp.ground.action_errors import RefusedError
from webapp.ground.extensions import checks_its_own_token
from webapp.ground.fields.page_form import ConfirmForm

blueprint = Blueprint("tokens", __name__, url_prefix="/shop/tokens")


@blueprint.route("", methods=["GET", "POST"])
@checks_its_own_token
@needs_staff
def tokens() -> ResponseReturnValue:
    """List the shop's tokens and make one: it is shown on this answer alone and kept nowhere."""
    form, secret = TokenForm(), ""
    if form.is_submitted() and form.validate():
        try:
            secret = create_token(signed_in(), form.name.data)
            form = TokenForm(formdata=None)
        except RefusedError as error:
            form.refuse(error.field, str(error))
    return _draw_page(form, secret)


def _draw_page(form: TokenForm, secret: str, sentence: str = "") -> ResponseReturnValue:
    member, problems = signed_in(), form.problems()
    if sentence:
        problems = [("", sentence), *problems]
    shown = render_template(
        "accounts/tokens.html",
        form=form,
        problems=problems,
        secret=secret,
        tokens=[present_token(one, may_revoke=may_revoke(member, one)) for one in list_tokens(member.shop_id)],
        member=member,
        done=request.args.get("done"),
        confirm=ConfirmForm(formdata=None),
    )
    return shown, 422 if problems else 200


@blueprint.post("/<int:token_id>/revoke")
@needs_staff
def revoke(token_id: int) -> ResponseReturnValue:
    """End a token at once."""
    try:
        revoke_token(signed_in(), token_id)
    except RefusedError as error:
        return _draw_page(TokenForm(formdata=None), "", str(error))
    return redirect(url_for(".tokens", done="revoked"), 303)
