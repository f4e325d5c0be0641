"""`auditor substitute OLD NEW`: may one tire stand in for another, point by point, with the cautions."""

from __future__ import annotations

import argparse
import csv
import io
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from auditor.errors import UsageError
from auditor.programs.books import load_book
from auditor.programs.substitution import Substitution, answer_for
from auditor.rulebook.book import MARKETS, RuleBook, choice
from auditor.shell.book_options import say_loosened
from auditor.shell.substitute_words import in_words

EPILOG = """\
The new tire needs the same rim, and a load index, load range and speed symbol
that are the same or higher. Exit code 0: every answer is yes; 1: at least one
is no or cannot be told; 2: wrong usage.

  auditor substitute "225/65R17 102H" "225/65R17 102V"
  auditor substitute --requires "225/65R17 102H" "235/60R18 103H"
  auditor substitute --json --pairs pairs.csv

--pairs reads a CSV file with the columns old and new (and id, if you like), or
JSON: an object, an array, or one object per line, with these members; - is
standard input. With --requires, a file needs the column new alone.

`auditor schema substitute` prints the schema of the JSON."""

_COLUMNS = ("old", "new")


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("markings", nargs="*", metavar="MARKING", help="OLD and NEW; with --requires, each NEW")
    parser.add_argument("--requires", metavar="TEXT", help="what the vehicle's placard asks, such as 225/65R17 102H")
    parser.add_argument("--pairs", metavar="FILE", help="several pairs: CSV or JSON; - is standard input")
    parser.add_argument("--json", action="store_true", help="print JSON: one object for one pair, else an array")
    parser.add_argument("--market", metavar="MARKET", help="which market's rules: US, EU or all")
    parser.add_argument("--rules", metavar="DIR", type=Path, help="a folder of own rules: its tables count")
    parser.add_argument("--policy", metavar="FILE", type=Path, help="a policy file (TOML): its market counts")


def run(options: argparse.Namespace) -> int:
    pairs = list(_pairs(options))
    book = load_book(options.rules, options.policy, None, choice("--market", options.market, MARKETS))
    say_loosened(book)
    found = [_answer(pair, book, options.requires is not None) for pair in pairs]
    if options.json:
        _print_json(pairs, found, single=options.pairs is None and len(pairs) == 1)
    else:
        print("\n\n".join(in_words(one, pair["old"], pair["new"]) for pair, one in zip(pairs, found, strict=True)))
    sys.stdout.flush()
    return 0 if all(one.answer == "yes" for one in found) else 1


def _answer(pair: dict[str, Any], book: RuleBook, required: bool) -> Substitution:
    return answer_for(pair["old"], pair["new"], book, required=required)


def _print_json(pairs: list[dict[str, Any]], found: list[Substitution], *, single: bool) -> None:
    plain = [
        ({"id": pair["id"]} if "id" in pair else {}) | one.as_json() for pair, one in zip(pairs, found, strict=True)
    ]
    print(json.dumps(plain[0] if single else plain, ensure_ascii=False, indent=1))


def _pairs(options: argparse.Namespace) -> Iterator[dict[str, Any]]:
    required, given = options.requires, options.markings
    if options.pairs is not None:
        if given:
            raise UsageError("--pairs names a file of markings; leave out those on the command line.")
        yield from _from_file(options.pairs, required)
    elif required is not None:
        if not given:
            raise UsageError("--requires needs the marking of the tire that is to meet it, such as 225/65R17 102H.")
        for new in given:
            yield {"old": required, "new": new}
    elif len(given) == 2:
        yield {"old": given[0], "new": given[1]}
    else:
        raise UsageError(
            f"substitute compares two markings, OLD and NEW, and got {len(given)}; quote each, as in "
            '"225/65R17 102H", or give several pairs with --pairs.'
        )


def _from_file(name: str, required: str | None) -> Iterator[dict[str, Any]]:
    text = _read(name)
    if not text.strip():
        raise UsageError(f"{_shown(name)} is empty; expected pairs as CSV with the columns old and new, or as JSON.")
    rows = _json_rows(name, text) if text.lstrip()[0] in "[{" else _csv_rows(name, text)
    wanted = _COLUMNS if required is None else _COLUMNS[1:]
    some = False
    for number, row in enumerate(rows, start=1):
        pair = {"old": required} | row if required is not None else row
        for column in wanted:
            if not isinstance(pair.get(column), str) or not pair[column].strip():
                raise UsageError(f"{_shown(name)}: pair {number} has no {column!r}; give a marking as text.")
        if required is not None:
            pair["old"] = required
        some = True
        yield pair
    if not some:
        raise UsageError(f"{_shown(name)} holds no pairs; expected rows below the columns old and new.")


def _json_rows(name: str, text: str) -> list[dict[str, Any]]:
    """The pairs of one JSON document, or of one on each line."""
    rows = _parsed(name, text)
    for number, row in enumerate(rows, start=1):
        if not isinstance(row, dict):
            raise UsageError(f"{_shown(name)}: pair {number} is no JSON object with the members old and new.")
    return rows


def _parsed(name: str, text: str) -> list[Any]:
    try:
        whole = json.loads(text)
        return whole if isinstance(whole, list) else [whole]
    except (ValueError, RecursionError) as error:
        first = error
    rows = []
    for number, line in enumerate(text.splitlines(), start=1):
        try:
            rows += [json.loads(line)] if line.strip() else []
        except (ValueError, RecursionError) as error:
            said = f"line {number} is no JSON ({error})" if rows else f"it is no JSON ({first})"
            raise UsageError(f"{_shown(name)}: {said}; give an object with old and new on each line.") from None
    return rows


def _csv_rows(name: str, text: str) -> list[dict[str, Any]]:
    first = text.split("\n", 1)[0]
    delimiter = max(";\t,", key=first.count)
    reader = csv.DictReader(io.StringIO(text), delimiter=delimiter)
    reader.fieldnames = [(column or "").strip().lower() for column in reader.fieldnames or ()]
    if "new" not in reader.fieldnames:
        raise UsageError(f"{_shown(name)}: the first line names no columns old and new; add them.")
    try:
        return [{key: value for key, value in row.items() if key and value is not None} for row in reader]
    except csv.Error as error:
        raise UsageError(f"{_shown(name)}: line {reader.line_num} is no CSV ({error}).") from error


def _read(name: str) -> str:
    try:
        data = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
    except OSError as error:
        raise UsageError(f"{name} cannot be read ({(error.strerror or str(error)).lower()}).") from error
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise UsageError(f"{_shown(name)} is not UTF-8 (byte {error.start + 1}); save it in UTF-8.") from error


def _shown(name: str) -> str:
    return "Standard input" if name == "-" else name
