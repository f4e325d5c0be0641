"""A block of records, over arrays."""
