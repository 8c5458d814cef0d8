"""What the JSON interface answers, and its description."""
