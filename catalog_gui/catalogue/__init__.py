"""The records: tables, rows to values, steps that can be undone, search and migrations."""
