"""Words findings across listings: what differs, who says what, and the columns of the finding record."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.across.key_groups import FACTS, KEYS, SLIGHT_FACTS
from auditor.judging.block.identity import listing_keys
from auditor.rulebook.rule import Rule
from auditor.trade.codes import code_text
from auditor.trade.tables import Tables
from auditor.wording.block_findings import finding_keys

MOST_SUPPLIERS = 4
MOST_STATED = 200
_FACT_WORDS = {
    "width": "section width",
    "aspect": "aspect ratio",
    "rim": "rim diameter",
    "diameter": "overall diameter",
    "index": "load index",
    "dual": "dual load index",
    "symbol": "speed symbol",
    "range": "load range",
    "tread": "tread depth",
    "weight": "weight",
}
_SLIGHT = dict(SLIGHT_FACTS)
_KEY_WORDS = {"gtin": "GTIN", "part_number": "brand and part number", "sku": "SKU"}
_PLACEHOLDER = re.compile(r"\{([a-z_]+)\}")


def value_text(fact: str, value: float, tables: Tables) -> str:
    """A fact's number as a message writes it."""
    if fact == "symbol":
        symbol = code_text("speed_symbol", value // 2, tables)
        return f"({symbol})" if value % 2 else symbol
    if fact == "range":
        return code_text("load_range", value, tables) or f"{value:g}PR"
    lengths = {"width": " mm", "diameter": " mm", "tread": " mm", "weight": " kg"}
    unit = lengths.get(fact, "") if fact != "rim" else " mm" if value > 100 else " in"
    return f"{value:.1f}".removesuffix(".0") + unit


def facts_in(bits: int, facts: tuple[tuple[str, str], ...] = FACTS) -> tuple[str, ...]:
    """The facts of a set of bits."""
    return tuple(name for number, (name, _) in enumerate(facts) if bits >> number & 1)


@dataclass(frozen=True, slots=True)
class SupplierStatement:
    """What one supplier says about one fact."""

    supplier: str
    value: float


def dispute_texts(key: int, says: Mapping[str, Sequence[SupplierStatement]], tables: Tables) -> tuple[str, str, str]:
    """(detail, derived, evidence) of a dispute over some facts."""
    details, derived, suppliers = [], "", 0
    for fact, statements_of in says.items():
        suppliers = max(suppliers, len(statements_of))
        detail, majority = _fact_dispute(fact, statements_of, tables)
        details.append(detail)
        derived = derived or ("" if fact in _SLIGHT else majority)  # the cell may be in another unit
    compared = ", ".join(_FACT_WORDS[fact] for fact in says)
    evidence = f"compared {compared} over {suppliers} suppliers with the same {_KEY_WORDS[KEYS[key]]}"
    return "; ".join(details), derived, evidence


def _fact_dispute(fact: str, statements_of: Sequence[SupplierStatement], tables: Tables) -> tuple[str, str]:
    by_value: dict[float, list[str]] = {}
    for say in statements_of:
        by_value.setdefault(say.value, []).append(say.supplier)
    ranked = sorted(by_value.items(), key=lambda item: (-len(item[1]), item[0]))
    shown, clauses = MOST_SUPPLIERS, []
    for position, (value, names) in enumerate(ranked):
        room = shown - (len(ranked) - position - 1)  # every value gets a name where four allow it
        if shown <= 0:
            break
        own = sorted(names)[: max(1, room)]
        shown -= len(own)
        more = len(names) - len(own)
        who = _listed([*own, f"{more} more" if more else ""])
        verb = "says" if len(names) == 1 else "say"
        clauses.append(f"{who} {verb} {value_text(fact, value, tables)}")
    text = f"{_FACT_WORDS[fact]}: {', '.join(clauses)}"
    top, supporters = ranked[0]
    if len(supporters) * 2 <= len(statements_of):
        return text, ""
    others = [name for _, names in ranked[1:] for name in names]
    if len(others) == 1:
        text += f", so {others[0]} is the odd one out of {len(statements_of)}"
    else:
        text += f", so {len(supporters)} of {len(statements_of)} suppliers say {value_text(fact, top, tables)}"
    return text, value_text(fact, top, tables).removesuffix(" mm").removesuffix(" in")


def _listed(names: Sequence[str]) -> str:
    names = [name for name in names if name]
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]


def shared_texts(bits: int, names: tuple[str, ...]) -> tuple[str, str, str]:
    """(detail, derived, evidence) of one GTIN on different tires."""
    different = [_FACT_WORDS[fact] for fact in facts_in(bits)] + list(names)
    listed = _listed(different)
    verb = "differs" if len(different) == 1 else "differ"
    return f"{listed} {verb}", "", f"compared size, service description, load range, brand and model; {verb} {listed}"


def duplicate_texts(
    keys: npt.NDArray[Any], records: npt.NDArray[np.int64], feeds: pa.Array
) -> tuple[pa.Array, pa.Array, pa.Array]:
    """(detail, derived, evidence) of listings that repeat earlier ones, given the record and feed of those."""
    detail = pc.binary_join_element_wise("record ", pa.array(records).cast(pa.string()), " of ", feeds, "")
    agree = "; agree size, service description, load range, brand, model"
    evidence = pa.array([f"same {_KEY_WORDS[key]}{agree}" for key in KEYS]).take(pa.array(keys, pa.int64()))
    return detail, _constant("", len(keys)), evidence


