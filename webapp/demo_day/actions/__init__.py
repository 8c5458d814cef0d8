"""One function for each thing that happens to a bike."""
