"""One function for each thing that a mechanic can do with a service record."""
