"""One function for each thing that staff can do with the shop's forks and shocks."""
