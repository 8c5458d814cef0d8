"""Lets `python -m webapp` do what `setup-card` does."""

from webapp.cli import main

raise SystemExit(main())
