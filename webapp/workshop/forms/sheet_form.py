"""A whole service record on one sheet: received, every step, final settings; only what was typed is saved."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from setup_rules.workshop.checklist import Step, StepState
from webapp.ground.text.i18n import gettext as _
from webapp.workshop.entries import Left, SheetEntry, step_part, version_of
from webapp.workshop.forms.record_forms import AddStepForm, FoundForm, LeftForm
from webapp.workshop.forms.section_form import SectionForm
from webapp.workshop.forms.step_forms import Lengths, StepForm, step_form


@dataclass(slots=True)
class SheetStep:
    """One step on the sheet: its form, and whether it is ticked."""

    step: Step
    form: StepForm
    ticked: bool

    @property
    def name(self) -> str:
        """The name of its tick box."""
        return f"{self.step.key}.done"

    @property
    def was_touched(self) -> bool:
        """Whether anything was typed or ticked since the sheet was shown."""
        if not self.form.shown.data:  # not from our page: what is there was typed
            return self.ticked or not self.form.is_empty()
        return self.form.fingerprint(self.ticked) != str(self.form.shown.data)

    @property
    def tick_moved(self) -> bool:
        """Whether the box was ticked or unticked since the sheet was shown."""
        return self.ticked != str(self.form.shown.data or "").endswith("+")

    def fill(self) -> None:
        """Note from what the fields were filled."""
        self.form.seen.data = version_of(step_part(self.step))
        self.form.shown.data = self.form.fingerprint(self.ticked)

    def read(self) -> SheetEntry | None:
        """Return what to save, None for a problem, which stands beside its field."""
        bare = self.step.kind != "tick" and not self.ticked and (self.form.is_empty() or self._only_tick_changed)
        values = self.step.values if bare else self.form.read()
        return (
            None if values is None else SheetEntry(self.step.key, self.form.seen_version, (self._state(bare), values))
        )

    @property
    def _only_tick_changed(self) -> bool:
        return self.form.fingerprint(not self.ticked) == str(self.form.shown.data)

    def _state(self, bare: bool) -> StepState:
        """Return what the step is set to: numbers typed for a step that was open are its tick."""
        before = self.step.state if self.form.seen_version in ("", version_of(step_part(self.step))) else None
        if self.ticked:
            return "done"
        if self.step.kind == "tick" or bare:
            return "left_out" if before == "left_out" else "open"
        return "open" if before == "done" else "done"


class SheetForm:
    """The sheet. `end` and `lengths` are those of the fork or shock; `sent` is the form as it came, if it did."""

    def __init__(self, steps: tuple[Step, ...], end: str, lengths: Lengths, sent: Mapping[str, Any] | None) -> None:
        self.added = AddStepForm(
            prefix="add.", **({"meta": {"csrf": False}} if sent is not None else {"formdata": None})
        )
        #: Parts that could not be read, before any conflict.
        self.refused: set[str] = set()
        #: Parts that were typed in and could be read.
        self.typed: set[str] = set()
        bare: dict[str, Any] = {"meta": {"csrf": False}} | ({} if sent is not None else {"formdata": None})
        self.found, self.left = FoundForm(prefix="found.", **bare), LeftForm(prefix="left.", **bare)
        self.steps = [
            SheetStep(
                step,
                step_form(
                    step,
                    sent=sent is not None,
                    end=end,
                    lengths=lengths,
                    prefix=f"{step.key}.",
                    meta={"csrf": False},
                ),
                step.state == "done" if sent is None else f"{step.key}.done" in sent,
            )
            for step in steps
        ]
        for one in self.steps:  # a step is left open as long as one likes: on the sheet nothing of it is required
            for field in one.form.inputs():
                field.may_wait = True

    def show(self, found: dict[str, Any], left: dict[str, Any], suggested: dict[str, Any]) -> None:
        """Fill the sheet with what the record says; `suggested` stands in empty final settings."""
        self.found.show({name: value for name, value in found.items() if name in self.found})
        self.found.fill_from(found)
        shown = {**suggested, **{name: value for name, value in left.items() if value is not None}}
        self.left.show({name: value for name, value in shown.items() if name in self.left})
        self.left.fill_from(left)
        if suggested:
            self.left.shown.data = ""  # so that what is suggested is saved with the rest
        for one in self.steps:
            one.fill()

    def sections(self) -> Iterator[tuple[str, SectionForm]]:
        """Yield (name, form) of every part, in the order of the page."""
        yield "found", self.found
        for one in self.steps:
            yield one.step.key, one.form
        yield "added", self.added
        yield "left", self.left

    def title_of(self, name: str) -> str:
        """Return what the page calls a part."""
        titles = {one.step.key: _("“%(title)s”", title=_(one.step.title)) for one in self.steps}
        return titles.get(name) or (_("As received") if name == "found" else _("Final settings"))

    def keep(self, sent: SheetForm, names: Iterable[str]) -> None:
        """Put the parts of these names as they were sent in the place of what is saved.

        A tick that was not touched stays as it is saved: someone else's is not taken back, nor one that they took back.
        """
        self.found = sent.found if "found" in names else self.found
        self.left = sent.left if "left" in names else self.left
        typed = {one.step.key: one for one in sent.steps if one.step.key in names}
        for one in self.steps:
            if one.step.key in typed:
                mine = typed[one.step.key]
                one.form, one.ticked = mine.form, mine.ticked if mine.tick_moved else one.ticked

    def read(self) -> list[SheetEntry]:
        """Return what was typed and can be saved; what cannot has its problem beside its field."""
        entries: list[SheetEntry | None] = []
        if _was_touched(self.found):
            found = self.found.read_found()
            entries.append(None if found is None else SheetEntry("found", self.found.seen_version, found))
        entries += [one.read() for one in self.steps if one.was_touched]
        if _was_touched(self.left):
            left: Left | None = self.left.read()
            entries.append(None if left is None else SheetEntry("left", self.left.seen_version, left))
        read = [entry for entry in entries if entry is not None]
        self.typed = {entry.section for entry in read}
        return read

    def saved_parts(self, now: SheetForm, wrong: set[str]) -> dict[str, list[str]]:
        """Return what the hidden fields of each part that was saved hold next: its version `now`, what stands in it.

        A part that was not typed in keeps its own, or what someone else changed in it meanwhile would be saved over.
        """
        versions = {name: form.seen_version for name, form in now.sections()}
        ticks = {one.step.key: (one.ticked,) for one in now.steps}
        saved = self.typed - wrong
        parts = [(name, form) for name, form in self.sections() if name in saved]
        return {name: [versions[name], form.fingerprint(*ticks.get(name, ()))] for name, form in parts}

    def wrong_sections(self) -> set[str]:
        """Return the names of the parts with a problem."""
        return {name for name, form in self.sections() if form.problems()}

    def problems(self) -> list[tuple[str, str]]:
        """Return (id of the field, sentence) for everything that is wrong, in the order of the page.

        A sentence about a field of a step names the step: a sheet has several torques and oils.
        """
        steps, found = {one.step.key for one in self.steps}, []
        for name, form in self.sections():
            for place, said in form.problems():
                named = _("%(part)s: %(problem)s", part=self.title_of(name), problem=said)
                found.append((place or name, named if place and name in steps else said))
        return found


def _was_touched(form: SectionForm) -> bool:
    shown = str(form.shown.data or "")
    return form.fingerprint() != shown if shown else not form.is_empty()