def peer_texts(agree: int, peers: int, mode: int) -> tuple[str, str, str]:
    """(detail, derived, evidence) of a load index unlike those of its peers."""
    detail = f"{agree} of {peers} other listings of the same size, load range and load version state {mode}"
    return detail, str(mode), f"compared load index with {peers} other listings of the size"


@dataclass(frozen=True, slots=True)
class FindingTexts:
    """What the findings of one feed say, one element per finding."""

    rule: npt.NDArray[np.int64]  # place in `rules`
    slight: npt.NDArray[np.bool_]  # whether the grade is the rule's for slight failures
    field: list[str]
    detail: pa.Array
    derived: pa.Array
    evidence: pa.Array
    stated: pa.Array | None = None  # where it does not stand in a cell of the feed; null where it does
    column: pa.Array | None = None


def finding_table(
    records: npt.NDArray[np.int64],
    rules: Sequence[Rule],
    worded: FindingTexts,
    texts: Mapping[str, pa.Array],
    position: npt.NDArray[np.int64],
) -> pa.Table:
    """The findings of some records of one feed as a table; `position` leads from a finding to its record's texts."""

    def of(name: str) -> pa.Array:
        values = texts.get(name)
        return _constant("", len(position)) if values is None else values.take(pa.array(position))

    count = len(records)
    stated, column = _by_field(worded.field, of, ""), _by_field(worded.field, of, "column:")
    field = pa.array(worded.field, pa.string())
    where = field  # it is stated, in sentences
    if worded.stated is not None and worded.column is not None:
        stated, column = pc.coalesce(worded.stated, stated), pc.coalesce(worded.column, column)
        where = pc.coalesce(worded.column, field)
    rule_ids = pa.array([rule.id for rule in rules]).take(pa.array(worded.rule))
    pieces = {
        "stated": _shortened(stated),
        "field": where,
        "column": column,
        "marking": of("canonical"),
        "detail": worded.detail,
        "derived": worded.derived,
    }
    return pa.table(
        {
            "record": pa.array(records),
            "supplier": of("supplier"),
            "sku": of("sku"),
            "part_number": of("part_number"),
            "gtin": of("gtin"),
            "key": finding_keys(of("key_supplier"), listing_keys(count, of), rule_ids, field, stated),
            "rule": rule_ids,
            "grade": _grades(rules, worded),
            "field": field,
            "column": column,
            "stated": stated,
            "derived": worded.derived,
            "deviation": pa.nulls(count, pa.float64()),
            "marking": of("canonical"),
            "evidence": worded.evidence,
            "likely_cause": _constant("unclear", count),
            "suggestion": _constant("", count),
            "message": _messages(rules, worded.rule, pieces),
            "order": pa.array(np.array([rule.order for rule in rules], dtype=np.int16)[worded.rule]),
        }
    )


def _grades(rules: Sequence[Rule], worded: FindingTexts) -> pa.Array:
    """The grade of each finding."""
    usual = pa.array([rule.grade for rule in rules]).take(pa.array(worded.rule))
    slight = pa.array([rule.grade_when_slight or rule.grade for rule in rules]).take(pa.array(worded.rule))
    return pc.if_else(pa.array(worded.slight), slight, usual)


def _constant(text: str, count: int) -> pa.Array:
    return pa.array([text], pa.string()).take(pa.array(np.zeros(count, dtype=np.int64)))


def _by_field(fields: list[str], of: Any, prefix: str) -> pa.Array:
    """For each finding the text of the field it names."""
    names = pa.array(fields, pa.string())
    result = _constant("", len(fields))
    for name in sorted(set(fields)):
        result = pc.if_else(pc.equal(names, name), of(prefix + name), result)
    return result


def _shortened(texts: pa.Array) -> pa.Array:
    long = pc.greater(pc.utf8_length(texts), MOST_STATED)
    short = pc.binary_join_element_wise(pc.utf8_slice_codeunits(texts, 0, MOST_STATED), "...", "")
    return pc.if_else(long, short, texts)


def _messages(rules: Sequence[Rule], numbers: npt.NDArray[np.int64], pieces: Mapping[str, pa.Array]) -> pa.Array:
    result = _constant("", len(numbers))
    for number, rule in enumerate(rules):
        mine = numbers == number
        if mine.any():
            result = pc.if_else(pa.array(mine), _filled(rule.says, pieces), result)
    return result


def _filled(says: str, pieces: Mapping[str, pa.Array]) -> pa.Array:
    """A rule's sentence with its placeholders filled."""
    parts: list[Any] = []
    for number, part in enumerate(_PLACEHOLDER.split(says)):
        if number % 2 == 0:
            parts.append(part)
        else:
            parts.append(pieces.get(part, "{" + part + "}"))
    return pc.binary_join_element_wise(*parts, "")
