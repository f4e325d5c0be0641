"""Letters to suppliers, as text and as HTML, in every language there is a file of wordings for."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import jinja2

from auditor.outputs.languages import Wordings
from auditor.outputs.repeated import how_far, slip
from auditor.outputs.templates import templates_in

_TEMPLATES = Path(__file__).with_name("templates")
_LONGEST = 160  # characters of a quoted cell
_LINE = 78  # characters


@dataclass(frozen=True, slots=True)
class Letter:
    """What one letter says, before it is put in words.

    `rows` are finding records by what they ask, worst first and possibly fewer than `counts`; `groups` are entries of
    the summary's `repeated`; `cautions` are keys of the wordings' cautions.
    """

    supplier: str
    name: str  # file name stem
    feeds: tuple[str, ...]
    counts: Mapping[str, int]
    alone: Mapping[str, int]  # of these, those that belong to no group
    listings: int
    rows: Mapping[str, Sequence[dict[str, Any]]]
    groups: Sequence[dict[str, Any]]
    groups_in_all: int
    cautions: tuple[str, ...]
    held: bool = False  # whether listings of this supplier are held back
    night: str = ""  # ISO date
    signed: str = ""  # who writes
    asked_before: tuple[int, int, str] | None = None  # how many points, on how many nights at most, the first of them


def write_letters(folder: Path, letter: Letter, wordings: Sequence[Wordings]) -> None:
    """Writes `<name>.<language>.txt` and `<name>.<language>.html` for every language."""
    for words in wordings:
        said = _say(letter, words)
        stem = f"{letter.name}.{words.language}"
        (folder / f"{stem}.txt").write_text(_as_text(said), encoding="utf-8", errors="replace", newline="\n")
        html = _template().render(said, words=words)
        (folder / f"{stem}.html").write_text(html, encoding="utf-8", errors="replace", newline="\n")


def of_feed(row: Mapping[str, Any]) -> str:
    """The feed a row is of, and its sheet where the feed is a workbook: the supplier has to find the cell."""
    return f"{row['feed']} [{row['sheet']}]" if row.get("sheet") else str(row["feed"])


def _say(letter: Letter, words: Wordings) -> dict[str, Any]:
    """Puts a letter in words: plain texts by place, shared by both forms."""
    texts = words.letter
    positions = {
        "supplier": _quoted(letter.supplier) or ", ".join(map(_quoted, letter.feeds)),
        "listings": words.number(letter.listings),
        "file": f"{letter.name}.csv",
    }
    lists = [_say_list(letter, ask, words, positions) for ask in ("correct", "confirm", "spelling")]
    more = letter.groups_in_all - len(letter.groups)
    return {
        "subject": texts["subject"].format(**positions),
        "date": words.date(letter.night),
        "greeting": texts["greeting"],
        "opening": texts["opening"].format(**positions) + _asked_before(letter.asked_before, words),
        "groups_heading": texts["groups_heading"],
        "groups": [_say_group(group, words, positions) for group in letter.groups],
        "groups_more": texts["groups_more"].format(more=words.number(more), **positions) if more else "",
        "lists": [one for one in lists if one["rows"] or one["count"]],
        "file_note": texts["file_note"].format(**positions),
        "holding": texts["holding"] if letter.held else "",
        "closing": texts["closing"],
        "signature": texts["signature"],
        "signed": letter.signed,
        "caution_heading": texts["caution_heading"],
        "cautions": [words.cautions[key] for key in letter.cautions] + [words.cautions["all"]],
        "marking": texts["marking"],
        "language": words.language,
    }


def _asked_before(before: tuple[int, int, str] | None, words: Wordings) -> str:
    """How much of something is asked again, behind the sentence that tells what it is."""
    if before is None:
        return ""
    count, nights, first = before
    said = words.letter["asked_before_once" if nights == 1 else "asked_before"]
    return " " + said.format(count=words.number(count), nights=words.number(nights), date=words.date(first))


def _say_list(letter: Letter, ask: str, words: Wordings, positions: dict[str, str]) -> dict[str, Any]:
    """Single values that are to be corrected, confirmed, or written otherwise."""
    texts, rows, count = words.letter, letter.rows[ask], letter.alone[ask]
    note = texts["list_more" if len(rows) < count else "list_all"]
    return {
        "ask": ask,
        "heading": texts[f"{ask}_heading"],
        "note": texts[f"{ask}_note"],
        "more": note.format(shown=words.number(len(rows)), count=words.number(count), **positions),
        "says": texts["marking_says" if ask == "confirm" else "says"],
        "sent": texts["sent"],
        "count": count,
        "rows": [_say_row(row, words) for row in rows],
    }


def _say_group(group: dict[str, Any], words: Wordings, positions: dict[str, str]) -> dict[str, Any]:
    texts = words.letter
    said = slip(group, words)
    about = {
        "column": _quoted(group["column"]) or words.field(group["field"]),
        "field": words.field(group["field"]),
        "feed": _quoted(of_feed(group)),
        "slip": said[:1].upper() + said[1:],
        "count": words.number(group["count"]),
        "far": how_far(group, words),
    }
    shift = group.get("shift")
    if shift:
        records = {name: words.number(shift[f"{name}_record"]) for name in ("first", "last")}
        about |= {"column": _quoted(shift["column"]), "way": texts[f"shift_{shift['way']}"], **records}
    line = "shift_line" if shift else "group_line" if about["far"] else "group_line_plain"
    return {
        "paragraph": texts[line].format(**about, **positions) + _asked_before(asked_before(group), words),
        "examples": [_say_example(one, words, "example_shift" if shift else "") for one in group["examples"]],
    }


def asked_before(row: Mapping[str, Any]) -> tuple[int, int, str] | None:
    """Points that were in earlier letters, where a ledger knows: how many, on how many nights, the first of them.

    `row` is a supplier's or a repeated mistake's entry in the summary.
    """
    states, first = row.get("states"), row.get("since") or row.get("first_night")
    count = states["standing"] + states["asked"] if states else 0
    return (count, row["nights_before"], first) if count and first and row["nights_before"] else None


def _say_example(one: dict[str, Any], words: Wordings, line: str) -> str:
    listing = next((_quoted(one[name]) for name in ("sku", "part_number", "gtin") if one.get(name)), "")
    listing = listing or words.letter["record"].format(record=one["record"], feed="").strip()
    line = line or ("example_line" if one["derived"] else "example_line_plain")
    return words.letter[line].format(
        listing=listing, sent=_quoted(one["stated"]), says=_quoted(one["derived"]), marking=_quoted(one.get("marking"))
    )


def _say_row(row: dict[str, Any], words: Wordings) -> dict[str, Any]:
    record = words.letter["record"].format(record=row["record"], feed=_quoted(of_feed(row)))
    listing = next((_quoted(row[name]) for name in ("sku", "part_number", "gtin") if row[name]), "")
    cause = row["likely_cause"]
    return {
        "listing": listing or record,
        "record": record if listing else "",
        "field": words.field(row["field"]),
        "column": _quoted(row["column"]),
        "sent": _quoted(row["stated"]),
        "says": _quoted(row["suggestion"] or row["derived"]),
        "marking": _quoted(row["marking"]),
        "grade": row["grade"],
        "why": words.reason(row["rule"]),
        "cause": words.cause(cause) if cause and cause != "unclear" else "",
    }


def _quoted(text: str | None) -> str:
    """A supplier's text on one line, without control characters, shortened."""
    text = text or ""
    if not text.isprintable():
        text = "".join(char if char.isprintable() else " " for char in text)
    clean = " ".join(text.split())
    return clean if len(clean) <= _LONGEST else clean[: _LONGEST - 1] + "…"


