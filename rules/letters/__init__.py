"""Wordings of the letters to suppliers: one TOML file per language, all with the keys of `en.toml`."""
