"""Tests mirror `auditor/`; `reference` holds checks against published sources, `benchmarks` is run by hand."""
