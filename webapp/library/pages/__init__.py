"""The strings and drawings of the library pages."""
