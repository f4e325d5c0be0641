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

_TEMPLATES = Path(__file__).with_name("templates")
_LONGEST = 160  # characters of a quoted cell
_LINE = 78  # characters


@dataclass(frozen=True, slots=True)
class Letter:
    """What one letter says, before it is put in words.

    `rows` are finding records with a suggestion, worst first and possibly fewer than `corrections`; `columns`
    are entries of the summary's `column_findings`; `cautions` are keys of the wordings' cautions.
    """

    supplier: str
    name: str  # file name stem
    feeds: tuple[str, ...]
    corrections: int
    listings: int
    rows: Sequence[dict[str, Any]]
    columns: Sequence[dict[str, Any]]
    cautions: tuple[str, ...]
    held: bool = False  # whether listings of this supplier are held back


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
    file = f"{letter.name}.csv"
    positions = {
        "supplier": _quoted(letter.supplier) or ", ".join(letter.feeds),
        "corrections": words.number(letter.corrections),
        "listings": words.number(letter.listings),
        "shown": words.number(len(letter.rows)),
        "file": file,
    }
    opening = "opening" if letter.corrections > 1 else "opening_one" if letter.corrections else "opening_columns"
    more = "list_more" if len(letter.rows) < letter.corrections else "list_all"
    return {
        "subject": texts["subject"].format(**positions),
        "greeting": texts["greeting"].format(**positions),
        "opening": texts[opening].format(**positions),
        "holding": texts["holding"] if letter.held else "",
        "closing": texts["closing"],
        "signature": texts["signature"],
        "columns_heading": texts["columns_heading"],
        "columns": [_say_column(column, words) for column in letter.columns],
        "list_heading": texts["list_heading"],
        "list_note": texts[more].format(**positions),
        "rows": [_say_row(row, words) for row in letter.rows],
        "caution_heading": texts["caution_heading"],
        "cautions": [words.cautions[key] for key in letter.cautions] + [words.cautions["all"]],
        "sent": texts["sent"],
        "says": texts["says"],
        "marking": texts["marking"],
        "language": words.language,
    }


def _say_column(column: dict[str, Any], words: Wordings) -> str:
    return words.letter["column_line"].format(
        column=_quoted(column["column"]),
        feed=_quoted(of_feed(column)),
        share=round(100 * column["share"]),
        readable=words.number(column["readable"]),
        cause=words.cause(column["cause"]),
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
        "says": _quoted(row["suggestion"]),
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
    lines = [said["subject"], "=" * min(len(said["subject"]), _LINE), "", said["greeting"], ""]
    lines += [*_wrap(said["opening"]), ""]
    if said["columns"]:
        lines += [said["columns_heading"], "-" * len(said["columns_heading"]), ""]
        lines += [line for text in said["columns"] for line in (*_wrap(text, "- ", "  "), "")]
    if said["rows"]:
        lines += [said["list_heading"], "-" * len(said["list_heading"]), *_wrap(said["list_note"]), ""]
        for number, row in enumerate(said["rows"], 1):
            lines += [*_row_as_text(number, row, said), ""]
    lines += [*_wrap(f"{said['holding']} {said['closing']}".strip()), "", said["signature"], ""]
    lines += [said["caution_heading"], "-" * len(said["caution_heading"])]
    lines += [line for text in said["cautions"] for line in _wrap(text, "- ", "  ")]
    return "\n".join(lines) + "\n"


def _row_as_text(number: int, row: dict[str, Any], said: dict[str, Any]) -> list[str]:
    head = f"{number}. {row['listing']}" + (f"  ({row['record']})" if row["record"] else "")
    field = row["field"] + (f" [{row['column']}]" if row["column"] else "")
    lines = [*_wrap(head, "", "   ")]
    if row["marking"]:
        lines += _wrap(f"{said['marking']}: {row['marking']}", "   ", "   ")
    lines += _wrap(f"{field}: {said['sent']} {row['sent']!s}; {said['says']} {row['says']}", "   ", "   ")
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
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("letter.html.j2")
