"""Judges what listings state by what their markings say: facts, never sentences."""
