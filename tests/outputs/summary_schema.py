"""Holds summaries to their published schema, which an audit has no time for."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema

from auditor.outputs.summary import write_summary
from auditor.rulebook.built_in import published_schema


@cache
def _validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(published_schema("summary"))


def assert_by_its_schema(summary: Mapping[str, Any]) -> None:
    """Fails with the first place where a summary breaks its schema."""
    for error in _validator().iter_errors(summary):
        position = "/".join(map(str, error.absolute_path)) or "its top level"
        raise AssertionError(f"summary.json breaks its schema at {position}: {error.message}")


def write_summary_by_schema(folder: Path, summary: Mapping[str, Any]) -> Path:
    """Writes a summary as an audit does, once it keeps to its schema."""
    assert_by_its_schema(summary)
    return write_summary(folder, summary)
