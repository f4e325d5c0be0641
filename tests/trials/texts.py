"""Trial sentences: untrue claims found or missed, true and unrelated sentences left alone or accused.

A row gives a title or description, the right marking of its listing, further right fields in `other`, and a verdict:
"false" says something untrue about this tire and must get a finding on the text above minor that names the `right`
value; "true" is right; "other" is about something else.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.trials.both_paths import Findings, Listing, differing, one_by_one
from tests.trials.listings import read

FOLDER = Path(__file__).resolve().parents[1] / "reference"


def files() -> list[Path]:
    """The trial files of the tests."""
    return [FOLDER / "trials" / "texts.jsonl", *sorted((FOLDER / "texts").glob("*.jsonl"))]


def listing_of(row: dict[str, Any]) -> Listing:
    """The listing that a row describes."""
    return {"marking": row["marking"], row["field"]: row["text"], **row.get("other", {})}


@dataclass(slots=True)
class Outcome:
    """What became of one sentence."""

    row: dict[str, Any]
    findings: Findings

    @property
    def untrue(self) -> bool:
        return bool(self.row["verdict"] == "false")

    @property
    def above_minor(self) -> Findings:
        return [one for one in self.findings if one["grade"] != "minor" and one["field"] == self.row["field"]]

    @property
    def found(self) -> bool:
        return bool(self.above_minor)

    @property
    def accused(self) -> bool:
        """Any finding above minor, on whatever field: nothing in the listing is wrong but an untrue text."""
        return any(one["grade"] != "minor" for one in self.findings)

    @property
    def named(self) -> bool:
        """A finding says the right value; a row that names none asks for the contradiction alone."""
        wanted = [_plain(text) for text in str(self.row.get("right", "")).split("|")]
        said = [_plain(f"{one['derived']} | {one['suggestion']} | {one['message']}") for one in self.above_minor]
        return any(_holds(text, one) for text in said for one in wanted)


def _plain(text: str) -> str:
    text = re.sub(r"(?<=\d)[,.\s\u00a0\u202f'](?=\d{3}\b)", "", text.lower())
    return re.sub(r"(?<=\d),(?=\d)", ".", text)


def _holds(text: str, wanted: str) -> bool:
    number = re.match(r"\d+(?:\.\d+)?", wanted)
    if number is None:
        return wanted.replace("-", " ") in text.replace("-", " ")
    value = float(number[0])
    return any(abs(float(one) - value) < 0.51 for one in re.findall(r"\d+(?:\.\d+)?", text))


def measure(rows: list[dict[str, Any]]) -> list[Outcome]:
    """Audits the sentences, each beside its marking."""
    found = one_by_one([listing_of(row) for row in rows])
    return [Outcome(row, findings) for row, findings in zip(rows, found, strict=True)]


def report(outcomes: list[Outcome], details: bool) -> str:
    """Recall, named values and false alarms, by language, kind and verdict."""
    lines = [
        *_table("language", "lang", outcomes),
        "",
        *_table("kind", "kind", [one for one in outcomes if one.untrue]),
        "",
        *_table("accused kinds", "kind", [one for one in outcomes if not one.untrue and one.accused]),
    ]
    lines += ["", *_pairs(outcomes)]
    rules = Counter(f["rule"] for one in outcomes if not one.untrue for f in one.findings if f["grade"] != "minor")
    lines += ["", "accused by rule", *(f"  {count:4} {name}" for name, count in rules.most_common())]
    rows = [listing_of(one.row) for one in outcomes]
    apart = differing(rows)
    lines += ["", f"the two paths differ on {len(apart)} of {len(rows)}"]
    if details:
        lines += ["", "MISSED", *(_detail(one) for one in outcomes if one.untrue and not one.found)]
        lines += ["", "NOT NAMED", *(_detail(one) for one in outcomes if one.untrue and one.found and not one.named)]
        lines += ["", "ACCUSED", *(_detail(one) for one in outcomes if not one.untrue and one.accused)]
        lines += ["", "THE PATHS DIFFER", *(_detail(outcomes[number]) for number in apart)]
    return "\n".join(lines)


def _table(title: str, by: str, outcomes: list[Outcome]) -> Iterable[str]:
    yield f"{title:16} untrue  found          named    right/other  accused"
    groups = ["all", *sorted({str(one.row[by]) for one in outcomes})]
    for group in groups:
        some = [one for one in outcomes if group in ("all", one.row[by])]
        untrue, fine = [one for one in some if one.untrue], [one for one in some if not one.untrue]
        found = sum(one.found for one in untrue)
        named = sum(one.found and one.named for one in untrue)
        accused = sum(one.accused for one in fine)
        yield (
            f"{group:16} {len(untrue):6} {found:6} {_share(found, len(untrue))} {named:6}"
            f"       {len(fine):6}  {accused:6} {_share(accused, len(fine))}"
        )


def pairs(outcomes: list[Outcome]) -> list[bool]:
    """Whether each near-miss pair is right on both sides: the same words of this tire, and of another."""
    of: dict[tuple[str, str], list[Outcome]] = {}
    for one in outcomes:
        if key := one.row.get("pair"):
            of.setdefault((re.split(r"\d", one.row["id"])[0], str(key)), []).append(one)
    both = [members for members in of.values() if len({one.untrue for one in members}) == 2]
    return [all(one.found if one.untrue else not one.accused for one in members) for members in both]


def _pairs(outcomes: list[Outcome]) -> Iterable[str]:
    yield "near-miss pairs  right on both sides"
    for group in ["all", *sorted({str(one.row["lang"]) for one in outcomes})]:
        right = pairs([one for one in outcomes if group in ("all", one.row["lang"])])
        yield f"{group:16} {sum(right):6} of {len(right):4} {_share(sum(right), len(right))}"


RESULTS = Path(__file__).with_name("RESULTS.md")
_MARKS = ("<!-- figures: written by python -m tests.trials texts --write -->", "<!-- end of figures -->")


def write_results(outcomes: list[Outcome]) -> None:
    """Puts the figures into the page that keeps them."""
    before, rest = RESULTS.read_text("utf-8").split(_MARKS[0])
    after = rest.split(_MARKS[1])[1]
    lines = ["", *_page_table("language", "lang", outcomes), "", *_page_table("kind", "kind", outcomes), ""]
    RESULTS.write_text(before + _MARKS[0] + "\n".join(lines) + _MARKS[1] + after, "utf-8")


def _page_table(title: str, by: str, outcomes: list[Outcome]) -> Iterable[str]:
    yield f"| {title} | untrue | found | right value named | right or other | accused | pairs | right on both sides |"
    yield "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: |"
    for group in ["all", *sorted({str(one.row[by]) for one in outcomes})]:
        some = [one for one in outcomes if group in ("all", one.row[by])]
        untrue, fine = [one for one in some if one.untrue], [one for one in some if not one.untrue]
        found, right = [one for one in untrue if one.found], pairs(some)
        shares = [(len(found), len(untrue)), (sum(one.named for one in found), len(found))]
        told = " | ".join(_share(*share).strip() for share in shares)
        accused = _share(sum(one.accused for one in fine), len(fine)).strip()
        both = _share(sum(right), len(right)).strip()
        yield f"| {group} | {len(untrue)} | {told} | {len(fine)} | {accused} | {len(right)} | {both} |"


def _share(part: int, whole: int) -> str:
    return f"{100 * part / whole:5.1f} %" if whole else "      -"


def _detail(one: Outcome) -> str:
    said = "; ".join(f"{f['grade']} {f['rule']} in {f['field']}: {f['message']}" for f in one.findings) or "nothing"
    about = {name: one.row[name] for name in ("wrong", "right", "other") if name in one.row}
    row = one.row
    head = f"{row['id']} {row['lang']} {row['verdict']} {row['kind']} [{row['marking']}] {row['field']}"
    return f"{head}: {row['text']}\n    {json.dumps(about, ensure_ascii=False)}\n    -> {said}"


__all__ = ["files", "measure", "read", "report"]
