"""What stands against closing a service record: what is refused, and what is asked about once more."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from setup_rules import EndSetup, RequestError, Setup, SetupRulesError
from setup_rules.types.result import ClickStart
from setup_rules.types.units import PSI_PA
from setup_rules.workshop.checklist import Step, blocking_steps, unsafe_parts
from webapp.ground.action_errors import LinkGoneError, LinkUnknownError
from webapp.ground.hashes import hash_plain_data
from webapp.ground.text import numbers
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.sentences import say
from webapp.workshop.actions.records import ServiceRecord
from webapp.workshop.actions.serviced_setup import apply_service, base_setup, end_of, without_sag

#: A pressure set this far outside the range of the calculated one is asked about, as a share of it (our estimate).
FAR_SHARE: Final = 0.10
#: A gauge reads whole psi: up to this much above a maximum is the maximum [psi].
_READING_PSI: Final = 0.5


@dataclass(frozen=True, slots=True)
class Obstacles:
    """`reasons` keep a record open; `questions` are answered by closing it with their `key`. One sentence each."""

    reasons: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """What says that these very questions were answered; "" without any."""
        return hash_plain_data(self.questions)[:16] if self.questions else ""


def reasons_against_closing(record: ServiceRecord) -> tuple[str, ...]:
    """Return which steps, parts and missing things keep a record open, one sentence each; empty when none does."""
    reasons = [_say_what_blocks(step) for step in blocking_steps(record.steps)]
    for part in unsafe_parts(record.steps):
        reasons.append(
            _("“%(part)s” is marked as not safe. Replace it and update this step before the bike goes out.", part=part)
        )
    if record.setup_code is None and record.draft is None:
        reasons.append(_("No setup yet. Link an existing card, or enter the first setup."))
    return tuple(reasons)


def _say_what_blocks(step: Step) -> str:
    if step.kind == "torque":
        return _("“%(title)s”: the torque entered is outside the manual's range.", title=_(step.title))
    if step.kind == "leak":
        return _("“%(title)s”: it is losing air. Find the cause, then measure again.", title=_(step.title))
    return _("“%(title)s” is a safety step and not done yet.", title=_(step.title))


def find_obstacles(record: ServiceRecord) -> Obstacles:
    """Return what stands against closing an open record, as left included."""
    reasons, questions = list(reasons_against_closing(record)), []
    try:
        base = base_setup(record)
        if base is not None:
            reasons += (too_high := list(_refuse_left(apply_service(base, without_sag(record), confirm=True), record)))
            # Over the maximum nothing is asked of the model: what it could take is no pressure to pump to.
            weighed = without_sag(record) if too_high else record
            questions += _ask_of_model(base, weighed)
            questions += _ask_of_left(apply_service(base, weighed, confirm=True), weighed)
    except RequestError as error:
        reasons += [say(problem.said) for problem in error.problems]
    except (SetupRulesError, LinkUnknownError, LinkGoneError) as error:
        reasons.append(str(error))
    return Obstacles(tuple(dict.fromkeys(reasons)), tuple(dict.fromkeys(questions)))


def _ask_of_model(base: Setup, record: ServiceRecord) -> list[str]:
    """Return what the rules themselves ask about the sag measured, such as swapped digits."""
    try:
        apply_service(base, record)
    except RequestError as error:
        if all(problem.question for problem in error.problems):
            return [say(problem.said) for problem in error.problems]
        raise
    return []


def _served_end(setup: Setup, record: ServiceRecord) -> EndSetup | None:
    return setup.front if end_of(record) == "front" else setup.rear


def _refuse_left(setup: Setup, record: ServiceRecord) -> Iterator[str]:
    end, pressure = _served_end(setup, record), record.as_left.get("pressure_psi")
    if end is None or pressure is None:
        return
    most = end.max_pressure_pa / PSI_PA
    if not end.max_pressure_assumed and pressure > most + _READING_PSI:
        yield _(
            "Final settings: %(psi)s psi is above the maximum of %(most)s psi. Let air out, or correct the number.",
            psi=numbers.general(pressure),
            most=numbers.general(round(most)),
        )


def _ask_of_left(setup: Setup, record: ServiceRecord) -> Iterator[str]:
    left, end = record.as_left, _served_end(setup, record)
    if "sag_mm" in left and "pressure_psi" not in left:
        yield _("Sag without a pressure teaches nothing. Enter the pressure that was set as well.")
    if any(step.values.get("hose_needed") for step in record.steps if step.kind == "leak" and step.state == "done"):
        yield _("Leak check: more air is gone than a usual hose takes. Measure again with the pump left connected.")
    if end is None:
        if left:
            yield _("The setup does not have this end of the bike, so the card cannot show its final settings.")
        return
    if "pressure_psi" in left:
        yield from _ask_of_pressure(end, left["pressure_psi"])
    yield from _ask_of_clicks(_("Rebound"), left.get("rebound_out"), end.rebound)
    yield from _ask_of_clicks(_("Compression"), left.get("compression_out"), end.compression)
    most, spacers = (record.unit or {}).get("max_volume_spacers"), left.get("volume_spacers")
    if most is not None and spacers is not None and spacers > most:
        yield _(
            "%(n)d volume spacers are more than the %(most)d that this fork or shock takes. Count again.",
            n=spacers,
            most=most,
        )


def _ask_of_pressure(end: EndSetup, psi: float) -> Iterator[str]:
    most, start = end.max_pressure_pa / PSI_PA, end.pressure_pa / PSI_PA
    shown = numbers.general(psi)
    if end.max_pressure_assumed and psi > most + _READING_PSI:
        yield _(
            "%(psi)s psi is above our cautious maximum of %(most)s psi. Read the printed maximum and enter it.",
            psi=shown,
            most=numbers.general(round(most)),
        )
    low, high = end.pressure_low_pa / PSI_PA, end.pressure_high_pa / PSI_PA
    if not low - FAR_SHARE * start <= psi <= high + FAR_SHARE * start:
        yield _(
            "%(psi)s psi is far from the calculated %(start)s psi. Read the gauge and its unit again.",
            psi=shown,
            start=numbers.psi(end.pressure_pa),
        )


def _ask_of_clicks(name: str, out: Any, has: ClickStart | None) -> Iterator[str]:
    if out is not None and has is not None and out > has.total:
        yield _(
            "%(name)s: %(out)d clicks out is more than its %(all)d. Count again from fully closed.",
            name=name,
            out=out,
            all=has.total,
        )
