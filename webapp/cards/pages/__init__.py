"""The strings of both sides of a card."""
