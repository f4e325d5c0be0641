"""Measurements of speed and memory.  Not collected by pytest; run with `python -m tests.benchmarks`."""
