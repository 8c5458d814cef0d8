"""Another travel for a saved setup: planned, and saved."""
