"""The markings of a block of records: texts decoded, cells joined into one marking, the governing ones chosen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.quoted_cells import are_filled
from auditor.claims.terms.words import OWN, OWN_SERVICE
from auditor.columns.value_cache import Codes, MarkingCache, MarkingSnapshot, distinct, encoded
from auditor.judging.block.statements import BlockStatements
from auditor.judging.described import MarkingCells
from auditor.judging.governing import Taken, governing_marking, split_size_numbers
from auditor.judging.statements import (
    MARKING_TEXTS,
    TEXTS,
    Governing,
    Source,
    TextMarking,
)
from auditor.marking.split_size import SplitSize, split_size_text
from auditor.marking.store import SERVICE_MARK, joined_key
from auditor.quantities.service_cells import plain_service
from auditor.trade.codes import code_text

_Part = tuple[str, list[pa.Array], Any]  # what, arrays of keys, place of each record's key among all of these


def choose_markings(st: BlockStatements, cache: MarkingCache, columns: dict[int, pa.Array]) -> None:
    """Decodes the marking texts of a block and chooses the governing ones.

    `columns` are the raw columns of marking, size, service description and title by source place.
    """
    positions = {source.field: source.position for source in reversed(st.sources)}
    parts: list[_Part] = []
    for field in MARKING_TEXTS:
        if field in positions:
            texts, where = encoded(columns[positions[field]])
            st.text_given[field] = _gathered(pc.not_equal(pc.utf8_trim_whitespace(texts), ""), where)
            texts = _marking_texts(texts)
            st.text_filled[field] = _gathered(pc.not_equal(texts, ""), where)
            if field == "service_description":
                texts = _marked(pa.array(map(plain_service, texts.to_pylist()), pa.string()), SERVICE_MARK)
            parts.append((field, [texts], where))
    signed: dict[tuple[int, str], pa.Array] = {}
    for source in st.sources:
        if source.field in TEXTS and source.position in st.texts:
            parts.extend(_claimed(st, source, signed))
    parts.extend(_whole_titles(st, positions, columns))
    parts.extend(_split_sizes(st))
    coded, st.markings = _codes(parts, cache)
    titles: list[tuple[int, str, Codes]] = []
    whole: list[tuple[int, Codes]] = []
    zero = np.zeros(st.count, dtype=np.int32)
    of_split: Codes | None = None
    for (what, _, where), codes in zip(parts, coded, strict=True):
        own = _gathered(codes, where)
        if what in MARKING_TEXTS:
            st.text_codes[what] = own
        elif what == "title":
            st.text_codes["title"] = own
            whole.append((positions["title"], own))
        elif what == "split":
            of_split = own
        else:
            titles.append((positions[what.split(":")[0]], what.split(":")[0], own))
    cells = MarkingCells(
        st.text_codes.get("marking", zero),
        st.text_codes.get("size", zero),
        st.text_codes.get("service_description", zero),
        tuple(titles),
        tuple(whole),
        of_split,
    )
    split = (st.first("load_index"), st.first("load_index_dual"), st.first("speed_symbol"))
    joiner = _Joiner(st, cache, [codes for _, _, codes in titles] + [codes for _, codes in whole])
    st.governing = joiner.carry_over(governing_marking(st, cells, positions, split, joiner))
    st.memo.clear()


def _codes(parts: Sequence[_Part], cache: MarkingCache) -> tuple[list[Codes], MarkingSnapshot]:
    """The codes of the keys of parts, each array that they share looked up once."""
    arrays = {id(keys): keys for _, every, _ in parts for keys in every}
    coded, snapshot = cache.codes(list(arrays.values()) or [pa.array([], pa.string())])
    found = dict(zip(arrays, coded, strict=False))
    return [np.concatenate([found[id(keys)] for keys in every]) for _, every, _ in parts], snapshot


def _marking_texts(texts: pa.Array) -> pa.Array:
    """`auditor.quantities.cell_values.marking_text` over distinct texts."""
    texts = pc.utf8_trim_whitespace(texts)
    filled = are_filled(texts)
    return texts if filled.all() else pc.if_else(pa.array(filled), texts, "")


def _gathered(values: Any, where: Any) -> Any:
    """values[where], with zero where a record has none (-1)."""
    if isinstance(values, pa.Array):
        values = values.to_numpy(zero_copy_only=False).astype(np.bool_)
    return np.append(values, np.zeros(1, dtype=values.dtype)).take(where, mode="wrap")


def _claimed(st: BlockStatements, source: Source, signed: dict[tuple[int, str], pa.Array]) -> list[_Part]:
    """Sizes and service descriptions that a text claims, as distinct keys and the place of each record's key.

    `signed` holds the keys of what is the listings' own, once for all claims.
    """
    found: list[_Part] = []
    coded, owns = st.text_markings[source.position].coded, st.text_markings[source.position].owns
    for field, mark, sign in (("marking", "", OWN), ("service_description", SERVICE_MARK, OWN_SERVICE)):
        for occurrence in range(8):
            values = coded.snapshot.values.get((field, occurrence))
            if values is None:
                break
            every, where = values.distinct_words
            texts, positions = _used(every, where[coded.own_codes])
            positions, place = coded.of_records(positions), pc.index(texts, sign).as_py()
            keys = [_marked(texts, mark)]
            if place >= 0:  # in the place of the sign stands what the listing's own marking says
                own, places = owns.signs(sign)
                if (id(owns), sign) not in signed:
                    signed[id(owns), sign] = _marked(own, mark)
                keys.append(signed[id(owns), sign])
                positions = np.where(positions == place, places + len(texts), positions)
            found.append((f"{source.field}:{field}", keys, positions))
    return found


def _marked(texts: pa.Array, mark: str) -> pa.Array:
    """Texts with a mark before all that are filled."""
    return pc.if_else(pc.equal(texts, ""), "", pc.binary_join_element_wise(mark, texts, "")) if mark else texts


def _whole_titles(st: BlockStatements, positions: dict[str, int], columns: dict[int, pa.Array]) -> list[_Part]:
    """Titles as markings, for the records where neither of the cells for a marking gives a text."""
    if "title" not in positions or positions["title"] not in columns:
        return []
    rows = _without_marking(st)
    if len(rows) == 0:
        return []
    column = columns[positions["title"]]
    texts, own = encoded(column if len(rows) == st.count else column.take(pa.array(rows)))
    where = np.full(st.count, -1, dtype=np.intp)
    where[rows] = own
    return [("title", [_marking_texts(texts)], where)]


def _without_marking(st: BlockStatements) -> npt.NDArray[np.intp]:
    """The records where neither of the cells for a marking gives a text."""
    given = [st.text_filled[field] for field in ("marking", "size") if field in st.text_filled]
    return np.flatnonzero(~np.logical_or.reduce(given)) if given else np.arange(st.count)


def _split_sizes(st: BlockStatements) -> list[_Part]:
    """Sizes that split fields make, each distinct combination put together once."""
    rows = _without_marking(st)
    numbers = split_size_numbers(st) if len(rows) else None
    if numbers is None:
        return []
    taken = [np.ascontiguousarray(column[rows], dtype=np.float64) for column in numbers]
    first, inverse = distinct([column.view(np.int64) for column in taken])
    combinations = zip(*(column[first].tolist() for column in taken), strict=True)
    texts = pa.array([split_size_text(SplitSize(*combination)) for combination in combinations], pa.string())
    where = np.full(st.count, -1, dtype=np.intp)
    where[rows] = inverse
    return [("split", [texts], where)]


def _used(texts: pa.Array, positions: npt.NDArray[np.intp]) -> tuple[pa.Array, npt.NDArray[np.intp]]:
    """Those of distinct texts that some places point to, and the places among them."""
    used = np.zeros(len(texts), dtype=np.bool_)
    used[positions] = True
    return texts.filter(pa.array(used)), (np.cumsum(used) - 1)[positions]


class _Joiner:
    """Joins cells into one marking, once per distinct combination."""

    def __init__(self, st: BlockStatements, cache: MarkingCache, titles: list[Codes]) -> None:
        self._st = st
        self.titles = titles
        self._cache = cache
        self._kept: Codes | None = None

    def carry_over(self, governing: Governing) -> Governing:
        """The same with codes of the newest snapshot, where the cache started anew while joining."""
        kept = self._kept
        if kept is None:
            return governing
        self._st.text_codes = {name: kept[codes] for name, codes in self._st.text_codes.items()}
        texts = tuple(TextMarking(t.source, t.report, kept[t.codes]) for t in governing.texts)
        return governing._replace(texts=texts)

    def __call__(self, need: Any, base: Any, service: Any, numbers: Taken, use_service: Any) -> Codes:
        st = self._st
        rows = np.flatnonzero(need)
        taken = [
            base[rows].astype(np.int64),
            np.where(use_service, service, 0)[rows].astype(np.int64),
            *(np.where(number[rows] == number[rows], number[rows], -1.0).astype(np.int64) for number in numbers),
        ]
        first, inverse = distinct(taken)
        keys = self._keys([column[first] for column in taken])
        (joined,), snapshot = self._cache.codes([pa.array(keys, pa.string())])
        result = np.asarray(base, dtype=np.int32).copy()
        if snapshot.generation != st.markings.generation:
            used = np.unique(np.concatenate([base, *self._in_use()]))
            (old, joined), snapshot = self._cache.codes(
                [st.markings.keys.take(pa.array(used)), pa.array(keys, pa.string())]
            )
            self._kept = np.zeros(len(st.markings.keys), dtype=np.int32)
            self._kept[used] = old
            result = self._kept[result]
        st.markings = snapshot
        result[rows] = joined[inverse]
        return result

    def _in_use(self) -> list[Any]:
        return [*self._st.text_codes.values(), *self.titles]

    def _keys(self, taken: Sequence[npt.NDArray[np.int64]]) -> list[str]:
        st = self._st
        names = st.markings.keys
        sizes = names.take(pa.array(taken[0])).to_pylist()
        services = names.take(pa.array(taken[1])).to_pylist()
        keys = []
        for size, service, index, dual, *codes in zip(sizes, services, *(t.tolist() for t in taken[2:]), strict=True):
            own, other = (float("nan") if number < 0 else float(number) for number in (index, dual))
            symbol, prefix = (
                code_text(field, float(code), st.book.tables)
                for field, code in zip(("speed_symbol", "size_prefix"), codes, strict=True)
            )
            keys.append(joined_key(size, service.removeprefix(SERVICE_MARK), (own, other), symbol, prefix))
        return keys
