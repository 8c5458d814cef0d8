"""One function for each thing that is done with a shop's own checks."""
