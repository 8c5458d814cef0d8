"""Every sentence of the rules in English, by key: one whole sentence a variant, split by subject."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from setup_rules.messages.catalogue import (
    cautions,
    checks,
    coils,
    limits,
    measured,
    reasons,
    requests,
    rides,
    second_chamber,
    travel,
    workshop,
)
from setup_rules.messages.marking import Template

#: All templates. A key is the subject, what is said of it, and the variant, with points between.
TEMPLATES: Final = MappingProxyType[str, Template](
    limits.LABELS
    | limits.BOUNDS
    | requests.SENTENCES
    | cautions.SENTENCES
    | reasons.SENTENCES
    | checks.SENTENCES
    | coils.SENTENCES
    | measured.SENTENCES
    | rides.SENTENCES
    | second_chamber.SENTENCES
    | travel.SENTENCES
    | workshop.SENTENCES
)
