"""What other listings are compared by: one compact row per record, made from a block without a loop over records."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.across.spool import take_rows
from auditor.across.text_numbers import hash_numbers, mixed
from auditor.columns.gtins import gtin_numbers
from auditor.columns.value_cache import MarkingSnapshot
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.statements import BlockStatements
from auditor.quantities.cell_values import BLANK_MARKINGS
from auditor.rulebook.book import RuleBook
from auditor.trade.codes import LOAD_VERSIONS
from auditor.trade.facts import FACT_POSITION
from auditor.trade.family import FAMILIES

Rows = npt.NDArray[np.int64]
# The checks across listings, as rules name them.
DUPLICATED, SHARED, DISAGREE, PEERS = "listing_duplicated", "gtin_shared", "suppliers_disagree", "index_unlike_peers"
RULES = (DUPLICATED, SHARED, DISAGREE, PEERS)
# The cells that can hold a fact of the marking; a row keeps the place in this list.
CELLS = (
    "",
    "marking",
    "size",
    "service_description",
    "load_index",
    "speed_symbol",
    "load_range",
    "title",
    "description",
    "rim_diameter_in",  # for the size of a listing that gives it in split fields
)

MARKING = np.dtype(
    [
        ("size", "<u8"),  # hash of the size text with its prefix
        ("width", "<f4"),
        ("aspect", "<f4"),
        ("rim", "<f4"),
        ("diameter", "<f4"),  # where the size begins with it
        ("index", "<i2"),
        ("dual", "<i2"),
        ("symbol", "<i2"),  # place by speed, doubled; odd when open-ended
        ("range", "<i2"),  # as its ply rating
        ("version", "i1"),
        ("family", "i1"),
        ("readable", "i1"),
        ("spare", "i1"),
        ("fill", "<i4"),
    ]
)
"""What one marking states.  -1 is unknown everywhere, and unknown never differs."""

ROW = np.dtype(
    [
        ("record", "<i8"),
        ("supplier", "<u8"),
        ("gtin", "<i8"),
        ("sku", "<u8"),
        ("part", "<u8"),
        ("sku_check", "<u4"),
        ("part_check", "<u4"),
        ("brand", "<u8"),
        ("model", "<u8"),
        ("unread", "<u8"),  # hash of a marking text that could not be read
        ("group", "<u8"),  # size, load range and load version, for peers
        ("size_at", "i1"),
        ("index_at", "i1"),
        ("symbol_at", "i1"),
        ("range_at", "i1"),
        ("fill", "<i4"),
        ("mark", MARKING),
    ]
)
"""One record.  0 stands for a missing hash or number."""


@dataclass(frozen=True, slots=True)
class KeysNeeded:
    """Which keys the rules in force need."""

    gtin: bool
    part: bool
    sku: bool
    peers: bool

    @property
    def any(self) -> bool:
        return self.gtin or self.part or self.sku or self.peers


def keys_needed(book: RuleBook) -> KeysNeeded:
    """The keys that the rules of a book need; a rule that is switched off costs nothing."""
    checks = {rule.check for rule in book.rules if rule.kind == "across"}
    return KeysNeeded(
        gtin=bool(checks & {DUPLICATED, SHARED, DISAGREE}),
        part=bool(checks & {DUPLICATED, DISAGREE}),
        sku=DUPLICATED in checks,
        peers=PEERS in checks,
    )


def block_facts(plan: FeedPlan, st: BlockStatements, records: Rows) -> npt.NDArray[Any] | None:
    """Rows of ROW for the records of a block that take part; None where no record does."""
    want = keys_needed(st.book)
    if not want.any:
        return None
    rows = np.zeros(st.count, dtype=ROW)
    positions = {source.field: source.position for source in reversed(plan.sources)}
    columns = {name: st.raw[position] for name, position in positions.items() if position in st.raw}
    _identify(rows, columns, plan.supplier, want)
    mark = _describe(rows, st, columns)
    taking = (rows["gtin"] != 0) | (rows["sku"] != 0) | (rows["part"] != 0)
    if want.peers:
        groups = peer_groups(mark)
        rows["group"] = groups
        taking |= groups != 0
    if not taking.any():
        return None
    rows["record"] = records
    return rows if taking.all() else take_rows(rows, taking)


def _identify(rows: npt.NDArray[Any], columns: dict[str, pa.Array], supplier: str, want: KeysNeeded) -> None:
    default = supplier_number(supplier)
    if "supplier" in columns:
        own = _name_numbers(columns["supplier"], fold=False)
        rows["supplier"] = np.where(own == 0, default, own)
    else:
        rows["supplier"] = default
    names = {name: _name_numbers(columns[name], fold=True) for name in ("brand", "model") if name in columns}
    for name, numbers in names.items():
        rows[name] = numbers
    if want.gtin and "gtin" in columns:
        column = columns["gtin"]
        if pa.types.is_dictionary(column.type):
            rows["gtin"] = _spread(gtin_numbers(_plain(column.dictionary)), column)
        else:
            rows["gtin"] = gtin_numbers(_plain(column))
    if want.sku and "sku" in columns:
        rows["sku"], check = _item_numbers(columns["sku"])
        rows["sku_check"] = check >> np.uint64(32)
    if want.part and "part_number" in columns and "brand" in names:
        part, check = _item_numbers(columns["part_number"])
        both = (part != 0) & (names["brand"] != 0)
        brand = names["brand"] * np.uint64(0x9E3779B97F4A7C15)
        rows["part"] = np.where(both, np.maximum(mixed(part ^ brand), np.uint64(1)), np.uint64(0))
        rows["part_check"] = np.where(both, mixed(check ^ brand) >> np.uint64(32), np.uint64(0))


def supplier_number(name: str) -> Any:
    """The number of a supplier's name."""
    return _hashed(pa.array([name]), fold=False)[0][0]


