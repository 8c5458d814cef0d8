"""What is asked: a table of riders and bikes, or a list of codes, and the size of the sheets."""
