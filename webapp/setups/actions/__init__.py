"""One function for each thing that a visitor can do with a setup."""
