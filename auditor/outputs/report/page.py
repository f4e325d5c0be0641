"""`report.html`: the file a merchandiser opens in the morning.  One page, no network; same audit, same bytes."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import jinja2
import markupsafe

from auditor.errors import OutputError
from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.headline import (
    decisions_in_words,
    deliveries_in_words,
    grade_of_rule,
    in_one_sentence,
    safety_loosened,
    states_in_words,
    unread_first,
)
from auditor.outputs.languages import load_wordings
from auditor.outputs.report.data import ROW, findings_data, script_json, shorten
from auditor.outputs.report.first_screen import (
    dangerous,
    groups_shown,
    next_step,
    night_in_words,
    not_told_by_subject,
    suppliers_ranked,
)
from auditor.outputs.report.marking_parts import parts_of
from auditor.outputs.report.offers import offers_told
from auditor.outputs.report.pictures import (
    OTHERS,
    bars_of_load_deviation,
    curves_of_index_confusions,
    percent_of,
    rings_by_supplier_and_subject,
)
from auditor.outputs.report.trends import trends_shown
from auditor.outputs.states import counted, leads_with_new, new_among
from auditor.outputs.templates import templates_in
from auditor.outputs.workbook.overview import CAUTIONS
from auditor.outputs.worst_findings import WorstFindings, worst_findings
from auditor.rulebook.finding import GRADES

DANGEROUS_SHOWN = 5
GROUPS_OPEN = 5
SUPPLIERS_OPEN = 12  # the others stand folded below
RULES_OPEN = 10
SUPPLIERS_MOST = 400  # beyond it a page would grow past what mail carries; summary.json has all
FEEDS_OPEN = 60  # feeds whose columns are listed
FEEDS_MOST = 600
# Characters that turn the direction of a text or are not seen at all: shown as marks, for a text could look like
# another one, and the page would say what nobody wrote.
_MARKS = {code: f"[U+{code:04X}]" for code in (0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A))}
_TEMPLATES = Path(__file__).with_name("templates")


def write_report(audit: FinishedAudit, letters: Mapping[str, str] | None = None) -> Path:
    """Writes `report.html`.

    Counts and pictures are over all findings, from the summary.  The list shows the worst and says so.
    `letters` maps a supplier to the file stem of its corrections, to link them.
    """
    worst = audit.worst or worst_findings(audit.findings)
    html = _environment().get_template("report.html.j2").render(_context(audit, worst, letters or {}))
    html = html.translate(_MARKS)
    path = audit.folder / "report.html"
    try:
        path.write_text(html, encoding="utf-8", errors="replace", newline="\n")
    except OSError as error:
        raise OutputError(f"{path} could not be written ({error}); make room and run again.") from error
    return path


def _data(
    audit: FinishedAudit, worst: WorstFindings, groups: list[dict[str, Any]], letters: Mapping[str, str]
) -> dict[str, Any]:
    """What the page's script works on."""
    summary, words = audit.summary, load_wordings("en")
    markings = {marking for marking in worst.table["marking"].to_pylist() if marking}
    data = findings_data(
        worst.table,
        audit.details,
        {marking: parts for marking in sorted(markings) if (parts := parts_of(marking))},
        {
            rule.id: {
                "title": rule.title,
                "why": rule.why,
                "source": rule.source,
                "subject": rule.subject,
                "unverified": "unverified" in rule.counted_in,
                "loads": "load-deviation" in rule.counted_in,
                "indices": "index-confusions" in rule.counted_in,
                "whole": rule.whole_column,
            }
            for rule in sorted(audit.rules.values(), key=lambda rule: rule.order)
        },
        {"fields": words.fields, "causes": words.causes},
        offers=audit.offers,
    )
    return {
        **data,
        "groups": groups,
        "totals": _totals(summary, groups),
        "letters": dict(letters),
        "night": summary["night"],
        "leads_with_new": leads_with_new(summary),
        "steps": [percent_of(step["from"]) for step in summary["load_deviation"]],
        "held": held_grades(summary),
        "found": sum(summary["totals"]["findings"].values()),
    }


