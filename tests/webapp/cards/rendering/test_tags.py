"""Tags on a sheet: a title in large letters, and each code opens its own address."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
import zxingcpp
from flask import Flask
from PIL import Image

from webapp.cards.rendering.sizes import find_size
from webapp.cards.rendering.tags import Tag, print_tags

Rasterise = Callable[[bytes], list[Image.Image]]
TAGS = [Tag(str(n), f"https://CARDS.EXAMPLE/BIKE/{n:026d}", f"Heron {n}, size M") for n in range(1, 11)]


@pytest.fixture(autouse=True)
def _in_app(app: Flask) -> Iterator[None]:
    with app.app_context():
        yield


def test_each_tag_of_a_sheet_opens_its_own_address(rasterise: Rasterise) -> None:
    pages = rasterise(print_tags(TAGS, find_size("a4-8")))
    assert len(pages) == 2
    found = [one.text for page in pages for one in zxingcpp.read_barcodes(page)]
    assert sorted(found) == [tag.address for tag in TAGS]


@pytest.mark.parametrize("size", ["62x100", "a6", "4x6"])
def test_a_tag_of_a_long_name_is_one_page(size: str, rasterise: Rasterise) -> None:
    long = Tag("Number 1234 of the blue fleet", TAGS[0].address, "W" * 60)
    (page,) = rasterise(print_tags([long], find_size(size)))
    assert [one.text for one in zxingcpp.read_barcodes(page)] == [long.address]
