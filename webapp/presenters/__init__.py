"""Presenters: typed results become strings ready to show here, once."""
