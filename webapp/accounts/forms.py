"""The forms for accounts: log in, open a shop, change a password, add an account."""

from __future__ import annotations

from typing import Any

from wtforms.validators import ValidationError

from webapp.ground.fields.page_form import PageForm
from webapp.ground.fields.secret_field import SecretField
from webapp.ground.fields.text_and_choice import ChoiceField, TextField
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l

#: As long as what is looked at; a longer one is no login.
_LOGIN_CUT = 160
_NEW_PASSWORD_HINT = _l("At least 10 characters. A few words in a row are easy to remember.")
_NEW_LOGIN_HINT = _l("Small letters, digits and . _ @ + -. Must be unique.")

ROLES = (
    ("staff", _l("Staff"), _l("Can edit setups, forks and shocks, and service records.")),
    ("owner", _l("Owner"), _l("Can also add, change and close accounts.")),
)


class LogInForm(PageForm):
    """Login and password."""

    login = TextField(_LOGIN_CUT, _l("Login"))
    password = SecretField(_l("Password"), autocomplete="current-password")


class OpenShopForm(PageForm):
    """The first start: the shop and its owner's account."""

    name = TextField(60, _l("Name of the shop"))
    login = TextField(_LOGIN_CUT, _l("Your login"), hint=_NEW_LOGIN_HINT)
    password = SecretField(_l("Password"), autocomplete="new-password", hint=_NEW_PASSWORD_HINT)


class PasswordForm(PageForm):
    """A new password, for who knows the old one."""

    old_password = SecretField(_l("Old password"), autocomplete="current-password")
    new_password = SecretField(_l("New password"), autocomplete="new-password", hint=_NEW_PASSWORD_HINT)
    again = SecretField(_l("Repeat new password"), autocomplete="new-password")

    def validate_again(self, field: Any) -> None:
        """Check that both new ones are the same, since passwords are not shown while typing."""
        if field.data != self.new_password.data:
            raise ValidationError(_("The two new passwords are different. Type them again."))


class StaffForm(PageForm):
    """A new account, made by the owner."""

    login = TextField(_LOGIN_CUT, _l("Login"), hint=_NEW_LOGIN_HINT)
    password = SecretField(
        _l("First password"),
        autocomplete="new-password",
        hint=_l("At least 10 characters. Give this password to the new user, who should then change it."),
    )
    role = ChoiceField(ROLES, _l("Role"), default="staff")


class ResetForm(PageForm):
    """A new password for an account whose holder forgot theirs."""

    password = SecretField(_l("New password"), autocomplete="new-password", hint=_NEW_PASSWORD_HINT)


class TokenForm(PageForm):
    """A new token for one of the shop's tools."""

    name = TextField(60, _l("Name of the tool"), hint=_l("So that you know later which access key to revoke."))
