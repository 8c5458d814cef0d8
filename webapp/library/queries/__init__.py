"""Statements about a shop's library, one module for each part of it."""
