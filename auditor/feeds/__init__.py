"""A file in any supplier's dialect becomes Arrow columns of text with exact record numbers, and is split again."""
