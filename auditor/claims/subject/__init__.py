"""Whom a part of a sentence speaks of: this tire, another, a vehicle, nobody."""
