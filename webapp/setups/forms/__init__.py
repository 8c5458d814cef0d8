"""The form behind the front page, and the box that opens a card."""
