"""The settings of a shop: what its cards say of it, its time zone, how much its customers ride; and one's initials."""

from __future__ import annotations

import json
from typing import Any

from wtforms import HiddenField

from webapp.accounts.shop import (
    INITIALS_LENGTH,
    PHONE_LENGTH,
    RIDING_HOURS,
    RIDING_HOURS_RANGE,
    ShopSettings,
)
from webapp.ground.fields.page_form import PageForm
from webapp.ground.fields.text_and_choice import TextField
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.i18n import lazy_gettext as _l
from webapp.ground.text.local_time import DEFAULT_ZONE, is_zone
from webapp.ground.whole_numbers import read_whole_number

_ZONE_LENGTH = 40


class SettingsForm(PageForm):
    """What a shop says of itself. `seen` is what stood there when the page was drawn."""

    phone = TextField(PHONE_LENGTH, _l("Phone"), hint=_l("Stands on cards. Leave it empty for none."))
    time_zone = TextField(_ZONE_LENGTH, _l("Time zone"), hint=_l("For example Europe/London."))
    riding_hours = TextField(
        4,
        _l("Riding hours a month"),
        hint=_l("Of a usual customer. It tells when a service by riding hours is due. Default: 10, our estimate."),
    )
    seen = HiddenField()

    def fill(self, settings: ShopSettings) -> None:
        """Show the settings as they are."""
        values = settings.plain()
        self.show(values)
        self.seen.data = json.dumps(values)

    def seen_settings(self) -> dict[str, Any] | None:
        """Return what stood on the page when it was drawn, None where that cannot be read."""
        try:
            seen = json.loads(str(self.seen.data or ""))
        except ValueError:
            return None
        return seen if isinstance(seen, dict) else None

    def read(self) -> ShopSettings | None:
        """Return the settings, or None after putting every problem beside its field."""
        valid = self.validate()
        zone = str(self.time_zone.data or DEFAULT_ZONE)
        if not self.time_zone.errors and not is_zone(zone):
            self.refuse("time_zone", _("“%(name)s” is no time zone. Choose one from the list.", name=zone))
        hours = self._hours()
        if not valid or hours is None or self.problems():
            return None
        return ShopSettings(phone=self.phone.data, time_zone=zone, riding_hours=hours)

    def _hours(self) -> int | None:
        text = str(self.riding_hours.data or "")
        if not text:
            return RIDING_HOURS
        low, high = RIDING_HOURS_RANGE
        hours = read_whole_number(text)
        if hours is None or not low <= hours <= high:
            self.refuse(
                "riding_hours", _("Riding hours: enter a whole number from %(low)d to %(high)d.", low=low, high=high)
            )
            return None
        return hours


class InitialsForm(PageForm):
    """The initials that cards and records show for the account that is logged in."""

    initials = TextField(
        INITIALS_LENGTH, _l("Your initials"), hint=_l("Stand on cards that you set. Leave them empty for none.")
    )

    def read(self) -> str | None:
        """Return the initials, or None after putting what is wrong beside the box."""
        return str(self.initials.data).upper() if self.validate() else None
