"""A shop's bikes as the strings of their pages."""
