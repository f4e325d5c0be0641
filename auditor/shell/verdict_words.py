"""A verdict in words for a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import fill
from typing import Any

from auditor.errors import printable

_WIDTH = 80


def in_words(request: object, answer: Mapping[str, Any]) -> str:
    """What a person reads: the verdict, each finding with what to put where, and what could not be told."""
    name = _name(request)
    head = f"{name}: " if name else ""
    marking = one_line(answer["marking"]) if answer["marking"] else "no marking could be read"
    lines = [_wrapped(f"{head}{answer['verdict'].upper()}  {marking}", "  ")]
    for finding in answer["findings"]:
        lines += ["", f"  {finding['grade'].upper()} {finding['rule']} in {finding['field']}"]
        lines.append(_wrapped(one_line(finding["message"]), "    ", "    "))
        if finding["likely_cause"] not in ("", "unclear"):
            lines.append(f"    Likely cause: {finding['likely_cause']}.")
        if finding["suggestion"]:
            lines.append(_wrapped(f"Put in {finding['field']}: {one_line(finding['suggestion'])}", "      ", "    "))
    if answer["could_not_tell"]:
        told = f"Could not tell: {', '.join(answer['could_not_tell'])}."
        lines += ["", _wrapped(told, "    ", "  ")]
    return "\n".join(lines)


def one_line(text: str) -> str:
    """A listing's text on one line, without blanks in a row."""
    return " ".join(printable(text).split())


def _name(request: object) -> str:
    if not isinstance(request, Mapping):
        return ""
    for name in ("id", "sku", "part_number", "gtin"):
        value = request.get(name)
        if isinstance(value, str | int) and str(value).strip():
            return one_line(str(value))[:60]
    return ""


def _wrapped(text: str, later: str, first: str = "") -> str:
    return fill(
        text, _WIDTH, initial_indent=first, subsequent_indent=later, break_on_hyphens=False, break_long_words=False
    )
