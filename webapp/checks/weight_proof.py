"""What somebody shows before the rider's weight is changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

#: The longest text in which an owner's link is looked for [characters].
OWNER_LINK_LENGTH: Final = 500


@dataclass(frozen=True, slots=True)
class WeightProof:
    """The rider's weight as it was saved [kg], or the owner's link or key, or the shop that somebody is of.

    `address` is where it comes from: wrong weights are counted for each network.
    """

    now_kg: float | None = None
    owner_link: str = ""
    shop_id: int | None = None
    address: str = ""


NO_PROOF: Final = WeightProof()
