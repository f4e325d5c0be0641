"""Where the rule book that is audited with lies: beside the tests, in a checkout and in a copy of one."""

from __future__ import annotations

from pathlib import Path

RULES_FOLDER = Path(__file__).parents[2] / "rules"
