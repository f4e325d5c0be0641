"""Invented tire catalogs: right listings, listings with one known mistake each, and the answers.

Nothing here imports the program under test: the tables, the arithmetic and the wording are its own, so that
the
catalog and the auditor check each other.
"""
