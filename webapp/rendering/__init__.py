"""Rendering: finished strings and numbers become pictures and paper here."""
