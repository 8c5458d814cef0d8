"""The web application around `setup_rules`: pages, cards and the JSON interface of one saved setup."""

from __future__ import annotations

import importlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from flask import Flask

from webapp import config as settings
from webapp import extensions, i18n, security

#: Every blueprint's module; only this factory imports views.
BLUEPRINTS = (
    "setups",
    "corrections",
    "history",
    "cards",
    "api",
    "api_corrections",
    "owner",
    "pages",
    "door",
    "shop",
    "staff",
    "units",
    "leak",
    "travel",
    "bench",
    "bench_steps",
)


def create_app(config: Mapping[str, Any] | None = None) -> Flask:
    """Build the application from `config`, or from the environment when it is None.

    Raises
    ------
    webapp.errors.ConfigError
        When a setting is wrong.
    """
    app = Flask(__name__, template_folder=_template_folder())
    settings.load(app, config)
    i18n.install(app)
    security.protect(app)
    extensions.database.init_app(app)
    extensions.limiter.init_app(app)
    extensions.csrf.init_app(app)
    for name in BLUEPRINTS:
        module = importlib.import_module(f"webapp.views.{name}")
        app.register_blueprint(module.blueprint)
    importlib.import_module("webapp.views.refusals").register(app)
    importlib.import_module("webapp.views.access").install(app)
    return app


def _template_folder() -> str:
    """Return where the templates lie: inside the package when installed, beside it in a checkout."""
    inside = Path(__file__).parent / "_templates"
    return str(inside if inside.is_dir() else Path(__file__).parent.parent / "templates")
