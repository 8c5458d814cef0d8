"""Everything printed: the card of a setup in every size, its back, sheets to cut."""
