"""Statements about setups, their revisions and the shops that they belong to."""
