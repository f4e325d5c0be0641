"""The workbook's sheet of repeated mistakes, and findings in words instead of ids."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pyarrow as pa
from xlsxwriter.worksheet import Worksheet

from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.languages import load_wordings
from auditor.outputs.repeated import how_far, slip, where
from auditor.outputs.workbook.rows import CELL_LONGEST, READ, STATES
from auditor.outputs.workbook.styles import Styles

_HEADINGS = (
    *(("Grade", 10), ("Supplier", 26), ("Column", 20), ("What happened", 44), ("Listings", 10), ("Share", 9)),
    *(("How far off", 36), ("Example 1", 40), ("Example 2", 40), ("Example 3", 40), ("Feed", 26), ("Finds", 36)),
    ("Key", 26),
)


def write_groups(sheet: Worksheet, audit: FinishedAudit, styles: Styles) -> None:
    """Every repeated mistake of the summary, worst first."""
    words = load_wordings("en")
    for position, (heading, width) in enumerate(_HEADINGS):
        sheet.set_column(position, position, width)
        sheet.write_string(0, position, heading, styles.heading)
    sheet.freeze_panes(1, 2)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    groups = audit.summary["repeated"]
    for row, group in enumerate(groups, 1):
        examples = [group["says"]] if group.get("shift") else [_example(one) for one in group["examples"]]
        card = audit.rules.get(group["rule"])
        sheet.write_string(row, 0, group["grade"], styles.grades[group["grade"]])
        texts = {1: group["supplier"] or group["feed"], 2: where(group, words)}
        texts |= {3: slip(group, words), 6: how_far(group, words), 10: group["feed"], 12: group["key"]}
        texts |= {11: card.title if card else group["rule"], **dict(enumerate(examples, 7))}
        for position, text in texts.items():
            sheet.write_string(row, position, _safe(text), styles.wrapped)
        sheet.write_number(row, 4, group["count"], styles.number)
        if group["share"] is not None:
            sheet.write_number(row, 5, group["share"], styles.percent)
    sheet.autofilter(0, 0, max(len(groups), 1), len(_HEADINGS) - 1)


def _example(one: Mapping[str, Any]) -> str:
    listing = one.get("sku") or one.get("part_number") or one.get("gtin") or f"record {one['record']}"
    should = f", should be {one['derived']}" if one["derived"] else ""
    return f"{listing}: {one['stated']}{should} ({one.get('marking') or 'no marking'})"


def _safe(text: str) -> str:
    """A text as a cell takes it: short enough, and no formatted text in the library's eyes."""
    text = text[:CELL_LONGEST]
    return f"{text} " if text.startswith("<r>") and text.endswith("</r>") else text


def in_words(table: pa.Table, audit: FinishedAudit) -> pa.Table:
    """Findings with the words of rules, fields and causes in place of their ids."""
    words = load_wordings("en")
    known = {
        "rule": {rule.id: rule.title for rule in audit.rules.values()},
        "field": words.fields,
        "likely_cause": {**words.causes, "unclear": ""},
    }
    for name, said in known.items():
        encoded = table[name].combine_chunks().dictionary_encode()
        texts = pa.array([said.get(one, one) for one in encoded.dictionary.to_pylist()], pa.string())
        table = table.set_column(table.schema.get_field_index(name), name, texts.take(encoded.indices))
    return table.select([*READ, *(name for name, _, _ in STATES if name in table.column_names)])
