"""Published tables, as plain text."""
