"""From a request to a setup: composition only, no formula."""

from __future__ import annotations

from setup_rules.request import SetupRequest
from setup_rules.result import Setup


def recommend(request: SetupRequest) -> Setup:
    """Return the recommended setup for `request`."""
    raise NotImplementedError
