"""The `shop`, `staff` and `token` tasks: accounts made on the command line, the password asked for and never shown."""

from __future__ import annotations

import getpass
import sys

from webapp.accounts.actions.create_staff import create_staff
from webapp.accounts.actions.open_shop import find_shop, open_shop
from webapp.accounts.actions.tokens import create_token_of_owner
from webapp.commands.opened_app import opened_app
from webapp.ground import urls
from webapp.ground.action_errors import RefusedError
from webapp.ground.text.i18n import gettext as _


def open_new_shop(name: str, login: str) -> int:
    """Open a shop with its owner's account; return the exit code."""
    with opened_app():
        try:
            member = open_shop(name, login, _password())
        except RefusedError as error:
            return _report_refusal(error)
        address = f"{urls.base_url()}/shop/log-in"
    sys.stdout.write(
        _(
            "%(shop_name)s is open. %(login)s logs in at %(address)s",
            shop_name=member.shop_name,
            login=member.login,
            address=address,
        )
        + "\n"
    )
    return 0


def add_staff(shop_name: str, login: str, role: str) -> int:
    """Add an account to the shop of that name; return the exit code."""
    with opened_app():
        shop_id = find_shop(shop_name)
        if shop_id is None:
            return _report_no_shop(shop_name)
        try:
            create_staff(shop_id, login, _password(), role)
        except RefusedError as error:
            return _report_refusal(error)
    sys.stdout.write(
        _("Added %(login)s to %(shop_name)s as %(role)s.", login=login, shop_name=shop_name, role=role) + "\n"
    )
    return 0


def make_token(shop_name: str, name: str) -> int:
    """Make a token for one of a shop's tools and print it, once; return the exit code."""
    with opened_app():
        shop_id = find_shop(shop_name)
        if shop_id is None:
            return _report_no_shop(shop_name)
        try:
            token = create_token_of_owner(shop_id, name)
        except RefusedError as error:
            return _report_refusal(error)
    sys.stdout.write(token + "\n")
    sys.stderr.write(_("Keep this access key secret. It is not shown again. Revoke it on the page Access keys.") + "\n")
    return 0


def _report_no_shop(shop_name: str) -> int:
    told = _("no shop is called %(shop_name)s. Open it first: setup-card shop NAME LOGIN", shop_name=repr(shop_name))
    sys.stderr.write(f"setup-card: {told}\n")
    return 1


def _password() -> str:
    if sys.stdin is None:  # closed, as a timer may leave it: refused as an empty password is
        return ""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    return getpass.getpass(_("Password: "))


def _report_refusal(error: RefusedError) -> int:
    sys.stderr.write(f"setup-card: {error}\n")
    return 1
