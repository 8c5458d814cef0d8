"""Statements about service records: kept, searched, and when bikes are due again."""
