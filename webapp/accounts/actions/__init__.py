"""One function for each thing that staff can do with an account."""
