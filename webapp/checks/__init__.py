"""Coming back to a setup: sag check, bounce check, ride, what-if, history."""
