"""All that touches rows: mapped classes, queries, documents and migrations."""
