"""The changes of the tables, numbered."""
