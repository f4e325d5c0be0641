"""Tests of reading, mapping and splitting feeds."""