def _as_text(said: dict[str, Any]) -> str:
    lines = [said["subject"], "=" * min(len(said["subject"]), _LINE), ""]
    lines += [said["date"], ""] if said["date"] else []
    lines += [said["greeting"], "", *_wrap(said["opening"]), ""]
    if said["groups"]:
        lines += _underlined(said["groups_heading"])
        for number, group in enumerate(said["groups"], 1):
            lines += [*_wrap(group["paragraph"], f"{number}. ", "   ")]
            lines += [line for example in group["examples"] for line in _wrap(example, "   - ", "     ")]
            lines += [""]
        lines += [*_wrap(said["groups_more"]), ""] if said["groups_more"] else []
    for one in said["lists"]:
        lines += [*_underlined(one["heading"])[:-1], *_wrap(one["note"]), *_wrap(one["more"]), ""]
        for number, row in enumerate(one["rows"], 1):
            lines += [*_row_as_text(number, row, one, said["marking"]), ""]
    lines += [*_wrap(said["file_note"]), "", *_wrap(f"{said['holding']} {said['closing']}".strip()), ""]
    lines += [
        said["signature"],
        *([said["signed"]] if said["signed"] else []),
        "",
        *_underlined(said["caution_heading"]),
    ]
    lines += [line for text in said["cautions"] for line in _wrap(text, "- ", "  ")]
    return "\n".join(lines) + "\n"


def _underlined(heading: str) -> list[str]:
    return [heading, "-" * len(heading), ""]


def _row_as_text(number: int, row: dict[str, Any], one: dict[str, Any], marking: str) -> list[str]:
    head = f"{number}. {row['listing']}" + (f"  ({row['record']})" if row["record"] else "")
    field = row["field"] + (f" [{row['column']}]" if row["column"] else "")
    lines = [*_wrap(head, "", "   ")]
    if row["marking"]:
        lines += _wrap(f"{marking}: {row['marking']}", "   ", "   ")
    says = f"; {one['says']} {row['says']}" if row["says"] else ""
    lines += _wrap(f"{field}: {one['sent']} {row['sent']}{says}", "   ", "   ")
    why = row["why"] + (f" ({row['cause']})" if row["cause"] else "")
    return [*lines, *_wrap(why, "   ", "   ")]


@lru_cache(2_000)  # the same reasons stand in all letters of a language
def _wrap(text: str, first: str = "", later: str = "") -> tuple[str, ...]:
    if text and len(first) + len(text) <= _LINE and text.isprintable():  # most are short, and wrapping takes its time
        return (first + text.rstrip(" "),)
    wrapped = textwrap.wrap(text, _LINE, initial_indent=first, subsequent_indent=later, break_on_hyphens=False)
    return tuple(wrapped)


@cache
def _template() -> jinja2.Template:
    return templates_in(_TEMPLATES).get_template("letter.html.j2")
