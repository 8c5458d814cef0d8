"""One function for each way that a shop moves: out into a file, in from one."""