def _context(audit: FinishedAudit, worst: WorstFindings, letters: Mapping[str, str]) -> dict[str, Any]:
    summary, words = audit.summary, load_wordings("en")
    script = "\n".join((_TEMPLATES / name).read_text(encoding="utf-8") for name in ("decisions.js", "report.js"))
    groups = groups_shown(summary, words, audit.rules, letters)
    subjects = list(dict.fromkeys(rule.subject for rule in sorted(audit.rules.values(), key=lambda rule: rule.order)))
    data = _data(audit, worst, groups, letters)
    return {
        "summary": summary,
        "groups": groups,
        "fresh_in_all": _fresh_in_all(audit),
        "groups_open": GROUPS_OPEN,
        "night": night_in_words(summary),
        "sentence": in_one_sentence(summary),
        "next_step": next_step(summary, groups),
        "unread": unread_first(summary),
        "states": states_in_words(summary),
        "state_counts": counted(summary),
        "leads_with_new": leads_with_new(summary),
        "night_before": summary.get("night_before"),
        "deliveries": deliveries_in_words(summary),
        "decided": decisions_in_words(summary),
        "trends": trends_shown(summary),
        "loosened": safety_loosened(summary["loosened_safety"]),
        "dangerous": dangerous(worst, words, groups),
        "dangerous_shown": DANGEROUS_SHOWN,
        "offers": offers_told(summary, worst, audit.rules),
        "worst": worst,
        "found_in_all": data["found"],
        "shown": sum(row[ROW.index("stands_for")] for row in data["rows"]),
        "letters": letters,
        "suppliers": suppliers_ranked(summary, letters),
        "suppliers_open": SUPPLIERS_OPEN,
        "suppliers_most": SUPPLIERS_MOST,
        "feeds_open": FEEDS_OPEN,
        "feeds_most": FEEDS_MOST,
        "rules": _rules(summary, audit),
        "rules_open": RULES_OPEN,
        "causes": _counted(summary["by_cause"], words.causes),
        "fields": _counted(summary["by_field"], words.fields),
        "not_told": _not_told(summary),
        "not_told_subjects": not_told_by_subject(summary, audit.rules),
        "unverified": summary["unverified_listings"],
        "rings": rings_by_supplier_and_subject(summary["by_subject_supplier"], subjects),
        "bars": bars_of_load_deviation(summary["load_deviation"]),
        "others": OTHERS,
        "curves": curves_of_index_confusions(summary["index_confusions"]),
        "pairs": summary["index_confusions"],
        "grades": GRADES,
        "words": words,
        "cautions": CAUTIONS,
        "data": markupsafe.Markup(script_json(data)),
        "style": markupsafe.Markup((_TEMPLATES / "report.css").read_text(encoding="utf-8")),
        "script": markupsafe.Markup(script),
        "script_hash": base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
        "lettering": _lettering(worst),
    }


def _fresh_in_all(audit: FinishedAudit) -> int:
    """How many repeated mistakes have something new in them; all of them where no night was before."""
    if not audit.summary.get("night_before"):
        return int(audit.summary["repeated_in_all"])
    return sum(new_among(group) > 0 for group in audit.repeated)


def _totals(summary: Mapping[str, Any], groups: list[dict[str, Any]]) -> dict[str, dict[str, int]]:
    """How many findings there are in all of what one filter chooses: the page lists some of them."""
    return {
        "grade": summary["totals"]["findings"],
        "rule": {name: row["findings"] for name, row in summary["by_rule"].items()},
        "supplier": {name: sum(row[grade] for grade in GRADES) for name, row in summary["by_supplier"].items()},
        "field": summary["by_field"],
        "cause": summary["by_cause"],
        "group": {group["key"]: group["count"] for group in groups},
        "state": counted(summary),
        "pair": {f"{pair['derived']}>{pair['stated']}": pair["count"] for pair in summary["index_confusions"]},
        "off": {str(percent_of(step["from"])): step["count"] for step in summary["load_deviation"]},
    }


def held_grades(summary: Mapping[str, Any]) -> list[str]:
    """The grades that hold a listing."""
    return list(GRADES[: GRADES.index(summary["hold_from"]) + 1])


def _not_told(summary: Mapping[str, Any]) -> list[tuple[str, int]]:
    """Rules that could not tell, those of most listings first."""
    told = ((rule, count) for rule, count in summary["could_not_tell"].items() if count)
    return sorted(told, key=lambda item: (-item[1], item[0]))


def _rules(summary: Mapping[str, Any], audit: FinishedAudit) -> list[dict[str, Any]]:
    rows = []
    for name, row in summary["by_rule"].items():
        card = audit.rules.get(name)
        if row["findings"]:
            rows.append(
                {
                    "id": name,
                    "title": card.title if card else name,
                    "why": card.why if card else "",
                    "order": card.order if card else len(audit.rules),
                    **row,
                    "grade": grade_of_rule(name, summary, audit.rules),
                }
            )
    return sorted(rows, key=lambda row: (GRADES.index(row["grade"]), -row["findings"], row["order"]))


def _counted(counts: Mapping[str, int], names: Mapping[str, str]) -> list[tuple[str, str, int]]:
    ranked = sorted(((name, count) for name, count in counts.items() if count), key=lambda item: (-item[1], item[0]))
    return [(name, names.get(name, name or "none given"), count) for name, count in ranked]


def _lettering(worst: WorstFindings) -> str:
    """The marking on the page's sidewall: that of the worst finding, or a well-known shape of one."""
    for marking in worst.table.slice(0, 50)["marking"].to_pylist():
        if marking and len(marking) <= 28:
            return str(marking)
    return "225/65R17 102H"


def _environment() -> jinja2.Environment:
    environment = templates_in(_TEMPLATES)
    environment.filters["short"] = lambda text: shorten(text or "")
    environment.filters["at"] = lambda number: f"{number:.1f}".removesuffix(".0")
    return environment
