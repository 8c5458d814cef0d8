"""One file under `versions` for each change of the tables; they are never edited once released."""
