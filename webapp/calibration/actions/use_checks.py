"""Lets a shop's own checks move the centre of the classes that they are about."""

from __future__ import annotations

from webapp.accounts.staff import StaffMember
from webapp.calibration.actions.judge_shop import judge_shop
from webapp.calibration.tally import usable_factors
from webapp.library.actions.class_factors import use_factors


def use_checks(owner: StaffMember) -> None:
    """Use what all first checks of the shop say, from now on; where they say nothing, what is in use stays."""
    usable = usable_factors(judge_shop(owner.shop_id, None))
    if usable:
        use_factors(owner, usable)
