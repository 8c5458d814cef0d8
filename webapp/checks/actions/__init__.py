"""One function for each correction of a saved setup."""
