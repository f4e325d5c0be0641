"""Judges the auditor by listings and texts that were written without a look at it: `python -m tests.trials`."""
