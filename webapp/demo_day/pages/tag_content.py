"""What a bike's tag shows: its number in large letters, its label, and the address in its QR code."""

from __future__ import annotations

from webapp.cards.rendering.tags import Tag
from webapp.demo_day.bike import Bike
from webapp.ground.urls import tag_address


def tag_content(bike: Bike) -> Tag:
    """Return the tag of a bike, for one page or for a sheet of many."""
    return Tag(name=bike.number, address=tag_address(bike.tag), line=bike.label)
