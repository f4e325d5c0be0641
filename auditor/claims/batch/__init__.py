"""The same reading of claims over columns of texts."""
