"""Who may open which page of the shop: `current_staff()` and the two decorators that every shop view carries.

A session is the signed cookie with the account's number, the epoch that it was given and when it began. The
epoch lives in the database too, so that ending a session takes effect at once and everywhere.
"""

from __future__ import annotations

import functools
import time
from collections.abc import Callable
from typing import Any, Final, TypeVar, cast

from flask import Flask, abort, current_app, g, redirect, render_template, request, session, url_for
from flask.typing import ResponseReturnValue

from webapp.accounts.actions.find_session import find_session
from webapp.accounts.staff import StaffMember
from webapp.ground.action_errors import StorageUnavailableError

View = TypeVar("View", bound=Callable[..., ResponseReturnValue])

_KEY: Final = "staff"


def install(app: Flask) -> None:
    """Let templates ask who is signed in."""
    app.jinja_env.globals["shown_staff"] = shown_staff


def start_session(member: StaffMember) -> None:
    """Sign `member` in with this browser; nothing of the visit before is taken along."""
    session.clear()
    session[_KEY] = [member.staff_id, member.session_epoch, int(time.time())]
    g.staff = member


def drop_session() -> None:
    """Forget who was signed in with this browser."""
    session.clear()
    g.staff = None


def current_staff() -> StaffMember | None:
    """Return who is signed in, or None. Looked up once for each request."""
    if "staff" not in g:
        g.staff = _look_up(session.get(_KEY))
    found: StaffMember | None = g.staff
    return found


def shown_staff() -> StaffMember | None:
    """Return who is signed in, for the head of a page: the page that says that the database is away needs one too."""
    try:
        return current_staff()
    except StorageUnavailableError:
        return None


def _look_up(held: Any) -> StaffMember | None:
    if not (isinstance(held, list) and len(held) == 3 and all(isinstance(part, int) for part in held)):
        return None
    staff_id, epoch, since = held
    if time.time() - since > 3600 * float(current_app.config["SESSION_HOURS"]):
        return None
    return find_session(staff_id, epoch)


def signed_in() -> StaffMember:
    """Return who is signed in, inside a view that `needs_staff` guards."""
    member = current_staff()
    if member is None:
        raise RuntimeError("This view has no guard: decorate it with needs_staff or needs_owner.")
    return member


def needs_staff(view: View) -> View:
    """Let only signed-in staff of a shop open a view; others are led to the log-in."""
    return _guard(view, "staff")


def needs_owner(view: View) -> View:
    """Let only a shop's owner open a view; its other staff is refused (403)."""
    return _guard(view, "owner")


def _keep_typed() -> ResponseReturnValue:
    """Show what was typed on a page whose log-in has ended: it is sent again once the person is back in."""
    typed = [(name, value) for name, value in request.form.items(multi=True) if name != "csrf_token"]
    return render_template("accounts/logged_out.html", typed=typed, address=request.full_path.rstrip("?")), 401


def _guard(view: View, level: str) -> View:
    @functools.wraps(view)
    def guard(*args: Any, **kwargs: Any) -> ResponseReturnValue:
        member = current_staff()
        if member is None:
            # A file is not kept, and not read: it may be larger than a form.
            if request.mimetype == "application/x-www-form-urlencoded" and "keep" in request.form:
                return _keep_typed()
            back = request.full_path.rstrip("?") if request.method == "GET" else None
            return redirect(url_for("log_in.log_in", back=back), 303)
        if level == "owner" and not member.is_owner:
            abort(403)
        return view(*args, **kwargs)

    guard.access = level  # type: ignore[attr-defined]  # read by the test that walks over every route
    return cast("View", guard)
