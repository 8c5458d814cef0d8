"""Two revisions of one setup side by side."""

from __future__ import annotations

from dataclasses import dataclass

from webapp.checks.pages.difference import DifferenceGroup, differences
from webapp.ground.text.i18n import gettext as _
from webapp.ground.text.phrases import moment
from webapp.ground.text.sentences import say
from webapp.setups.revision import Revision


@dataclass(frozen=True, slots=True)
class ComparedRevision:
    """The head of one column."""

    number: int
    when: str
    reason: str


@dataclass(frozen=True, slots=True)
class ComparePage:
    """The whole page."""

    code: str
    title: str
    latest: int
    first: ComparedRevision
    second: ComparedRevision
    groups: tuple[DifferenceGroup, ...]

    @property
    def alike(self) -> bool:
        """Whether no number differs."""
        return not any(group.differs for group in self.groups)


def present_compare(first: Revision, second: Revision) -> ComparePage:
    """Return two revisions of one setup side by side, in the order that was asked for."""
    return ComparePage(
        code=second.code,
        title=second.texts.bike_label or _("Your setup"),
        latest=second.latest_number,
        first=_head(first),
        second=_head(second),
        groups=differences(first.setup, second.setup),
    )


def _head(saved: Revision) -> ComparedRevision:
    return ComparedRevision(saved.number, moment(saved.created_at), say(saved.reason))
