"""Every sentence that is kept as data, by key: those of the rules, and why a revision was saved."""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from setup_rules.messages.catalogue import TEMPLATES as RULES
from setup_rules.messages.marking import Template

TEMPLATES: Final = MappingProxyType[str, Template](RULES | {})
