"""The strip that a rider gets from the shop: the owner's link of the setup as a code to scan. Nobody else sees it."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.ground.link_codes import spaced
from webapp.ground.text.i18n import gettext as _


@dataclass(frozen=True, slots=True)
class StripView:
    """The owner's strip as strings."""

    title: str
    bike: str
    lines: tuple[str, ...]
    code: str
    address: str
    shop: str


def present_strip(bike: str, address: str, shop: str) -> StripView:
    """Return the strip of a bike's setup; `address` is the owner's link."""
    return StripView(
        title=_("Owner's strip: %(bike)s", bike=bike or _("Bike")),
        bike=bike or _("Bike"),
        lines=(
            _("For the owner of this bike. Tear off and keep it private."),
            _("With this code you can download or delete the setup, or renew its link. The shop keeps no copy."),
        ),
        code=spaced(address.rsplit("/", 1)[-1]),
        address=address,
        shop=shop,
    )
