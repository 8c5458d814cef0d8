"""What every form on a saved setup shares: the revision it shows, and a key against double submission."""

from __future__ import annotations

from typing import Any

from wtforms import HiddenField

from setup_rules import Setup
from webapp.ground.fields.page_form import SaveOnceForm
from webapp.ground.whole_numbers import read_whole_number


class CorrectionForm(SaveOnceForm):
    """A form on a saved setup."""

    base_revision = HiddenField()

    def __init__(self, revision: int, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        if not self.is_submitted():
            self.base_revision.data = str(revision)

    @property
    def base(self) -> int | None:
        """The revision that the page was drawn from, None where the page does not say."""
        return read_whole_number(self.base_revision.data)

    def build_on(self, revision: int, setup: Setup) -> None:  # noqa: ARG002 for forms that show the setup
        """Let the next sending of this page be saved on top of `revision`, which holds `setup`."""
        self.base_revision.data = str(revision)

    def keep_meant(self, seen: Setup, latest: Setup) -> None:
        """Keep what an entry meant on the page of `seen` where it would mean something else on that of `latest`."""
