"""A saved setup as the strings of its page."""
