"""Statements about a shop as its file holds it."""
