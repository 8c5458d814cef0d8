"""Statements about a shop's bikes: the bikes themselves, and what was done to them."""
