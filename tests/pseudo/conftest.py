"""One walk in the invented language for all tests that look at what it met."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.pseudo.catalogue import PseudoTexts, switch_on
from tests.pseudo.walk import Walked, walk


@pytest.fixture(scope="package")
def texts() -> Iterator[PseudoTexts]:
    """The invented language, switched on for every app and command of this folder."""
    with pytest.MonkeyPatch.context() as patch:
        yield switch_on(patch)


@pytest.fixture(scope="package")
def walked(texts: PseudoTexts, tmp_path_factory: pytest.TempPathFactory) -> Walked:
    """All pages and answers of a filled shop, in the invented language."""
    return walk(tmp_path_factory.mktemp("pseudo"))
