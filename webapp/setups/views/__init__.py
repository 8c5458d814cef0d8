"""The form, the page of a setup, and the page of its owner."""
