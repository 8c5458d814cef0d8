"""The owner's own page: download everything, renew the link, delete. Opened by the owner's key alone."""

from __future__ import annotations

from flask import Blueprint, Response, jsonify, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from webapp.ground import urls
from webapp.ground.extensions import limit_owner
from webapp.ground.fields.submission_key import SHORTEST_KEY, new_key
from webapp.setups.actions.delete_setup import delete_setup
from webapp.setups.actions.export_setup import export_setup
from webapp.setups.actions.find_by_owner_key import find_by_owner_key
from webapp.setups.actions.renew_link import renew_link
from webapp.setups.actions.renew_owner_key import renew_owner_key
from webapp.setups.one_time_owner_link import remember_owner

blueprint = Blueprint("owner", __name__, url_prefix="/owner")


@blueprint.get("/<key>")
@limit_owner
def show(key: str) -> str:
    """Show what an owner can do."""
    saved = find_by_owner_key(key)
    remember_owner(saved.code)
    links = {"setup_url": urls.setup_url(saved.code), "owner_url": urls.owner_url(key)}
    return render_template("setups/owner.html", key=key, saved=saved, renewed="renewed" in request.args, **links)


@blueprint.get("/<key>/setup.json")
@limit_owner
def download(key: str) -> Response:
    """Hand over all that is stored about the setup."""
    answer = jsonify(export_setup(key))
    answer.headers["Content-Disposition"] = 'attachment; filename="setup.json"'
    return answer


@blueprint.get("/<key>/renew")
@limit_owner
def confirm_renewal(key: str) -> str:
    """Ask before the printed card's link stops working."""
    return render_template("setups/owner_renew.html", key=key, saved=find_by_owner_key(key))


@blueprint.post("/<key>/renew")
@limit_owner
def renew(key: str) -> ResponseReturnValue:
    """Replace the setup's link, once however often the page is sent."""
    renew_link(key, request.form.get("code"))
    return redirect(url_for(".show", key=key), 303)


@blueprint.get("/<key>/renew-key")
@limit_owner
def confirm_new_key(key: str) -> str:
    """Ask before this page's own address stops working."""
    saved = find_by_owner_key(key)
    return render_template("setups/owner_renew_key.html", key=key, saved=saved, page_key=new_key())


@blueprint.post("/<key>/renew-key")
@limit_owner
def renew_key(key: str) -> ResponseReturnValue:
    """Replace the owner's own link and open it."""
    page_key = request.form.get("page_key", "")
    if len(page_key) < SHORTEST_KEY:  # not sent by the page, which makes it from random bits
        find_by_owner_key(key)
        return redirect(url_for(".confirm_new_key", key=key), 303)
    return redirect(url_for(".show", key=renew_owner_key(key, page_key), renewed=1), 303)


@blueprint.get("/<key>/delete")
@limit_owner
def confirm_deletion(key: str) -> str:
    """Ask before anything is erased."""
    return render_template("setups/owner_delete.html", key=key, saved=find_by_owner_key(key))


@blueprint.post("/<key>/delete")
@limit_owner
def delete(key: str) -> ResponseReturnValue:
    """Erase the setup."""
    delete_setup(key)
    return redirect(url_for(".deleted"), 303)


@blueprint.get("/deleted")
def deleted() -> str:
    """Say that it is done."""
    return render_template("setups/owner_deleted.html")
