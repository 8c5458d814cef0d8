"""Cards by the stack: a table of riders and bikes, or saved setups, to sheets of cards, made beside the serving."""
