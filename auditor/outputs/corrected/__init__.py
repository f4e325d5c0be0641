"""Feeds with the certain suggestions put in."""
