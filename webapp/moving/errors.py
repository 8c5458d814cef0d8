"""Why a shop's file cannot be taken in."""

from __future__ import annotations

from webapp.ground.action_errors import ActionError
from webapp.ground.text.i18n import gettext as _
from webapp.moving.differences import Difference


class ShopFileError(ActionError, ValueError):
    """The file is no shop's, or not whole; the message names the first place that is wrong."""


class ShopConflictError(ActionError, ValueError):
    """What the file holds differs from what is here; `differences` names each. Nothing was stored."""

    def __init__(self, differences: tuple[Difference, ...]) -> None:
        super().__init__(_("Nothing was imported. These differ from what is here:"))
        self.differences = differences
