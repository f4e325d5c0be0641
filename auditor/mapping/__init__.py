"""Which column of a feed holds what, in which unit: maps as written by people, and proposals where there is none."""
