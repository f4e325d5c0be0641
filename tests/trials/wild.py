"""Texts as shops write them: each fact read right, left unread or read wrong, by `decode` and as a listing's title.

A row gives a text and the facts that it states (`expect`): null where it says nothing, `refuse` where it is no tire's
marking.  A fact read where nothing is said is wrong too; a field that a row leaves out is not judged.  The file is for
measuring; it is not among the tests' own.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import auditor
from auditor.marking import Marking
from auditor.trade.derive import derive

FIELDS = (
    "load_index",
    "load_index_dual",
    "speed_symbol",
    "rim_in",
    "width_mm",
    "aspect",
    "diameter_mm",
    "load_range",
    "ply_rating",
    "load_version",
)
DANGEROUS = FIELDS[:4]
Facts = dict[str, Any]


@dataclass(slots=True)
class Outcome:
    """What became of one text, read directly and as the title of a listing that gives nothing else."""

    row: dict[str, Any]
    decoded: Facts | None
    titled: Facts | None

    @property
    def refuse(self) -> bool:
        """Whether the text is about something else and has to stay unread."""
        return bool((self.row["expect"] or {}).get("refuse"))

    def grade(self, name: str, found: Facts | None) -> str:
        """right, unread or wrong."""
        got = None if found is None else found[name]
        if name not in self.row["expect"] or _same(self.row["expect"][name], got):
            return "right"
        if found is not None and _says_so(name, self.row["expect"][name], found):
            return "right"
        return "unread" if got is None else "wrong"

    def grades(self, found: Facts | None) -> dict[str, str]:
        return {name: self.grade(name, found) for name in FIELDS}


def _says_so(name: str, wanted: Any, found: Facts) -> bool:
    """Whether a reading that differs says the same: a symbol in the size (`165SR13`), a width in inches."""
    if name == "speed_symbol":
        return found["speed_symbol"] is None and wanted == found["old_symbol"]
    return name == "width_mm" and wanted is None and found["width_in"] is not None


def _same(wanted: Any, got: Any) -> bool:
    if isinstance(wanted, int | float) and isinstance(got, int | float):
        return abs(wanted - got) < 0.06
    return bool(wanted == got)


def facts_of(marking: Marking | None) -> Facts | None:
    """The facts of a marking under the names of the trial file; None for a text that was not read."""
    if marking is None:
        return None
    derived = derive(marking)
    overall = marking.overall_diameter_mm_marked
    if marking.overall_diameter_in is not None:
        overall = marking.overall_diameter_in * 25.4
    return {
        "width_mm": derived.section_width_mm,
        "width_in": marking.section_width_in,
        "aspect": marking.aspect_ratio,
        "rim_in": marking.rim_diameter_in,
        "diameter_mm": overall,
        "load_index": marking.service.load_index,
        "load_index_dual": marking.service.load_index_dual,
        "speed_symbol": marking.service.speed_symbol,
        "old_symbol": marking.size_speed_letter,
        "load_range": marking.load_range,
        "ply_rating": marking.ply_rating,
        "load_version": marking.load_version,
    }


def _decoded(text: str) -> Facts | None:
    found = auditor.decode(text)
    return facts_of(found if isinstance(found, Marking) else None)


def _titled(text: str) -> Facts | None:
    return facts_of(auditor.audit_listing({"title": text}).decoded)


def measure(rows: list[dict[str, Any]]) -> list[Outcome]:
    """Reads every text both ways."""
    return [Outcome(row, _decoded(row["text"]), _titled(row["text"])) for row in rows]


def report(outcomes: list[Outcome], details: bool) -> str:
    """Right, unread and wrong by field, what is wrong on load, speed and rim first."""
    lines = [f"{len(outcomes)} texts"]
    for name, found_of in _WAYS.items():
        lines += ["", *_table(name, outcomes, found_of)]
    apart = [one for one in outcomes if one.decoded != one.titled]
    lines += ["", f"decode and title differ on {len(apart)}"]
    lines += [f"  {one.row['id']} {one.row['text']!r}" for one in apart] if details else []
    if details:
        for name, found_of in _WAYS.items():
            lines += ["", f"{name}: not right", *_details(outcomes, found_of)]
    return "\n".join(lines)


_WAYS: dict[str, Callable[[Outcome], Facts | None]] = {
    "decode": lambda one: one.decoded,
    "title": lambda one: one.titled,
}


def _table(name: str, outcomes: list[Outcome], found_of: Callable[[Outcome], Facts | None]) -> list[str]:
    tires = [one for one in outcomes if not one.refuse]
    others = [one for one in outcomes if one.refuse]
    whole = [one for one in tires if set(one.grades(found_of(one)).values()) == {"right"}]
    danger = [one for one in tires if "wrong" in [one.grade(field, found_of(one)) for field in DANGEROUS]]
    danger += [one for one in others if found_of(one) is not None]
    lines = [f"{name}: wrong on load, speed or rim: {len(danger)}"]
    lines += [f"  {one.row['id']} {one.row['text']!r}" for one in danger]
    lines += [f"{name}: right in every field {len(whole)} of {len(tires)}"]
    lines += [f"{name}: no tire, left unread {sum(found_of(one) is None for one in others)} of {len(others)}"]
    lines += [f"{'field':16} {'right':>6} {'unread':>6} {'wrong':>6}"]
    for field in FIELDS:
        counts = Counter(one.grade(field, found_of(one)) for one in tires)
        lines.append(f"{field:16} {counts['right']:6} {counts['unread']:6} {counts['wrong']:6}")
    return lines


def _details(outcomes: list[Outcome], found_of: Callable[[Outcome], Facts | None]) -> list[str]:
    lines = []
    for one in outcomes:
        found = found_of(one)
        if one.refuse:
            lines += [f"{one.row['id']} READ {one.row['text']!r}"] if found is not None else []
            continue
        bad = {field: grade for field, grade in one.grades(found).items() if grade != "right"}
        if bad:
            wanted = one.row["expect"]
            said = ", ".join(
                f"{field} {grade} {'' if found is None else found[field]} for {wanted.get(field)}"
                for field, grade in sorted(bad.items(), key=lambda item: (item[1] != "wrong", FIELDS.index(item[0])))
            )
            lines.append(f"{one.row['id']} {one.row['lang']} {one.row['text']!r}: {said}")
    return lines
