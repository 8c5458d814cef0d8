"""What makes an app in a test quick: what every app works out alike is worked out once a process.

A test makes an app of its own. Compiling templates, binding three hundred addresses and compiling SQL statements anew
for each of them took a third of the time of a page's test.
"""

from __future__ import annotations

import copy
from types import CodeType
from typing import Any, ClassVar

from flask import Flask
from jinja2 import BytecodeCache
from jinja2.bccache import Bucket
from sqlalchemy import Engine
from sqlalchemy.engine.default import DefaultDialect
from sqlalchemy.util import LRUCache
from werkzeug.routing import Map, MapAdapter, Rule


class CompiledTemplates(BytecodeCache):
    """Templates compiled once a process."""

    def __init__(self) -> None:
        self.compiled: dict[tuple[str, str], CodeType] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Take what an earlier app compiled from the same source."""
        bucket.code = self.compiled.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what was compiled; code does not change, so that apps can share it as it is."""
        assert bucket.code is not None
        self.compiled[bucket.key, bucket.checksum] = bucket.code


class SharedMap(Map):
    """Addresses bound and sorted once a process: apps with the same ones share what was made of them.

    An app that is given a further address afterwards gets a map of its own kind.
    """

    made: ClassVar[dict[tuple[object, ...], Map]] = {}

    def __init__(self, *arguments: Any, **given: Any) -> None:
        self.noted: list[Rule] = []
        self.is_taken = False
        super().__init__(*arguments, **given)

    def add(self, rulefactory: Any) -> None:
        """Note an address."""
        self.noted += rulefactory.get_rules(self)
        self.is_taken = False

    def update(self) -> None:
        """Take what an app with the same addresses made of them, or make it."""
        if self.is_taken:
            return
        converters = tuple(self.converters.items())
        key = (self.host_matching, self.strict_slashes, converters, *map(_all_of, self.noted))
        if key not in self.made:
            self.made[key] = Map(
                map(_unbound, self.noted), host_matching=self.host_matching, converters=self.converters
            )
            self.made[key].update()
        made = self.made[key]
        self._matcher, self._rules_by_endpoint, self._remap = made._matcher, made._rules_by_endpoint, False
        self.is_taken = True

    def bind(self, *arguments: Any, **given: Any) -> MapAdapter:
        """Bind to a server's name."""
        self.update()
        return super().bind(*arguments, **given)


def _all_of(rule: Rule) -> str:
    """Return all that tells one address from another, as it was given."""
    return repr([(name, sorted(one) if isinstance(one, set) else one) for name, one in vars(rule).items()])


def _unbound(rule: Rule) -> Rule:
    fresh = copy.copy(rule)
    fresh.arguments = set(rule.arguments)
    return fresh


#: Compiled SQL of all engines of a process.
STATEMENTS: LRUCache[Any, Any] = LRUCache(2000)


def _kind_of(dialect: DefaultDialect) -> tuple[object, ...]:
    """Return what of a dialect the compiled form of a statement depends on."""
    serializers = (getattr(dialect, name, None) for name in ("_json_serializer", "_json_deserializer"))
    return (type(dialect), dialect.paramstyle, *serializers)


def share_among_apps() -> None:
    """Let all apps of this process share what they would work out alike."""
    Flask.jinja_options = {**Flask.jinja_options, "bytecode_cache": CompiledTemplates()}
    Flask.url_map_class = SharedMap
    # Statements are kept by dialect: two of one kind count as the same.
    DefaultDialect.__hash__ = lambda dialect: hash(_kind_of(dialect))  # type: ignore[method-assign]
    DefaultDialect.__eq__ = lambda dialect, other: (  # type: ignore[method-assign,assignment]
        isinstance(other, DefaultDialect) and _kind_of(dialect) == _kind_of(other)
    )
    Engine._compiled_cache = property(lambda _engine: STATEMENTS, lambda _engine, _own: None)  # type: ignore[assignment]
