"""How Hypothesis runs here: no time limit an example (machines differ); the same examples every time in CI."""

from __future__ import annotations

import os

from hypothesis import settings

from tests.examples import examples

settings.register_profile("project", deadline=None, max_examples=examples(100), derandomize=bool(os.environ.get("CI")))
settings.load_profile("project")
