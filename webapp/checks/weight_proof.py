"""What somebody shows before the rider's weight is changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

#: The longest text in which an owner's link is looked for [characters].
OWNER_LINK_LENGTH: Final = 500


@dataclass(frozen=True, slots=True)
class WeightProof:
    """The rider's weight as it was saved [kg], or the owner's link or key, or the shop that somebody is of.

    `address` is where it comes from: wrong weights are counted for each network. `entered_here` is whether the browser
    that asks is the one that entered the setup, or was shown its owner's page, since it was opened.
    """

    now_kg: float | None = None
    owner_link: str = ""
    shop_id: int | None = None
    address: str = ""
    entered_here: bool = False


NO_PROOF: Final = WeightProof()
