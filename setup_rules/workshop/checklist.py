"""The steps of a service as a checklist: what kinds there are, which are a matter of safety, what is still open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final, Literal

from setup_rules.messages.marking import N_
from setup_rules.workshop.torque_check import TorqueVerdict, check_torque

StepKind = Literal["tick", "parts", "seals", "lubricant", "travel", "torque", "leak"]
StepState = Literal["open", "done", "left_out"]
KINDS: Final[tuple[StepKind, ...]] = ("tick", "parts", "seals", "lubricant", "travel", "torque", "leak")
MOST_STEPS: Final = 30
#: Steps of one record: a kind of service and what is added by hand come to the shop's own list.
MOST_IN_RECORD: Final = 60
#: Kinds of steps that can be added to a record: there is one travel and one leak check in each.
ADDED_KINDS: Final[tuple[StepKind, ...]] = ("torque", "lubricant", "parts", "seals", "tick")
#: The steps by which the air is let out, before anything is opened.
AIR_OUT: Final = ("release", "release_again")
_INSIDE: Final = ("parts", "seals", "lubricant", "travel")


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a service. `values` holds what was entered; its keys follow from the kind.

    `suggested` is what a form starts with. A `safety` step has to be done before a record can be closed; one with
    `after_travel_change` only when the travel was changed. A `fixed` step belongs to every checklist and cannot be
    taken out of it.
    """

    key: str
    kind: StepKind
    title: str
    safety: bool = False
    fixed: bool = False
    after_travel_change: bool = False
    state: StepState = "open"
    values: dict[str, Any] = field(default_factory=dict)
    suggested: dict[str, Any] = field(default_factory=dict)

    def with_state(self, state: StepState, values: dict[str, Any] | None = None) -> Step:
        """Return this step in another state; `values` None keeps what was entered."""
        return replace(self, state=state, values=self.values if values is None else values)


#: The checklist that a shop starts with. It names no torque, oil or amount: the manual gives those.
DEFAULT_STEPS: Final[tuple[Step, ...]] = (
    Step(key="eyes", kind="tick", title=N_("Eye protection on"), safety=True, fixed=True),
    Step(key="release", kind="tick", title=N_("All air released through the valve"), safety=True, fixed=True),
    Step(
        key="release_again",
        kind="tick",
        title=N_("Cycled through the travel, then air released again"),
        safety=True,
        fixed=True,
    ),
    Step(key="parts", kind="parts", title=N_("Parts inspected")),
    Step(key="seals", kind="seals", title=N_("Seals and wipers replaced")),
    Step(key="lubricant", kind="lubricant", title=N_("Lubricant as the manual says")),
    Step(key="travel", kind="travel", title=N_("Travel spacers fitted")),
    Step(key="torque", kind="torque", title=N_("Fastener tightened as the manual says")),
    Step(
        key="clearance",
        kind="tick",
        title=N_("Air out, fully compressed: tyre clear of crown and frame"),
        safety=True,
        fixed=True,
        after_travel_change=True,
    ),
    Step(key="leak", kind="leak", title=N_("Air holds: pressure measured again after an hour or more")),
    Step(key="handover", kind="tick", title=N_("Handed over: new pressure, sag check and next service explained")),
)


#: What belongs to air alone: on a coil main spring there is none to let out, to space or to hold.
_AIR_STEPS: Final = frozenset({"release", "release_again", "clearance"})
_AIR_KINDS: Final = frozenset({"leak", "travel"})
#: What a coil needs instead before it is taken off.
PRELOAD_STEP: Final = Step(
    key="preload",
    kind="tick",
    title=N_("Preload turned back: the coil spring is loose before it is taken off"),
    safety=True,
    fixed=True,
)


def steps_for_spring(steps: Sequence[Step], *, coil: bool) -> tuple[Step, ...]:
    """Return a checklist for an end with a coil main spring, or with air again; what was done in it stays.

    Examples
    --------
    >>> coil = steps_for_spring(DEFAULT_STEPS, coil=True)
    >>> [step.key for step in coil if step.safety]
    ['eyes', 'preload']
    >>> [step.key for step in steps_for_spring(coil, coil=False) if step.safety]
    ['eyes', 'release', 'release_again', 'clearance']
    """
    known = {step.key for step in steps}
    if not coil and PRELOAD_STEP.key not in known:
        return tuple(steps)
    if coil:
        kept = [step for step in steps if step.state == "done" or not _is_for_air(step)]
        added: tuple[Step, ...] = () if PRELOAD_STEP.key in known else (PRELOAD_STEP,)
    else:
        kept = [step for step in steps if step.key != PRELOAD_STEP.key or step.state == "done"]
        added = tuple(step for step in DEFAULT_STEPS if step.fixed and step.key not in known)
    first = sum(1 for step in kept if step.key == "eyes")
    return (*kept[:first], *added, *kept[first:])