def _plain(column: pa.Array) -> pa.Array:
    return (column.fill_null("") if column.null_count else column).cast(pa.string())


_BLANKS = pa.array(sorted(BLANK_MARKINGS | {"0"}))


def _hashed(texts: pa.Array, fold: bool) -> tuple[Any, Any]:
    """Hashes of texts without regard to blanks around them and, with `fold`, to case; 0 where nothing is said."""
    texts = pc.utf8_trim_whitespace(_plain(texts))
    lower = pc.utf8_lower(texts)
    one, two = hash_numbers(lower if fold else texts)
    blank = pc.is_in(lower, value_set=_BLANKS).to_numpy(zero_copy_only=False)
    return np.where(blank, np.uint64(0), one), np.where(blank, np.uint64(0), two)


def _name_numbers(column: pa.Array, fold: bool) -> Any:
    """Hashes of names, each distinct name once where names repeat."""
    if not pa.types.is_dictionary(column.type):
        if len(column.slice(0, 2000).unique()) > 1000:
            return _hashed(column, fold)[0]
        column = column.dictionary_encode()
    return _spread(_hashed(column.dictionary, fold)[0], column)


def _item_numbers(column: pa.Array) -> tuple[Any, Any]:
    """Hashes of item numbers, which mostly differ from record to record; case does not count."""
    if pa.types.is_dictionary(column.type):
        one, two = _hashed(column.dictionary, fold=True)
        return _spread(one, column), _spread(two, column)
    texts = pc.ascii_lower(pc.ascii_trim_whitespace(_plain(column)))
    one, two = hash_numbers(texts)
    short = np.flatnonzero(pc.binary_length(texts).to_numpy(zero_copy_only=False) <= _LONGEST_FILLER)
    if len(short):
        one[short[np.isin(one[short], _FILLERS)]] = 0
    return one, two


_LONGEST_FILLER = max(len(text) for text in _BLANKS.to_pylist())
_FILLERS = hash_numbers(_BLANKS)[0]


def _spread(values: Any, column: pa.Array) -> Any:
    """values by the codes of a dictionary column; 0 for null."""
    codes = column.indices.fill_null(-1) if column.indices.null_count else column.indices
    at = codes.to_numpy(zero_copy_only=False)
    return np.append(values, values.dtype.type(0))[at]


def _describe(rows: npt.NDArray[Any], st: BlockStatements, columns: dict[str, pa.Array]) -> npt.NDArray[Any]:
    """What the governing marking states, the cells that state it, and the split fields beside it."""
    governing = st.governing
    mark = take_rows(marking_table(st.markings), governing.codes)
    cell = np.zeros(len(st.sources) + 1, dtype=np.int8)  # the last place stands for no source
    for source in st.sources:
        if source.field in CELLS:
            cell[source.position] = CELLS.index(source.field)
    size_at = cell[np.broadcast_to(governing.size_source, st.count)]
    service_at = cell[np.broadcast_to(governing.service_source, st.count)]
    own = np.where(governing.index_stands_in, size_at, service_at)
    rows["size_at"], rows["index_at"] = size_at, service_at
    rows["symbol_at"] = np.where(governing.symbol_stands_in, CELLS.index("speed_symbol"), own)
    range_at = own
    for name, field in (("range", "load_range"), ("version", "load_version")):
        if st.slots.get(field):
            stated = st.first(field)
            fill = (mark[name] < 0) & (stated >= 0) & (mark["readable"] == 1)
            mark[name] = np.where(fill, np.nan_to_num(stated, nan=-1.0), mark[name])
            if name == "range":
                range_at = np.where(fill, CELLS.index("load_range"), range_at)
    rows["range_at"] = range_at
    _words(rows)[:, _MARK_WORDS] = _words(mark)
    unread = np.flatnonzero(mark["readable"] == 0)
    for name in ("size", "marking"):
        if len(unread) and name in columns:
            texts = columns[name].take(pa.array(unread)).cast(pa.string())
            own_text = _hashed(texts, fold=True)[0]
            rows["unread"][unread] = np.where(own_text == 0, rows["unread"][unread], own_text)
    return mark


