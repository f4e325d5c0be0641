"""What the report's list of findings carries: compact rows over one table of texts, small enough to mail."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import pyarrow as pa

from auditor.outputs.audit_result import ListingDetail, OfferEnds
from auditor.rulebook.finding import GRADES

TEXT_LONGEST = 600  # characters shown of one cell
MOST_BYTES = 1_900_000  # of the data in the page; the whole page stays below 3 MB

# The size is what stands before the service description or the letters: `225/65R17` of `225/65R17 102H XL`.
_SIZE = re.compile(r"^(.*?\d(?:LT|C)?)(?=\s+(?:\(?\d{1,3}(?:/\d{1,3})?[A-Z]|[A-Z]{1,4}\b|\d+PR|M/C)|\s*$)")

ROW = (
    "key",
    "grade",
    "rule",
    "field",
    "column",
    "supplier",
    "sku",
    "part_number",
    "gtin",
    "feed",
    "sheet",
    "record",
    "stated",
    "derived",
    "deviation",
    "marking",
    "size",
    "brand",
    "title",
    "evidence",
    "likely_cause",
    "suggestion",
    "message",
    "stands_for",
    "detail",
    "tie",
    "state",
    "first_night",
)
_PLACES = ("record", "deviation", "stands_for", "detail", "tie")
_PLAIN = re.compile(r"[ !#-%'-;=?-\[\]-~]*")  # stands in the page as it is, a byte for a character
_NUMBERS = [(at, name) for at, name in enumerate(ROW) if name in _PLACES]
_TEXTS = [name for name in ROW if name not in _PLACES]


class _Texts:
    """Every distinct text once; rows hold places in this list."""

    def __init__(self) -> None:
        self.positions: dict[str, int] = {"": 0}
        self.bytes = 0

    def position(self, text: str | None) -> int:
        position = self.positions.get(text or "")
        return self._place(shorten(text or "")) if position is None else position

    def all_places(self, texts: Iterable[str | None]) -> list[int]:
        known = [(text, self.positions.get(text or "")) for text in texts]
        return [self._place(shorten(text or "")) if position is None else position for text, position in known]

    def _place(self, short: str) -> int:
        position = self.positions.get(short)
        if position is None:
            position = self.positions[short] = len(self.positions)
            self.bytes += _bytes_embedded(short) + 1
        return position


def _bytes_embedded(text: str) -> int:
    return len(text) + 2 if _PLAIN.fullmatch(text) else len(script_json(text).encode("utf-8", "replace"))


def findings_data(
    worst: pa.Table,
    details: Sequence[ListingDetail],
    parts: Mapping[str, Sequence[tuple[str, str, str]]],
    rules: Mapping[str, Mapping[str, str | bool]],
    words: Mapping[str, Mapping[str, str]],
    most_bytes: int = MOST_BYTES,
    offers: Mapping[tuple[str, str | None, int], OfferEnds] | None = None,
) -> dict[str, Any]:
    """The data of the page: texts, names of a row's cells, rows, details, parts of markings, rules, words.

    Text cells hold places in `texts`, and the parts of a marking places in `named`, as most parts stand in many
    markings.  A detail is a list of statements (field, column, stated, derived, 1 agrees / 0 does not / -1 cannot be
    told); `ties` are the sentences on listings to which offers tie one.  When they would make the page too big, first
    the details of the least bad findings are left out, then such findings themselves.
    """
    texts = _Texts()
    by_place = {(detail.feed, detail.sheet or "", detail.record): detail for detail in details}
    rows: list[list[Any]] = []
    shown_details: list[list[list[int]]] = []
    shown_ties: list[list[int]] = []
    detail_places: dict[tuple[str, str, int], int] = {}
    size = 0
    for finding in worst.to_pylist():
        if size + texts.bytes > most_bytes:
            break
        position = (finding["feed"], finding["sheet"] or "", finding["record"])
        detail = by_place.get(position)
        finding["size"] = size_of(finding["marking"] or "")
        finding["brand"] = detail.brand if detail else ""
        finding["title"] = detail.title if detail else ""
        finding["detail"] = -1
        if detail is not None and position not in detail_places and size + texts.bytes < most_bytes * 0.7:
            detail_places[position] = len(shown_details)
            shown_details.append(_statements(detail, texts))
            size += 24 * len(detail.statements)
        finding["detail"] = detail_places.get(position, -1)
        tied = (offers or {}).get((finding["feed"], finding["sheet"], finding["record"]))
        finding["tie"] = len(shown_ties) if tied else -1
        if tied:
            shown_ties.append(_ties(tied, texts, rules))
        row: list[Any] = texts.all_places(map(finding.get, _TEXTS))
        for at, name in _NUMBERS:
            row.insert(at, finding[name])
        rows.append(row)
        size += 90
    distinct = dict.fromkeys(part for found in parts.values() for part in found)
    named = {part: position for position, part in enumerate(distinct)}
    return {
        "texts": list(texts.positions),
        "row": ROW,
        "rows": rows,
        "details": shown_details,
        "ties": shown_ties,
        "parts": {shorten(marking): [named[part] for part in found] for marking, found in parts.items()},
        "named": list(named),
        "rules": rules,
        "words": words,
        "grades": GRADES,
    }


def _statements(detail: ListingDetail, texts: _Texts) -> list[list[int]]:
    return [
        [
            texts.position(said.field),
            texts.position(said.column),
            texts.position(said.stated),
            texts.position(said.derived),
            -1 if said.agrees is None else int(said.agrees),
        ]
        for said in detail.statements
    ]


def _ties(offers: OfferEnds, texts: _Texts, rules: Mapping[str, Mapping[str, str | bool]]) -> list[int]:
    """What ties a listing to those that are offered in its place, or in whose place it is offered: places of texts."""
    said = []
    for one in offers.some:
        sheet = f" [{one.sheet}]" if one.sheet else ""
        record = f"record {one.record}"
        other = one.called if one.called == record else f"{one.called}, {record}"
        lacks = str(rules[one.rule]["title"])
        offered = f"Offered in place of {other}" if one.is_new else f"In its place is offered {other}"
        said.append(texts.position(f"{offered} of {one.feed}{sheet}: {lacks[:1].lower()}{lacks[1:]}."))
    more = offers.in_all - len(offers.some)
    return said + ([texts.position(f"And {more:,} more.")] if more else [])


def size_of(marking: str) -> str:
    """The size designation in front of a marking."""
    match = _SIZE.match(marking)
    return match[1] if match else marking


def shorten(text: str) -> str:
    """The text as the page shows it; a longer one says how long it is."""
    if len(text) <= TEXT_LONGEST:
        return text
    return f"{text[: TEXT_LONGEST - 40]}… ({len(text):,} characters)"


def script_json(data: Any) -> str:
    """JSON that is safe between script tags: nothing in it can end the element or a line."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for char in "<>&\u2028\u2029":
        text = text.replace(char, f"\\u{ord(char):04x}")
    return text
