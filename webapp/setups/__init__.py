"""A saved setup: the form it comes from, its page, its link and its owner."""
