"""What other listings are compared by: one compact row per record, made from a block without a loop over records."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.across.block_offers import BlockOffers, block_offers
from auditor.across.item_numbers import hashed, item_numbers, name_numbers, plain, spread, supplier_numbers
from auditor.across.spool import take_rows
from auditor.across.text_numbers import hash_numbers, mixed
from auditor.columns.gtins import gtin_numbers
from auditor.columns.value_cache import MarkingSnapshot
from auditor.judging.block.feed_plan import FeedPlan
from auditor.judging.block.statements import BlockStatements
from auditor.rulebook.book import RuleBook
from auditor.substitution.offers import LACKING
from auditor.trade.codes import LOAD_VERSIONS
from auditor.trade.facts import FACT_POSITION
from auditor.trade.family import FAMILIES
from auditor.trade.units import factor_between

Rows = npt.NDArray[np.int64]
# The checks across listings, as rules name them.
DUPLICATED, SHARED, DISAGREE, PEERS = "listing_duplicated", "gtin_shared", "suppliers_disagree", "index_unlike_peers"
SKU_SHARED = "sku_shared"
SLIGHTLY = "suppliers_disagree/slight"  # the same rule, on facts of which it finds differences slight
RULES = (DUPLICATED, SHARED, DISAGREE, PEERS, SKU_SHARED, SLIGHTLY, *LACKING)
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
    "rim_diameter_in",  # and the next three: for the size of a listing that gives it in split fields
    "section_width_mm",
    "section_width_in",
    "aspect_ratio",
    "tread_depth_mm",
    "tread_depth_32nds",
    "tire_weight_kg",
    "tire_weight_lb",
    "substitutes",
    "replaces",
)
_TREAD, _WEIGHT = ("tread_depth_mm", "tread_depth_32nds"), ("tire_weight_kg", "tire_weight_lb")

MARKING = np.dtype(
    [
        ("size", "<u8"),  # hash of the size text with its prefix
        ("width", "<f4"),
        ("aspect", "<f4"),
        ("rim", "<f4"),
        ("diameter", "<f4"),  # where the size begins with it
        ("tread", "<f4"),  # in mm; of the listing
        ("weight", "<f4"),  # in kg; of the listing
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
        ("tire", "<u8"),  # hash of the marking with what split fields add, for substitutes
        ("size_at", "i1"),
        ("index_at", "i1"),
        ("symbol_at", "i1"),
        ("range_at", "i1"),
        ("tread_at", "i1"),
        ("weight_at", "i1"),
        ("fill", "<i2"),
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
    substitutes: bool = False

    @property
    def any(self) -> bool:
        return self.gtin or self.part or self.sku or self.peers


class BlockFacts(NamedTuple):
    """What is kept of a block: its rows, and what they offer in place of each other."""

    rows: npt.NDArray[Any]
    offers: BlockOffers | None = None


def keys_needed(book: RuleBook, offered: bool = False) -> KeysNeeded:
    """The keys that the rules of a book need; a rule that is switched off costs nothing.

    `offered` tells that substitutes are named somewhere in the run.
    """
    checks = {rule.check for rule in book.rules if rule.kind == "across"}
    substitutes = offered and bool(checks & set(LACKING))
    return KeysNeeded(
        gtin=bool(checks & {DUPLICATED, SHARED, DISAGREE}),
        part=bool(checks & {DUPLICATED, DISAGREE}),
        sku=bool(checks & {DUPLICATED, SKU_SHARED}) or substitutes,
        peers=PEERS in checks,
        substitutes=substitutes,
    )


def block_facts(
    plan: FeedPlan, st: BlockStatements, records: Rows, want: KeysNeeded | None = None
) -> BlockFacts | None:
    """Rows of ROW for the records of a block that take part, and their offers; None where no record does."""
    want = want or keys_needed(st.book)
    if not want.any:
        return None
    rows = np.zeros(st.count, dtype=ROW)
    positions = {source.field: source.position for source in reversed(plan.sources)}
    columns = {name: st.raw[position] for name, position in positions.items() if position in st.raw}
    joined = st.joined
    suppliers = (
        supplier_numbers([plan.supplier])
        if joined is None
        else supplier_numbers([one.supplier for one in joined.plans])[joined.of_record]
    )
    _identify(rows, columns, suppliers, want)
    mark = _describe(rows, st, columns)
    taking = (rows["gtin"] != 0) | (rows["sku"] != 0) | (rows["part"] != 0)
    offers = None
    if want.substitutes:
        offers = block_offers(st, mark, columns)
        rows["tire"] = offers.tires
        taking[offers.entries["row"]] = True
    if want.peers:
        groups = peer_groups(mark)
        rows["group"] = groups
        taking |= groups != 0
    if not taking.any():
        return None
    rows["record"] = records
    if offers is not None:
        offers.entries["row"] = (np.cumsum(taking) - 1)[offers.entries["row"]]
    return BlockFacts(rows if taking.all() else take_rows(rows, taking), offers)


def _identify(rows: npt.NDArray[Any], columns: dict[str, pa.Array], default: Any, want: KeysNeeded) -> None:
    """`default` are the numbers of the suppliers of records that name none."""
    if "supplier" in columns:
        own = name_numbers(columns["supplier"], fold=False)
        rows["supplier"] = np.where(own == 0, default, own)
    else:
        rows["supplier"] = default
    names = {name: name_numbers(columns[name], fold=True) for name in ("brand", "model") if name in columns}
    for name, numbers in names.items():
        rows[name] = numbers
    if want.gtin and "gtin" in columns:
        column = columns["gtin"]
        if pa.types.is_dictionary(column.type):
            rows["gtin"] = spread(gtin_numbers(plain(column.dictionary)), column)
        else:
            rows["gtin"] = gtin_numbers(plain(column))
    if want.sku and "sku" in columns:
        rows["sku"], check = item_numbers(columns["sku"])
        rows["sku_check"] = check >> np.uint64(32)
    if want.part and "part_number" in columns and "brand" in names:
        part, check = item_numbers(columns["part_number"])
        both = (part != 0) & (names["brand"] != 0)
        brand = names["brand"] * np.uint64(0x9E3779B97F4A7C15)
        rows["part"] = np.where(both, np.maximum(mixed(part ^ brand), np.uint64(1)), np.uint64(0))
        rows["part_check"] = np.where(both, mixed(check ^ brand) >> np.uint64(32), np.uint64(0))


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
    rows["size_at"], rows["index_at"] = _split_marked(size_at, st), service_at
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
    for name, fields in (("tread", _TREAD), ("weight", _WEIGHT)):
        mark[name], rows[name + "_at"] = _measured(st, fields)
    _words(rows)[:, _MARK_WORDS] = _words(mark)
    unread = np.flatnonzero(mark["readable"] == 0)
    for name in ("size", "marking"):
        if len(unread) and name in columns:
            texts = columns[name].take(pa.array(unread)).cast(pa.string())
            own_text = hashed(texts, fold=True)[0]
            rows["unread"][unread] = np.where(own_text == 0, rows["unread"][unread], own_text)
    return mark


def _measured(st: BlockStatements, fields: tuple[str, str]) -> tuple[Any, Any]:
    """(value in the unit of the first field, place of the cell that states it) of a quantity in two units."""
    value, cell = np.full(st.count, -1.0), np.zeros(st.count, dtype=np.int8)
    for field in fields:
        if st.slots.get(field):
            stated = st.first(field) * factor_between(field, fields[0])
            fill = (value < 0) & (stated > 0)
            value, cell = np.where(fill, stated, value), np.where(fill, CELLS.index(field), cell)
    return value, cell


def _split_marked(size_at: Any, st: BlockStatements) -> Any:
    """The cells of sizes; for split fields the rim's, or where the width is in inches, the width's."""
    given = {source.field for source in st.sources}
    if "section_width_in" not in given or "section_width_mm" in given:
        return size_at
    return np.where(size_at == CELLS.index("rim_diameter_in"), CELLS.index("section_width_in"), size_at)


def cell_of(fact: str, size_at: Any) -> Any:
    """The cells that hold a fact of sizes: of split fields each its own."""
    rim, inches = CELLS.index("rim_diameter_in"), CELLS.index("section_width_in")
    split, by_inch = (size_at == rim) | (size_at == inches), size_at == inches
    if fact == "width":
        return np.where(split & ~by_inch, CELLS.index("section_width_mm"), size_at)
    return np.where(split, CELLS.index("aspect_ratio") if fact == "aspect" else rim, size_at)


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


_KEPT = 2  # generations of a cache: a block that was begun before the newest one may still ask for the one before
_kept: list[tuple[int, npt.NDArray[Any]]] = []  # generation of the cache and its longest table, newest first


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
    _kept[:] = [(snapshot.generation, table), *(one for one in list(_kept) if one[0] != snapshot.generation)][:_KEPT]
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
