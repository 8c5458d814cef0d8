"""How long to wait: a time as people plan by it, and what a leak check that came too early still needs."""

from __future__ import annotations

from setup_rules.workshop.checklist import Step
from webapp.ground.text.i18n import gettext as _

#: A reading that came too early is repeated at least this many times later after the first [times].
_LATER = 1.5


def duration(hours: float) -> str:
    """Return a time in hours up to two days, in days beyond, rounded up to what one would plan by.

    Examples
    --------
    >>> duration(6.2), duration(70.0)
    ('7 hours', '3 days')
    """
    if hours <= 1:
        return _("1 hour")
    whole = int(-(-hours // 1))
    return _("%(n)d hours", n=whole) if hours <= 48 else _("%(n)d days", n=-(-whole // 24))


def how_long_still(step: Step) -> str:
    """Return how long after the first reading a leak step that could not tell is measured again, "" where it could."""
    v = step.values
    if v.get("verdict") != "cannot_tell" or "hours_needed" not in v:
        return ""
    return duration(max(v["hours_needed"], _LATER * v["hours"]))
