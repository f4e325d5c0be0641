"""The same over columns: each distinct sentence of a block once."""
