"""The engine, the tables and their migrations: nothing here knows what a row is for."""
