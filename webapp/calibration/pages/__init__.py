"""Typed values of this room become strings."""
