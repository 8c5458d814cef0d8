"""Lets `python -m webapp` do what `setup-card` does."""

from webapp.commands.cli import main

raise SystemExit(main())
