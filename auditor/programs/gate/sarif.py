"""The gate's findings as SARIF 2.1.0 (OASIS): for what shows findings beside lines of a file."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from auditor.programs.gate.checking import Checked
from auditor.rulebook.book import RuleBook
from auditor.version import __version__

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_LEVELS = {"critical": "error", "major": "error", "minor": "warning"}
_UNREADABLE = "listing-unreadable"  # no rule of the book: of what could not be read at all


def sarif(checked: Sequence[Checked], book: RuleBook) -> str:
    """One run with a result for each finding, and one for each place that could not be read."""
    used = {finding["rule"] for one in checked for finding in one.findings}
    rules: list[dict[str, Any]] = [
        {
            "id": rule.id,
            "shortDescription": {"text": rule.title},
            "fullDescription": {"text": rule.why},
            "defaultConfiguration": {"level": _LEVELS[rule.grade]},
            "properties": {"grade": rule.grade, "source": rule.source},
        }
        for rule in book.rules
        if rule.id in used
    ]
    rules.append({"id": _UNREADABLE, "shortDescription": {"text": "What could not be read as a listing"}})
    places = {rule["id"]: place for place, rule in enumerate(rules)}
    results = [result for one in checked for result in _results(one, places)]
    driver = {"name": "tire-listing-auditor", "version": __version__, "rules": rules}
    run = {"tool": {"driver": driver}, "columnKind": "unicodeCodePoints", "results": results}
    document = {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def _results(one: Checked, places: Mapping[str, int]) -> list[dict[str, Any]]:
    place = {"artifactLocation": {"uri": quote(PurePath(one.file).as_posix())}, "region": {"startLine": one.line}}
    locations = [{"physicalLocation": place}]
    if one.verdict == "unreadable":
        return [
            {
                "ruleId": _UNREADABLE,
                "ruleIndex": places[_UNREADABLE],
                "level": "error",
                "message": {"text": one.wrong},
                "locations": locations,
            }
        ]
    return [
        {
            "ruleId": finding["rule"],
            "ruleIndex": places[finding["rule"]],
            "level": _LEVELS[finding["grade"]],
            "message": {"text": finding["message"]},
            "locations": locations,
            "partialFingerprints": {"key/v1": finding["key"]},
            "properties": {name: finding[name] for name in ("grade", "field", "stated", "derived", "suggestion")},
        }
        for finding in one.findings
    ]
