"""Cards by the stack, for a shop's staff: order, watch, cancel, fetch."""

from __future__ import annotations

from functools import partial

from flask import Blueprint, Response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.access import needs_staff, signed_in
from webapp.ground.action_errors import RefusedError
from webapp.ground.extensions import checks_its_own_token, limit_cards, limit_creation
from webapp.ground.fields.page_form import ConfirmForm
from webapp.ground.fields.uploaded_text import UPLOAD_LIMIT
from webapp.library.actions.find_suspension_units import find_suspension_unit_by_name
from webapp.stacks.actions.change_stack import cancel_stack, remove_stack
from webapp.stacks.actions.find_stacks import find_sheets, find_stack, list_stacks
from webapp.stacks.actions.meant_setup import meant_setup
from webapp.stacks.actions.order_stack import order_stack
from webapp.stacks.forms.stack_form import StackForm
from webapp.stacks.pages import present_stack
from webapp.stacks.stack import MOST_CARDS, NewCard

blueprint = Blueprint("stacks", __name__, url_prefix="/shop/stacks")


@blueprint.get("")
@needs_staff
def browse() -> ResponseReturnValue:
    """List the shop's stacks."""
    stacks = [present_stack(stack) for stack in list_stacks(signed_in().shop_id)]
    return render_template("stacks/stacks.html", stacks=stacks)


@blueprint.route("/table", methods=["GET", "POST"])
@checks_its_own_token
@limit_creation
@needs_staff
def from_table() -> ResponseReturnValue:
    """Order a stack from a table of riders and bikes, all of it or nothing."""
    request.max_content_length = request.max_form_memory_size = UPLOAD_LIMIT
    form = StackForm()
    find_unit = partial(find_suspension_unit_by_name, signed_in().shop_id)
    cards = form.read_table(find_unit) if request.method == "POST" else None
    return _order(form, cards, "table")


@blueprint.route("/setups", methods=["GET", "POST"])
@checks_its_own_token
@limit_creation
@needs_staff
def from_setups() -> ResponseReturnValue:
    """Order a stack of setups that the shop saved, by their codes; `?code=` fills some in."""
    request.max_content_length = request.max_form_memory_size = UPLOAD_LIMIT
    form = StackForm()
    if request.method != "POST":
        form.codes.text = "\n".join(request.args.getlist("code")[:MOST_CARDS])
        return _order(form, None, "codes")
    return _order(form, form.read_codes(partial(meant_setup, signed_in().shop_id)), "codes")


def _order(form: StackForm, cards: list[NewCard] | None, kind: str) -> ResponseReturnValue:
    if cards is not None:
        try:
            number = order_stack(signed_in(), cards, form.size.data, form.page_key(cards))
            return redirect(url_for(".show", stack=number), 303)
        except RefusedError as error:
            form.refuse("", str(error))
    problems = form.problems()
    shown = render_template("stacks/order.html", form=form, problems=problems, kind=kind, most=MOST_CARDS)
    return shown, 422 if problems else 200


@blueprint.get("/<int:stack>")
@needs_staff
def show(stack: int) -> ResponseReturnValue:
    """Show how far a stack is, and its sheets."""
    page = present_stack(find_stack(signed_in().shop_id, stack))
    return render_template("stacks/stack.html", page=page, form=ConfirmForm(formdata=None))


@blueprint.post("/<int:stack>/cancel")
@needs_staff
def cancel(stack: int) -> ResponseReturnValue:
    """Stop a stack that is being made; one that is done meanwhile stays."""
    cancel_stack(signed_in().shop_id, stack)
    return redirect(url_for(".show", stack=stack), 303)


@blueprint.post("/<int:stack>/remove")
@needs_staff
def remove(stack: int) -> ResponseReturnValue:
    """Take a stack with its sheets off the list; the setups stay."""
    try:
        remove_stack(signed_in().shop_id, stack)
    except RefusedError:
        return redirect(url_for(".show", stack=stack), 303)
    return redirect(url_for(".browse"), 303)


@blueprint.get("/<int:stack>/cards-<int:first>.pdf")
@limit_cards
@needs_staff
def sheets(stack: int, first: int) -> Response:
    """Give finished sheets."""
    answer = Response(find_sheets(signed_in().shop_id, stack, first), mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="setup-cards-{stack}-from-{first}.pdf"'
    return answer
