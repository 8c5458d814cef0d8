"""The JSON interface on a shop's bikes, for the shop's own tools: every route asks for a token."""

from __future__ import annotations

from flask import Blueprint, Response, request

from setup_rules import SetupRulesError
from webapp.accounts.bearer import needs_token, token_holder
from webapp.api.forms.bike_query import read_bike_query
from webapp.api.forms.setup_body import read_idempotency_key, read_json
from webapp.api.pages.bike_answers import bike_answer, bike_setup_answer, bikes_answer
from webapp.api.views.setups import answer, refuse
from webapp.demo_day.actions.confirm_standing import confirm_standing
from webapp.demo_day.actions.create_bike import create_bike
from webapp.demo_day.actions.find_bike import find_bike
from webapp.demo_day.actions.look_up_bike import BikeSlice, bikes_after, look_up_bike
from webapp.demo_day.actions.report_event import report_event
from webapp.demo_day.actions.set_up_bike import set_up_bike
from webapp.ground import urls
from webapp.ground.extensions import csrf, limit_creation, limit_links

blueprint = Blueprint("api_bikes", __name__, url_prefix="/api/v1/bikes")
csrf.exempt(blueprint)  # no cookie is read here, so no other site can borrow one
blueprint.register_error_handler(SetupRulesError, refuse)


@blueprint.post("")
@limit_creation
@needs_token
def create() -> Response:
    """Add a bike to the shop."""
    key = read_idempotency_key(request.headers.get("Idempotency-Key"))
    bike = create_bike(token_holder().shop_id, read_json(request), key)
    response = answer(bike_answer(bike), 201)
    response.headers["Location"] = f"{urls.base_url()}/api/v1/bikes/{bike.bike_id}"
    return response


@blueprint.get("")
@limit_links
@needs_token
def show_all() -> Response:
    """Answer with a page of the shop's bikes, or with the one that has the number or tag asked for."""
    asked, shop_id = read_bike_query(request.args), token_holder().shop_id
    if asked.number is None and asked.tag is None:
        return answer(bikes_answer(bikes_after(shop_id, asked.after, asked.limit), asked.limit), 200)
    found = look_up_bike(shop_id, number=asked.number, tag=asked.tag)
    return answer(bikes_answer(BikeSlice((found,), following=False), asked.limit), 200)


@blueprint.get("/<int:bike>")
@limit_links
@needs_token
def show(bike: int) -> Response:
    """Answer with a bike: what it is, what stands on it, what its springs have taught."""
    return answer(bike_answer(find_bike(token_holder().shop_id, bike)), 200)


@blueprint.post("/<int:bike>/setups")
@limit_creation
@needs_token
def set_up(bike: int) -> Response:
    """Save the setup of a rider on a bike, and say what to change on it."""
    key = read_idempotency_key(request.headers.get("Idempotency-Key"))
    made = set_up_bike(token_holder(), bike, read_json(request), key)
    response = answer(bike_setup_answer(made), 201)
    response.headers["Location"] = f"{urls.base_url()}/api/v1/setups/{made.created.saved.code}"
    if made.created.owner_key is not None:
        response.headers["Setup-Owner-Link"] = urls.owner_url(made.created.owner_key)
    return response


@blueprint.post("/<int:bike>/standing")
@limit_creation
@needs_token
def standing(bike: int) -> Response:
    """Write down what was set on a bike."""
    return answer(bike_answer(confirm_standing(token_holder().shop_id, bike, read_json(request))), 200)


@blueprint.post("/<int:bike>/events")
@limit_creation
@needs_token
def events(bike: int) -> Response:
    """Tell a bike what happened to one of its springs."""
    return answer(bike_answer(report_event(token_holder().shop_id, bike, read_json(request))), 200)
