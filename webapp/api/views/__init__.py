"""The routes under /api/v1."""
