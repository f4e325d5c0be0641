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
from auditor.outputs.findings import FINDINGS_SCHEMA, read_by_grade
from auditor.outputs.headline import in_one_sentence, unread_first
from auditor.outputs.languages import Wordings, load_wordings
from auditor.outputs.output_folder import is_audit
from auditor.outputs.repeated import how_far, slip, where
from auditor.outputs.worst_findings import ranked, worst_findings
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
    """Repeated mistakes, then the findings asked for, worst first, as text.

    Raises UsageError where `folder` holds no audit.
    """
    summary, groups, matches, shown = _found(folder, asked)
    unread = unread_first(summary)
    lines: list[Any] = [*([unread] if unread else []), in_one_sentence(summary), ""]
    words = load_wordings("en")
    for group in groups[: asked.limit]:
        head, *below = _group_lines(group, words)
        lines += [head, *(indented(line) for line in below), ""]
    if len(groups) > asked.limit:
        lines += [f"{asked.limit:,} of {len(groups):,} repeated mistakes; {folder / 'repeated.csv'} has all.", ""]
    for finding in shown:
        head, *below = _lines(finding)
        lines += [head, *(indented(line) for line in below), ""]
    lines.append(_footing(matches, len(shown), folder))
    return render(lines, width, color)


def show_json(folder: Path, asked: FindingsAsked) -> str:
    """The same for programs: the night, its repeated mistakes and the findings asked for as one JSON object."""
    summary, groups, matches, shown = _found(folder, asked)
    said = {
        "night": summary.get("night", ""),
        "totals": summary["totals"],
        "repeated": groups[: asked.limit],
        "repeated_in_all": len(groups),
        "findings": shown,
        "findings_in_all": matches,
    }
    return json.dumps(said, indent=1, ensure_ascii=False) + "\n"


Found = tuple[dict[str, Any], list[dict[str, Any]], int, list[dict[str, Any]]]


def _found(folder: Path, asked: FindingsAsked) -> Found:
    """(summary, repeated mistakes that fit, findings that fit, the first of them)."""
    if not is_audit(folder) or not (folder / "findings.parquet").is_file():
        raise UsageError(f"{folder} is not the folder of a finished audit; give the folder named with --out.")
    if asked.grade is not None and asked.grade.casefold() not in GRADES:
        raise UsageError(f"--grade {asked.grade} is none of {', '.join(GRADES)}.")
    summary = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    if asked.rule is not None:
        _check_rule(asked.rule, summary)
    groups = [group for group in summary.get("repeated", ()) if _fits(group, asked)]
    worst = worst_findings(folder / "findings.parquet", max(asked.limit, 1)) if asked == _only(asked.limit) else None
    if worst is not None:
        return (
            summary,
            groups,
            sum(summary["totals"]["findings"].values()),
            worst.table.slice(0, asked.limit).to_pylist(),
        )
    matches = 0
    parts = [FINDINGS_SCHEMA.empty_table()]
    for part in _matching(folder / "findings.parquet", asked):
        matches += pc.sum(part["stands_for"]).as_py()
        parts = [ranked(pa.concat_tables([*parts, part])).slice(0, asked.limit)]
    return summary, groups, matches, parts[0].to_pylist()


def _only(limit: int) -> FindingsAsked:
    return FindingsAsked(limit=limit)


def _fits(group: dict[str, Any], asked: FindingsAsked) -> bool:
    """Whether a repeated mistake is one of those asked for; a single listing has none."""
    return (
        asked.sku is None
        and (asked.supplier is None or asked.supplier.casefold() in group["supplier"].casefold())
        and (asked.rule is None or asked.rule.casefold() == group["rule"])
        and (asked.grade is None or asked.grade.casefold() == group["grade"])
    )


def _group_lines(group: dict[str, Any], words: Wordings) -> list[str]:
    far = how_far(group, words)
    head = f"{group['grade'].upper()} REPEATED {group['count']:,} times"
    whose, place = _one_line(group["supplier"] or group["feed"]), _one_line(where(group, words))
    lines = [head, f"{whose}, {place}: {_one_line(slip(group, words))}"]
    lines += [far[:1].upper() + far[1:]] if far else []
    if group.get("shift"):  # what stands in the cells of such rows belongs elsewhere
        return [*lines, _one_line(group["says"])]
    for one in group["examples"]:
        listing = one.get("sku") or one.get("part_number") or one.get("gtin") or f"record {one['record']}"
        should = f", should be {one['derived']}" if one["derived"] else ""
        lines.append(_one_line(f"{listing}: {one['stated']}{should}"))
    return lines


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