def _is_for_air(step: Step) -> bool:
    return step.key in _AIR_STEPS or step.kind in _AIR_KINDS


def torque_verdict(step: Step) -> TorqueVerdict | None:
    """Return how the torque of a step lies in its manual's range, None where none was entered."""
    v = step.values
    if step.kind != "torque" or "torque" not in v:
        return None
    return check_torque(v["torque"], v["unit"], v["low"], v["high"], v["range_unit"]).verdict


def travel_change_mm(steps: Sequence[Step]) -> float:
    """Return by how much the travel was changed in the steps done.

    after − before, of the last such step

    Parameters
    ----------
    steps : sequence of Step
        The steps of one record.

    Returns
    -------
    float [mm]
        Above zero for a longer fork, 0 where nothing was changed.

    Examples
    --------
    >>> spacers = {"before_mm": 140.0, "after_mm": 120.0}
    >>> travel_change_mm([Step(key="travel", kind="travel", title="Spacers", state="done", values=spacers)])
    -20.0

    References
    ----------
    Definition.
    """
    done = [s.values for s in steps if s.kind == "travel" and s.state == "done" and "after_mm" in s.values]
    return float(done[-1]["after_mm"] - done[-1]["before_mm"]) if done else 0.0


def blocking_steps(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the steps that keep a record from being closed: safety not done, a wrong torque, or air lost.

    Parameters
    ----------
    steps : sequence of Step
        The steps of one record.

    Returns
    -------
    tuple of Step
        In the order of the checklist; empty when the record may be closed.

    Examples
    --------
    >>> [step.key for step in blocking_steps(DEFAULT_STEPS)]
    ['eyes', 'release', 'release_again']
    """
    changed = travel_change_mm(steps) != 0.0
    return tuple(step for step in steps if _keeps_open(step, changed))


def unsafe_parts(steps: Sequence[Step]) -> tuple[str, ...]:
    """Return the parts that were found not safe and not replaced since."""
    rows = [row for step in steps if step.kind == "parts" for row in step.values.get("parts", [])]
    return tuple(part for part, condition in rows if condition == "unsafe")


def opened_with_air(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return the steps done inside while the steps that let the air out were not.

    Parameters
    ----------
    steps : sequence of Step
        The steps of one record.

    Returns
    -------
    tuple of Step
        In the order of the checklist; empty when the air is out.

    Examples
    --------
    >>> seals = Step(key="seals", kind="seals", title="Seals", state="done")
    >>> [step.key for step in opened_with_air((*DEFAULT_STEPS[:3], seals))]
    ['seals']
    """
    if all(step.state == "done" for step in steps if step.key in AIR_OUT):
        return ()
    return tuple(step for step in steps if step.kind in _INSIDE and step.state == "done")


def lubricant_in_air_cm3(steps: Sequence[Step]) -> float | None:
    """Return how much oil and grease was put into the air chamber in the steps done.

    Parameters
    ----------
    steps : sequence of Step
        The steps of one record.

    Returns
    -------
    float or None [cm³]
        The sum; None where no such step is done, so that what was in there stays as it was.

    Examples
    --------
    >>> grease = {"what": "grease", "place": "air", "amount_cm3": 2.5}
    >>> lubricant_in_air_cm3([Step(key="air", kind="lubricant", title="Grease", state="done", values=grease)])
    2.5
    """
    put = [s.values for s in steps if s.kind == "lubricant" and s.state == "done" and s.values.get("place") == "air"]
    amounts = [float(values["amount_cm3"]) for values in put if "amount_cm3" in values]
    return sum(amounts) if amounts else None


def _keeps_open(step: Step, travel_changed: bool) -> bool:
    if step.safety and step.state != "done":
        return travel_changed or not step.after_travel_change
    return torque_verdict(step) not in (None, "in") or _is_leaking(step)


def _is_leaking(step: Step) -> bool:
    return step.kind == "leak" and step.state == "done" and step.values.get("verdict") == "leaks"
