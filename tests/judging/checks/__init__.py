"""Checks that are no plain comparisons."""
