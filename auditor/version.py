"""The version of the program, as `--version`, `summary.json` and `run.json` tell it."""

__version__ = "0.1.0"
