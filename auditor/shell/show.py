"""`auditor show DIR`: looks into a finished audit without opening anything else."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc

from auditor.errors import UsageError, printable
from auditor.outputs.findings import read_by_grade
from auditor.outputs.headline import in_one_sentence, unread_first
from auditor.outputs.output_folder import is_audit
from auditor.rulebook.finding import GRADES
from auditor.shell.terminal import indented, render


@dataclass(frozen=True, slots=True)
class FindingsAsked:
    """What to show; None stands for any.  `supplier` is part of the name, the others are whole; case does not count."""

    supplier: str | None = None
    rule: str | None = None
    grade: str | None = None
    sku: str | None = None
    limit: int = 20


def show(folder: Path, asked: FindingsAsked, width: int = 80, color: bool = False) -> str:
    """The findings asked for, worst first, as text.  Raises UsageError where `folder` holds no audit."""
    if not is_audit(folder) or not (folder / "findings.parquet").is_file():
        raise UsageError(f"{folder} is not the folder of a finished audit; give the folder named with --out.")
    if asked.grade is not None and asked.grade.casefold() not in GRADES:
        raise UsageError(f"--grade {asked.grade} is none of {', '.join(GRADES)}.")
    summary = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    if asked.rule is not None:
        _check_rule(asked.rule, summary)
    matches = 0
    shown: list[dict[str, Any]] = []
    for part in _matching(folder / "findings.parquet", asked):
        if len(shown) < asked.limit:
            shown += part.slice(0, asked.limit - len(shown)).to_pylist()
        matches += part.num_rows
    lines: list[Any] = [*filter(None, [printable(unread_first(summary))]), in_one_sentence(summary), ""]
    for finding in shown:
        head, *below = _lines(finding)
        lines += [head, *(indented(line) for line in below), ""]
    lines.append(_footing(matches, len(shown), folder))
    return render(lines, width, color)


def _check_rule(rule: str, summary: dict[str, Any]) -> None:
    import difflib

    known = {*summary["by_rule"], *summary["could_not_tell"]}
    if rule.casefold() in known or not known:
        return
    near = difflib.get_close_matches(rule.casefold(), sorted(known), 1)
    if near:
        raise UsageError(f"--rule {rule} has no finding in this audit; did you mean {near[0]}?")


def _matching(path: Path, asked: FindingsAsked) -> Iterator[pa.Table]:
    grades = (asked.grade.casefold(),) if asked.grade else GRADES
    for part in read_by_grade(path, grades=grades):
        keep: Any = None
        for column, wanted, whole in (
            ("supplier", asked.supplier, False),
            ("rule", asked.rule, True),
            ("sku", asked.sku, True),
        ):
            if wanted is None:
                continue
            texts = pc.utf8_lower(part[column])
            fits = pc.equal(texts, wanted.lower()) if whole else pc.match_substring(texts, wanted.lower())
            keep = fits if keep is None else pc.and_(keep, fits)
        part = part if keep is None else part.filter(keep)
        if part.num_rows:
            yield part


def _lines(finding: dict[str, Any]) -> list[str]:
    position = f"{finding['feed']} record {finding['record']}"
    if finding["sheet"]:
        position = f"{finding['feed']} [{finding['sheet']}] record {finding['record']}"
    listing = next((f"{name} {finding[name]}" for name in ("sku", "part_number", "gtin") if finding[name]), "")
    who = " · ".join(part for part in (finding["supplier"], listing, position) if part)
    lines = [f"{finding['grade'].upper()} {finding['rule']}", _one_line(who)]
    if finding["marking"]:
        lines.append(f"Marking: {_one_line(finding['marking'])}")
    lines.append(_one_line(finding["message"]))
    if finding["suggestion"]:
        lines.append(f"Put in {_one_line(finding['column'] or finding['field'])}: {_one_line(finding['suggestion'])}")
    return lines


def _one_line(text: str, longest: int = 400) -> str:
    clean = " ".join(printable(text).split())
    return clean if len(clean) <= longest else clean[: longest - 1] + "…"


def _footing(matches: int, shown: int, folder: Path) -> str:
    if not matches:
        return "No finding fits."
    if shown < matches:
        return f"{shown:,} of {matches:,} findings that fit; --limit shows more, {folder / 'findings.csv'} has all."
    return "1 finding fits." if matches == 1 else f"{matches:,} findings fit."
