"""Checks against published standards, tables, worked examples and reference libraries."""
