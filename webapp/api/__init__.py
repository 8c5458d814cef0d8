"""The JSON interface for outside tools, and the document that describes it."""
