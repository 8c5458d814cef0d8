"""A shop's work on a bike: service records, checklist, leak check, and the shop's home."""
