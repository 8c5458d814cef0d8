"""Texts, numbers and dates as people read them."""
