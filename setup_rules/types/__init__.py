"""What is asked and answered, with its units, limits, constants and errors. Imports nothing else of the rules."""
