"""Service records, steps, leak check, and the shop's home."""
