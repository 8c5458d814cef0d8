"""Signals from one room to others that it does not import."""

from __future__ import annotations

from typing import Final

from blinker import Signal

#: A setup was erased or got another link: whatever was made from it must be forgotten. Sent by the code that was.
setup_gone: Final = Signal()
#: A revision was added to a setup: sent inside its transaction by its kind, with `connection`, `setup_id` and `setup`.
revision_added: Final = Signal()
#: The riders of a shop's demo day were erased: whatever else holds some must let go. Sent by the shop's row.
riders_erased: Final = Signal()
