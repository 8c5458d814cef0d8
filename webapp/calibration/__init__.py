"""How right the numbers were: a shop's own first sag checks, what they would move, and the file that pools shops."""
