"""One line in the log when requests are counted in this process because the shared store is away."""

from __future__ import annotations

import logging
import time
from typing import Final

from flask import current_app

from webapp.ground.text.i18n import gettext as _

#: The least time between two such lines, for a store that comes and goes [s].
_PAUSE_S: Final = 60.0


class StoreWarning(logging.Handler):
    """Passes the library's own warning on, which nobody hears: in our words, and not for every request."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self._last_s = -_PAUSE_S

    def emit(self, record: logging.LogRecord) -> None:
        """Write the line, unless it was written a moment ago."""
        now_s = time.monotonic()
        if record.levelno != logging.WARNING or not current_app or now_s - self._last_s < _PAUSE_S:
            return
        self._last_s = now_s
        current_app.logger.warning(
            _("The store of SETUP_CARD_REDIS_URL does not answer: requests are counted in this process alone.")
        )
