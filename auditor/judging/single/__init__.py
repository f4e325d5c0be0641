"""One listing, over plain numbers."""
