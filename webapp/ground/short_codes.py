"""Short codes: six characters that staff type; unique within one shop only, and they open nothing else."""

from __future__ import annotations

import secrets
from typing import Final

from webapp.ground.link_codes import ALPHABET

SHORT_LENGTH: Final = 6
_LOOK_ALIKES: Final = str.maketrans("ILO", "110")


def new_short_code() -> str:
    """Return a fresh code for a record: short, because it is told apart within one shop only."""
    return "".join(secrets.choice(ALPHABET) for _place in range(SHORT_LENGTH))


def short_code_of(text: str) -> str:
    """Return the short code that a text means, in its stored form, "" where it cannot be one.

    Examples
    --------
    >>> short_code_of("ab1-o2l"), short_code_of("a blue bike")
    ('AB1021', '')
    """
    bare = "".join(text.split()).replace("-", "").upper().translate(_LOOK_ALIKES)
    return bare if len(bare) == SHORT_LENGTH and all(c in ALPHABET for c in bare) else ""
