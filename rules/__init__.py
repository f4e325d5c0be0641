"""The rule book: what the auditor checks, as data. No code lives here."""
