"""Why the tool does not start."""

from __future__ import annotations

from typing import Final

#: What every setting's name begins with in the environment.
PREFIX: Final = "SETUP_CARD"


class ConfigError(ValueError):
    """A setting is wrong; the message names it, says why, and what to do."""
