"""A shop's forks and shocks: what is known of each, its printed charts, files in and out."""
