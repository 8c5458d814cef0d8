"""Every sentence that is kept as data, by key: those of the rules, and why a revision was saved.

A key that was released keeps its fields, as stored revisions name it; another sentence gets another key.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from setup_rules.messages.catalogue import TEMPLATES as RULES
from setup_rules.messages.marking import N_, NN_, Template

#: Why a revision was saved, as the history says it: a heading without a full stop.
REASONS: Final[dict[str, Template]] = {
    "revision.created": N_("First setup"),
    "revision.sag_check.front": N_("Sag check of the fork"),
    "revision.sag_check.rear": N_("Sag check of the shock"),
    "revision.sag_check.both": N_("Sag check of the fork and shock"),
    "revision.check_struck": N_("A sag check no longer counts"),
    "revision.check_counted": N_("A sag check counts again"),
    "revision.bounce_check.front": N_("Bounce check of the fork"),
    "revision.bounce_check.rear": N_("Bounce check of the shock"),
    "revision.ride.front": N_("After a ride: fork"),
    "revision.ride.rear": N_("After a ride: shock"),
    "revision.changed": N_("Changed: {inputs}"),
    "revision.changed.nothing": N_("Changed: nothing"),
    "revision.corrected": N_("Corrected: {inputs}"),
    "revision.corrected.texts": N_("Corrected: the texts on the card"),
    "revision.corrected.voided": NN_(
        "Corrected: {inputs}. {count} sag check no longer counts",
        "Corrected: {inputs}. {count} sag checks no longer count",
    ),
    "revision.borrowed": N_("{name} is on it"),
    "revision.returned": N_("Back to how it was before {name}"),
    "revision.restored": N_("Restored version {number}"),
    "revision.serviced": N_("Serviced: {work}"),
    "revision.serviced.bare": N_("Serviced"),
    "revision.travel": NN_(
        "Fork travel changed from {before} to {after} mm, travel spacer {pieces}",
        "Fork travel changed from {before} to {after} mm, travel spacers {pieces}",
    ),
    "revision.travel.bare": N_("Fork travel changed from {before} to {after} mm, no travel spacer"),
}

#: Work on a bike, as it is listed in the history and on a card.
WORK: Final[dict[str, Template]] = {
    "work.set.fork": N_("fork set to {psi} psi"),
    "work.set.shock": N_("shock set to {psi} psi"),
    "work.travel": N_("travel {before} → {after} mm"),
    "work.seals": N_("seals: {what}"),
    "work.lubricant": N_("lubricant renewed"),
    "work.no_leak": N_("no leak"),
}

#: The travel spacers of one stack, alone and with the travel that they leave.
STACKS: Final[dict[str, Template]] = {
    "stack": NN_("Travel spacer {pieces}", "Travel spacers {pieces}"),
    "stack.bare": N_("No travel spacer"),
    "stack_at": NN_("{travel} mm: travel spacer {pieces}", "{travel} mm: travel spacers {pieces}"),
    "stack_at.bare": N_("{travel} mm: no travel spacer"),
    "stack.piece": N_("{number} × {size} mm"),
}

#: How two things, or two halves of a longer list, stand side by side.
LISTS: Final[dict[str, Template]] = {
    "list.inputs": N_("{first}, {rest}"),
    "list.work": N_("{first}; {rest}"),
    "list.pieces": N_("{first} + {rest}"),
}

#: What is said in place of a reason of the rules that would tell the rider's weight.
REASONS_TOLD: Final[dict[str, Template]] = {
    "chart.rider_alone": N_(
        "The chart counts for the rider's weight without kit, taken as meant for {sag} % sag at 20 °C near sea level. "
        "Chart and fitted spring agree within {fit} %."
    ),
}

#: Names of the inputs that have no bounds, and so none in the rules' catalogue.
LABELS: Final[dict[str, Template]] = {
    "label.stance": N_("Position when measuring sag"),
    "label.bench": N_("Where you pump"),
    "label.ride": N_("Where you ride"),
    "label.front": N_("Fork"),
    "label.rear": N_("Shock"),
    "label.spring": N_("Main spring"),
    "label.negative_spring": N_("Negative spring"),
    "label.negative_size": N_("Size of the negative chamber"),
    "label.datum": N_("How the sag is measured"),
    "label.spring_test": N_("Pushes on the spring"),
    "label.weighed_stance": N_("Position on the scale"),
    "label.rebound_points": N_("Two known rebound points"),
    "label.chart": N_("Pressure chart"),
    "label.chart_weight": N_("Weight in the chart"),
    "label.leverage_table": N_("Table of leverage ratios"),
}

TEMPLATES: Final = MappingProxyType[str, Template](RULES | LABELS | LISTS | STACKS | WORK | REASONS | REASONS_TOLD)
