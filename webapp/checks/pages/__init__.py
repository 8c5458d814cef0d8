"""The strings and drawings of checks, answers and history."""
