"""JSON Schemas (draft 2020-12) of everything that enters or leaves."""
