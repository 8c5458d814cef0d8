"""The strings of service records, steps and leak checks."""
