"""The steps of a service by its kind: what a fork or shock gets besides the steps of safety."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final, Literal

from setup_rules.messages.marking import N_
from setup_rules.types.request import EndName
from setup_rules.workshop.checklist import DEFAULT_STEPS, Step, StepKind

ServiceKind = Literal["list", "lower_legs", "air_spring", "damper", "full"]
#: Kinds of service of each end, the shop's own checklist first.
SERVICE_KINDS: Final[Mapping[EndName, tuple[ServiceKind, ...]]] = {
    "front": ("list", "lower_legs", "air_spring", "damper", "full"),
    "rear": ("list", "air_spring", "damper", "full"),
}
#: What a whole service is made of.
_PARTS_OF_FULL: Final[Mapping[EndName, tuple[ServiceKind, ...]]] = {
    "front": ("lower_legs", "air_spring", "damper"),
    "rear": ("air_spring", "damper"),
}


def _step(key: str, kind: StepKind, title: str, **suggested: Any) -> Step:
    return Step(key=key, kind=kind, title=title, suggested=suggested)


def _good(*parts: str) -> list[list[str]]:
    return [[part, "good"] for part in parts]


#: The work of each kind. It names no torque, oil or amount: the library's entry or the manual gives those.
_WORK: Final[Mapping[ServiceKind, tuple[Step, ...]]] = {
    "lower_legs": (
        _step(
            "legs_parts",
            "parts",
            N_("Lower legs inspected"),
            parts=_good("stanchions", "bushings", "lower legs"),
        ),
        _step("legs_seals", "seals", N_("Wiper seals and foam rings renewed"), what="wiper seals and foam rings"),
        _step("legs_left", "lubricant", N_("Oil in the left lower leg"), place="left", what="oil"),
        _step("legs_right", "lubricant", N_("Oil in the right lower leg"), place="right", what="oil"),
        _step("legs_torque", "torque", N_("Bolts at the foot tightened"), part="foot bolts"),
    ),
    "air_spring": (
        _step("air_parts", "parts", N_("Air spring inspected"), parts=_good("air shaft", "air piston", "seal head")),
        _step("air_seals", "seals", N_("Seals of air piston and seal head renewed"), what="air piston and seal head"),
        _step("air_lubricant", "lubricant", N_("Lubricant at the air piston"), place="air", what="grease"),
        _step("air_torque", "torque", N_("Air chamber closed and tightened"), part="air chamber"),
    ),
    "damper": (
        _step("damper_parts", "parts", N_("Damper inspected"), parts=_good("damper shaft", "bushing", "seal head")),
        _step("damper_seals", "seals", N_("Seal head of the damper renewed"), what="damper seal head"),
        _step("damper_oil", "lubricant", N_("Damper filled and bled"), place="damper", what="damper oil"),
        _step("damper_torque", "torque", N_("Damper tightened"), part="damper"),
    ),
}
#: The shock's words for steps that a checklist writes for a fork.
_SHOCK_TITLES: Final = {
    "travel": N_("Stroke spacers fitted"),
    "clearance": N_("Air out, fully compressed: tyre and shock clear of the frame"),
}
_FORK_TITLES: Final = {step.key: step.title for step in DEFAULT_STEPS}
_TAIL: Final = ("travel", "clearance", "leak", "handover")


def steps_of_service(checklist: Sequence[Step], kind: ServiceKind, end: EndName) -> tuple[Step, ...]:
    """Return the steps that a new record starts with.

    Parameters
    ----------
    checklist : sequence of Step
        The shop's own list; every step of safety in it stays, in its own words.
    kind : ServiceKind
        "list" for the shop's list as it is.
    end : {"front", "rear"}
        A shock gets a shock's words and none of a fork's parts.

    Returns
    -------
    tuple of Step
        Safety first, then the work, then travel, clearance, leak check and handover; where the air chamber is opened,
        travel comes before it is closed.

    Raises
    ------
    ValueError
        For a kind of service that this end does not have.

    Examples
    --------
    >>> [step.key for step in steps_of_service(DEFAULT_STEPS, "damper", "rear")][3:7]
    ['damper_parts', 'damper_seals', 'damper_oil', 'damper_torque']
    >>> [step.key for step in steps_of_service(DEFAULT_STEPS, "air_spring", "front")][5:8]
    ['air_lubricant', 'travel', 'air_torque']

    References
    ----------
    Common practice, no source.
    """
    if kind not in SERVICE_KINDS[end]:
        raise ValueError(kind)
    if kind == "list":
        return tuple(_in_words_of(step, end) for step in checklist)
    first = [step for step in checklist if step.safety and not step.after_travel_change and step.key not in _TAIL]
    last = [step for step in checklist if step.key in _TAIL or (step.safety and step not in first)]
    return tuple(_in_words_of(step, end) for step in (*first, *_before_closing(list(_work(kind, end)), last)))


def _before_closing(work: list[Step], last: list[Step]) -> list[Step]:
    """Return the work and what follows it; spacers of travel are fitted before the air chamber is closed again."""
    spacers = [step for step in last if step.key == "travel"]
    closed = next((place for place, step in enumerate(work) if step.key == "air_torque"), None)
    if closed is None:
        return [*work, *last]
    return [*work[:closed], *spacers, *work[closed:], *(step for step in last if step not in spacers)]


def _work(kind: ServiceKind, end: EndName) -> Iterator[Step]:
    for part in _PARTS_OF_FULL[end] if kind == "full" else (kind,):
        yield from _WORK[part]


def _in_words_of(step: Step, end: EndName) -> Step:
    own = step.title != _FORK_TITLES.get(step.key)
    return step if end == "front" or own else replace(step, title=_SHOCK_TITLES.get(step.key, step.title))
