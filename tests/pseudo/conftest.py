"""The invented language, and one walk in it for a module whose tests look at what it met.

Nothing here may live longer than a module: a folder that is no Python package keeps its fixtures until the session
ends, and every later test would be answered in this language.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.pseudo.catalogue import PseudoTexts, switch_on
from tests.pseudo.walk import Walked, walk


@pytest.fixture(scope="module")
def texts() -> Iterator[PseudoTexts]:
    """The invented language, switched on for every app and command of a module."""
    with pytest.MonkeyPatch.context() as patch:
        yield switch_on(patch)


@pytest.fixture(scope="module")
def walked(texts: PseudoTexts, tmp_path_factory: pytest.TempPathFactory) -> Walked:
    """All pages and answers of a filled shop, in the invented language."""
    return walk(tmp_path_factory.mktemp("pseudo"))
