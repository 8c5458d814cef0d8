"""The reasons of a setup as who holds its link may read them.

The pressure that a chart gives for the rider's weight alone, without kit, is a scale: one psi of it is less than a
kilogram. The setup's own pressure has load, friction and target between, and is needed on the card; the chart's is not.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from setup_rules import Setup
from setup_rules.messages.message import Message
from setup_rules.types.result import Note

#: What is told of such a chart, beside the weight: the sag that it is meant for and how well it fits [%].
_TOLD: Final = ("sag", "fit")


def told_reasons(setup: Setup) -> tuple[Note, ...]:
    """Return the reasons; of a chart for the rider's weight alone without the pressure that it gives."""
    alone = {f"{name}_chart" for name, end in setup.request.ends() if end.chart and end.chart_weight == "rider"}
    return tuple(_told(setup.reasons, alone))


def _told(reasons: tuple[Note, ...], alone: set[str]) -> Iterator[Note]:
    for note in reasons:
        if note.code not in alone:
            yield note
        elif set(_TOLD) <= note.said.values.keys():
            values = {name: note.said.values[name] for name in _TOLD}
            yield replace(note, said=Message("chart.rider_alone", values))
