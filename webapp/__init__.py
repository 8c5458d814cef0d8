"""The web application around `setup_rules`: pages, cards and the JSON interface of one saved setup."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from flask import Flask

from webapp.ground import config as settings
from webapp.ground import extensions, health, metrics, request_log, security, whole_numbers
from webapp.ground.text import i18n, page_text

#: Every blueprint's module; only this factory imports views.
BLUEPRINTS = (
    "setups.views.setup",
    "setups.views.owner",
    "setups.views.calendars",
    "checks.views.corrections",
    "checks.views.entries",
    "checks.views.history",
    "cards.views",
    "travel.views",
    "library.views",
    "calibration.views",
    "workshop.views.home",
    "workshop.views.records",
    "workshop.views.bike",
    "workshop.views.settings",
    "workshop.views.export",
    "workshop.views.sheet",
    "workshop.views.steps",
    "workshop.views.record_edits",
    "workshop.views.leak",
    "stacks.views",
    "accounts.views.log_in",
    "accounts.views.staff",
    "accounts.views.tokens",
    "demo_day.views.bikes",
    "demo_day.views.crew",
    "demo_day.views.fleet",
    "demo_day.views.tag",
    "demo_day.views.offline",
    "demo_day.views.day",
    "api.views.setups",
    "api.views.bikes",
    "api.views.corrections",
    "ground.info_pages",
)


def create_app(config: Mapping[str, Any] | None = None) -> Flask:
    """Build the application from `config`, or from the environment when it is None.

    Raises
    ------
    webapp.ground.errors.ConfigError
        When a setting is wrong.
    """
    app = Flask(__name__, template_folder=_template_folder())
    settings.load(app, config)
    i18n.install(app)
    security.protect(app)
    page_text.install(app)
    request_log.install(app)
    metrics.install(app)
    extensions.database.init_app(app)
    health.install(app)
    extensions.limiter.init_app(app)
    extensions.csrf.init_app(app)
    whole_numbers.install(app)
    for name in BLUEPRINTS:
        module = importlib.import_module(f"webapp.{name}")
        app.register_blueprint(module.blueprint)
    importlib.import_module("webapp.ground.error_pages").register(app)
    importlib.import_module("webapp.accounts.access").install(app)
    importlib.import_module("webapp.demo_day.way_back").install(app)
    importlib.import_module("webapp.demo_day.actions.teach_bike").listen()
    importlib.import_module("webapp.demo_day.actions.note_check").listen()
    importlib.import_module("webapp.library.actions.unit_learning").listen()
    importlib.import_module("webapp.stacks.actions.forget_stacks").listen()
    return app


def _template_folder() -> str:
    """Return where the templates lie: inside the package when installed, beside it in a checkout."""
    inside = Path(__file__).parent / "_templates"
    return str(inside if inside.is_dir() else Path(__file__).parent.parent / "templates")