_MARK_AT = ROW.fields["mark"][1] // 8 if ROW.fields else 0
_MARK_WORDS = slice(_MARK_AT, _MARK_AT + MARKING.itemsize // 8)


def _words(rows: npt.NDArray[Any]) -> npt.NDArray[np.uint64]:
    """The bytes of rows as numbers; assigning them is several times faster than assigning columns."""
    return rows.view(np.uint64).reshape(len(rows), rows.dtype.itemsize // 8)


def peer_groups(mark: npt.NDArray[Any]) -> npt.NDArray[np.uint64]:
    """Numbers of size, load range and load version, for markings with a load index; 0 for the others."""
    standard = LOAD_VERSIONS.index("SL")  # what an unmarked tire is
    version = np.where(mark["version"] < 0, standard, mark["version"]).astype(np.uint64)
    strength = (mark["range"].astype(np.int64) + 1).astype(np.uint64)
    key = mixed(mark["size"] ^ (version << np.uint64(40)) ^ (strength << np.uint64(48)))
    described = (mark["size"] != 0) & (mark["index"] >= 0)
    return np.where(described, np.maximum(key, np.uint64(1)), np.uint64(0))


_kept: list[tuple[int, npt.NDArray[Any]]] = []  # generation of the cache and its table, newest first


def marking_table(snapshot: MarkingSnapshot) -> npt.NDArray[Any]:
    """A row of MARKING per distinct marking of a snapshot; only what is new since an earlier one is worked out.

    Codes hold across snapshots of one generation.  What is kept holds no snapshot: theirs is most of the memory.
    """
    base: npt.NDArray[Any] = np.zeros(0, dtype=MARKING)
    for generation, table in list(_kept):
        if generation == snapshot.generation and len(table) > len(base):
            base = table
    if len(base) >= len(snapshot.keys):
        return base[: len(snapshot.keys)]
    table = np.concatenate([base, _marking_rows(snapshot, len(base))])
    _kept.insert(0, (snapshot.generation, table))
    del _kept[4:]
    return table


def forget_markings() -> None:
    """Lets go of the tables that are kept for the next block."""
    _kept.clear()


def _marking_rows(snapshot: MarkingSnapshot, start: int) -> npt.NDArray[Any]:
    facts = snapshot.facts[:, start:]
    rows = np.full(facts.shape[1], -1, dtype=MARKING)

    def fact(name: str) -> Any:
        return np.nan_to_num(facts[FACT_POSITION[name]], nan=-1.0)

    rim = fact("rim_diameter_in")
    rows["width"], rows["aspect"] = fact("section_width_mm"), fact("aspect_ratio")
    rows["rim"] = np.where(rim < 0, fact("rim_diameter_mm_marked"), rim)
    flotation = fact("family") == FAMILIES.index("flotation")
    rows["diameter"] = np.where(flotation, np.round(fact("overall_diameter_mm"), 1), -1.0)
    second = (fact("load_index_alt") >= 0) | (fact("speed_symbol_alt") >= 0)  # two service descriptions: no one value
    rows["index"] = np.where(second, -1, fact("load_index"))
    rows["dual"] = np.where(second, -1, fact("load_index_dual"))
    symbol = fact("speed_symbol")
    symbol = np.where(symbol < 0, -1, symbol * 2 + (fact("speed_symbol_open") == 1.0))
    rows["symbol"] = np.where(second, -1, symbol)
    rows["range"], rows["version"], rows["family"] = fact("load_range"), fact("load_version"), fact("family")
    rows["readable"] = facts[FACT_POSITION["readable"]] == 1.0
    sizes = pc.replace_substring(snapshot.word_column("size").slice(start), "ZR", "R")
    rows["size"] = hash_numbers(sizes)[0]
    return rows
