"""The data of the rule book that is audited with: beside the tests, in a checkout and in a copy of one."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

RULES_FOLDER = Path(__file__).parents[2] / "rules"


@cache
def data(name: str) -> Mapping[str, Any]:
    """One TOML file of the rule book, as it stands there."""
    return tomllib.loads((RULES_FOLDER / f"{name}.toml").read_text(encoding="utf-8"))


TOLERANCE: Mapping[str, Any] = data("policy")["tolerance"]


def rule(subject: str, rule_id: str) -> Mapping[str, Any]:
    """The table of one rule."""
    return next(one for one in data(subject)["rule"] if one["id"] == rule_id)


def limits(subject: str, rule_id: str) -> Mapping[str, Any]:
    """The numbers that a rule's check goes by."""
    found: Mapping[str, Any] = rule(subject, rule_id)["limits"]
    return found
