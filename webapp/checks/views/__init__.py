"""The pages of checks and of history."""
