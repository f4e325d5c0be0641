"""What the distinct texts of a column claim, kept from block to block: a text cache whose values are claims.

Snapshots never change; one that grows gives a new one.  So blocks in other threads keep theirs.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.pieces import ClaimTable, cut
from auditor.claims.claimed_values import WHOLE
from auditor.claims.words import COMMA_IN_RIM
from auditor.columns.digit_shapes import Bytes, characters_of
from auditor.columns.value_cache import Codes, Floats, TextSnapshot, encoded
from auditor.quantities.cell_values import BLANK, READ

DistinctWords = tuple[pa.Array, npt.NDArray[np.intp]]  # and for every text of a snapshot the place of its own
ClaimTables = Mapping[tuple[str, int], ClaimTable]  # by field and occurrence; at most one claim per text, in text order


class ClaimValues:
    """The claims of one (field, occurrence) over the texts of a snapshot, kept for the texts that make one."""

    def __init__(self, claims: ClaimTable, data: Bytes, count: int, decoded: DistinctWords | None) -> None:
        """`claims` are those of `count` texts whose characters are `data`; `decoded` their words if to be decoded."""
        self.claims = claims
        self._data = data
        self._count = count
        self._decoded = decoded

    @cached_property
    def value(self) -> Floats:
        """The number or code number of every text; NaN where it makes no such claim."""
        result: Floats = self._spread(self.claims.value, np.nan)
        return result

    @cached_property
    def half_step(self) -> Floats:
        """Half of the last stated digit."""
        result: Floats = self._spread(self.claims.half_step, 0.0)
        return result

    @cached_property
    def open_ended(self) -> npt.NDArray[np.bool_]:
        """Whether the claim was "or more"."""
        result: npt.NDArray[np.bool_] = self._spread(self.claims.open_ended, False)
        return result

    def _spread(self, values: Any, missing: Any) -> Any:
        result = np.full(self._count, missing, dtype=values.dtype)
        result[self.claims.owner] = values
        return result

    def words(self, codes: npt.NDArray[Any]) -> pa.Array:
        """The words of the claims of some texts, or the text to decode; "" where a text makes no such claim."""
        if self._decoded is not None:
            return self._decoded[0].take(pa.array(self._decoded[1][codes]))
        return cut(self._data, self._spread(self.claims.start, 0)[codes], self._spread(self.claims.end, 0)[codes])

    @property
    def distinct_words(self) -> DistinctWords:
        """The distinct words, and for every text the place of its own among them."""
        return self._decoded or encoded(self.words(np.arange(self._count)))


def grown(base: TextSnapshot, texts: pa.StringArray, claims: ClaimTables) -> TextSnapshot:
    """A snapshot with more texts, and with what these claim."""
    old, count = len(base.keys), len(base.keys) + len(texts)
    keys = pa.concat_arrays([base.keys, texts])
    data, offsets = characters_of(keys)
    shift = int(offsets[old])
    values = {}
    for name in sorted({*base.values, *claims}):
        kept = base.values.get(name)
        tables, decoded = [], None
        if isinstance(kept, ClaimValues):
            tables.append(kept.claims)
            decoded = kept.distinct_words if name[0] in WHOLE else None
        if name in claims:
            new = claims[name]
            tables.append(new._replace(owner=new.owner + old, start=new.start + shift, end=new.end + shift))
        table = tables[0] if len(tables) == 1 else ClaimTable(*map(np.concatenate, zip(*tables, strict=True)))
        if name[0] in WHOLE:
            decoded = _more_words(decoded or _NO_WORDS, table, data, count)
        values[name] = ClaimValues(table, data, count, decoded)
    status = np.where(np.diff(offsets) > 0, READ, BLANK).astype(np.int8)
    return TextSnapshot(keys, status, [""] * count, values)


def _more_words(known: DistinctWords, claims: ClaimTable, data: Bytes, count: int) -> DistinctWords:
    """The distinct words of claims that are to be decoded, where those of the first texts are known."""
    texts, positions = known
    every = np.zeros(count, np.intp)
    every[: len(positions)] = positions
    new = slice(int(np.searchsorted(claims.owner, len(positions))), None)
    words, own = encoded(_one_line(cut(data, claims.start[new], claims.end[new])))
    codes = pc.index_in(words, texts)
    unseen = codes.is_null().to_numpy(zero_copy_only=False)
    where = codes.fill_null(0).to_numpy().astype(np.intp)
    where[unseen] = len(texts) + np.arange(np.count_nonzero(unseen))
    every[claims.owner[new]] = where[own]
    return pa.concat_arrays([texts, words.filter(pa.array(unseen))]), every


def used_by(snapshot: TextSnapshot, codes: Codes) -> TextSnapshot:
    """A snapshot whose values are those that some texts state: what no text of a block claims needs no comparing."""
    used = np.zeros(len(snapshot.keys), dtype=np.bool_)
    used[codes] = True
    values = {
        name: own
        for name, own in snapshot.values.items()
        if isinstance(own, ClaimValues) and used[own.claims.owner].any()
    }
    return TextSnapshot(snapshot.keys, snapshot.status, snapshot.reasons, values)


def _one_line(sizes: pa.Array) -> pa.Array:
    """`auditor.claims.find.one_line` over an array: commas and runs of blanks are single blanks, rims have dots."""
    uneven = pc.match_substring_regex(sizes, r",|  |^ | $")
    if not pc.any(uneven).as_py():
        return sizes
    dotted = pc.replace_substring_regex(sizes, COMMA_IN_RIM, r"\1.5")
    plain = pc.utf8_trim_whitespace(pc.replace_substring_regex(dotted, "[ ,]+", " "))
    return pc.if_else(uneven, plain, sizes)


_NO_WORDS: DistinctWords = (pa.array([""], pa.string()), np.zeros(0, np.intp))
NO_CLAIMS = grown(TextSnapshot(pa.array([], pa.string()), np.zeros(0, np.int8), [], {}), pa.array([""]), {})
