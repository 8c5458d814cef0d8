"""The command line: serve, shop and staff, demo, doctor, purge."""
