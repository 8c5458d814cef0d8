"""Whether all tests run with all examples, or what the README's command has time for.

Seeds move from run to run outside CI, so that few examples a run are many in a week.
"""

from __future__ import annotations

import os

THOROUGH = os.environ.get("SETUP_CARD_TESTS", "") == "all"


def examples(most: int) -> int:
    """Return `most` with SETUP_CARD_TESTS=all, otherwise a quarter of them."""
    return most if THOROUGH else max(5, most // 4)
