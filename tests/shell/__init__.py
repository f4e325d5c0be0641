"""Tests of the commands, in process on exact output, and as started from a shell."""
