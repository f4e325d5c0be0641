"""What titles and sales texts claim of a tire."""
