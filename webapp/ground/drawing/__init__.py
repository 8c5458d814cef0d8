"""Drawings as inline SVG, written by hand: presentation attributes and classes only, no style inside."""
