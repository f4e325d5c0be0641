"""The claims of a block's titles and sales texts as arrays.

Nothing is kept between blocks but how shapes are read, and the claims of texts whose shapes are rare; both are capped.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claim_shapes import Part, Shape, numbers_at, parts_of
from auditor.claims_batch import condense_encoded
from auditor.digit_shapes import characters_of, shapes_of
from auditor.readings import BLANK, READ
from auditor.tables import Tables
from auditor.value_cache import Codes, Floats, TextSnapshot

_MOST_SHAPES = 20_000
_MOST_TEXTS = 20_000  # of rare shapes
_RARE = 4  # a block's texts of one shape that are worth reading together
_Places = npt.NDArray[np.int64]
Piece = tuple[_Places, Any, Part]
Found = defaultdict[tuple[str, int], list[Piece]]


class ClaimValues:
    """The claims of one (field, turn) over the distinct texts of a block, kept for the texts that make one."""

    __slots__ = ("_count", "_ends", "_half_steps", "_open", "_places", "_starts", "_texts", "_values", "_whole")

    def __init__(self, texts: _Texts, pieces: Sequence[Piece]) -> None:
        """`pieces` are (places of texts, their values or one for all, the claim that the texts share)."""
        self._texts = texts
        self._count = len(texts.offsets) - 1
        parts = [part for _, _, part in pieces]
        counts = [len(places) for places, _, _ in pieces]
        self._whole = parts[0].whole
        self._places = np.concatenate([places for places, _, _ in pieces])
        self._values = np.concatenate(
            [
                np.full(count, values) if isinstance(values, float) else values
                for (_, values, _), count in zip(pieces, counts, strict=True)
            ]
        )
        self._half_steps = np.repeat(np.array([part.half_step for part in parts]), counts)
        self._open = np.repeat(np.array([part.open_ended for part in parts], dtype=np.bool_), counts)
        self._starts = np.repeat(np.array([part.start for part in parts], dtype=np.int32), counts)
        self._ends = np.repeat(np.array([part.end for part in parts], dtype=np.int32), counts)

    @property
    def value(self) -> Floats:
        """The number or code number of every text; NaN where it makes no such claim."""
        result: Floats = self._spread(self._values, np.nan)
        return result

    @property
    def half_step(self) -> Floats:
        """Half of the last stated digit."""
        result: Floats = self._spread(self._half_steps, 0.0)
        return result

    @property
    def open_ended(self) -> npt.NDArray[np.bool_]:
        """Whether the claim was "or more"."""
        result: npt.NDArray[np.bool_] = self._spread(self._open, False)
        return result

    def _spread(self, values: Any, missing: Any) -> Any:
        result = np.full(self._count, missing, dtype=values.dtype)
        result[self._places] = values
        return result

    def words(self, codes: npt.NDArray[Any]) -> pa.Array:
        """The words of the claims of some texts, or the text to decode; "" where a text makes no such claim."""
        starts = self._spread(self._starts, 0)[codes].astype(np.int64)
        ends = self._spread(self._ends, 0)[codes].astype(np.int64)
        first = self._texts.offsets[:-1][codes]
        words = _cut(self._texts.data, first + starts, first + ends)
        return _one_line(words) if self._whole else words


class _Texts:
    """Distinct texts as characters and bounds."""

    __slots__ = ("array", "data", "offsets")

    def __init__(self, array: pa.StringArray) -> None:
        self.array = array
        self.data, self.offsets = characters_of(array)


class ClaimReader:
    """Reads the claims of columns.  Thread-safe: what is kept only saves repeated reading."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables
        self._shapes: dict[str, Shape] = {}
        self._rare: dict[str, tuple[Part, ...]] = {}

    def encode(self, columns: Sequence[pa.Array]) -> list[tuple[Codes, TextSnapshot]]:
        """For each column the codes of its records, and what its condensed texts claim."""
        if not columns:
            return []
        condensed = condense_encoded(pa.concat_arrays([column.cast(pa.string()) for column in columns]))
        every = condensed.indices.to_numpy(zero_copy_only=False)
        result, start = [], 0
        for column in columns:  # a column's own texts only, so that it has no claims of others to compare
            codes = every[start : start + len(column)]
            start += len(column)
            used = np.zeros(len(condensed.dictionary), dtype=np.bool_)
            used[codes] = True
            places = np.cumsum(used, dtype=np.int32) - np.int32(1)
            result.append((places[codes], self.read(condensed.dictionary.filter(pa.array(used)))))
        return result

    def read(self, array: pa.StringArray) -> TextSnapshot:
        """What distinct condensed texts claim."""
        if len(array) == 0:
            array = pa.array([""], pa.string())
        texts = _Texts(array)
        found: Found = defaultdict(list)
        shapes = shapes_of(array)
        codes = shapes.indices.to_numpy(zero_copy_only=False)
        order = np.argsort(codes, kind="stable")
        bounds = np.searchsorted(codes[order], np.arange(len(shapes.dictionary) + 1))
        few = [order[bounds[0] : bounds[0]]]
        for number, key in enumerate(shapes.dictionary.to_pylist()):
            places = order[bounds[number] : bounds[number + 1]]
            shape = self._shape(key, texts.array, places) if key else None
            if shape is None:
                few.append(places)
            else:
                self._read_shape(shape, texts, places, found)
        self._read_few(texts, np.sort(np.concatenate(few)), found)
        status = np.where(np.diff(texts.offsets) > 0, READ, BLANK).astype(np.int8)
        values = {key: ClaimValues(texts, pieces) for key, pieces in sorted(found.items())}
        return TextSnapshot(array, status, [""] * len(array), values)

    def _shape(self, key: str, texts: pa.Array, places: _Places) -> Shape | None:
        """How to read the texts of a shape; None where they are too few to read together, or no two are alike."""
        if len(places) < _RARE:
            return None
        shape = self._shapes.get(key)
        if shape is None:
            if len(self._shapes) >= _MOST_SHAPES:
                self._shapes = {}
            shape = self._shapes[key] = Shape(texts[int(places[0])].as_py())
        return None if shape.one_by_one else shape

    def _read_shape(self, shape: Shape, texts: _Texts, places: _Places, found: Found) -> None:
        starts = texts.offsets[places]

        def characters(columns: tuple[int, ...]) -> Any:
            return texts.data[starts[:, None] + np.array(columns, dtype=np.int32)]

        classes = shape.classes(characters, len(places))
        kinds = np.unique(classes) if shape.numbers else classes[:1]
        for kind in kinds.tolist():
            chosen = slice(None) if len(kinds) == 1 else np.flatnonzero(classes == kind)
            parts = shape.parts.get(kind)
            if parts is None:
                example = texts.array[int(places[chosen][0])].as_py()
                parts = shape.parts[kind] = parts_of(example, self._tables)
            own = places[chosen]
            for part in parts:
                value: Any = part.value
                if part.digits:
                    value = numbers_at(lambda columns: characters(columns)[chosen], part.digits, part.decimals)  # noqa: B023
                found[(part.field, part.turn)].append((own, value, part))

    def _read_few(self, texts: _Texts, places: _Places, found: Found) -> None:
        """Reads texts one by one; in a catalog of many alike they are few."""
        rare = self._rare
        for place, text in zip(places.tolist(), texts.array.take(pa.array(places)).to_pylist(), strict=True):
            parts = rare.get(text)
            if parts is None:
                if len(rare) >= _MOST_TEXTS:
                    rare = self._rare = {}
                parts = rare[text] = parts_of(text, self._tables)
            for part in parts:
                found[(part.field, part.turn)].append((np.array([place]), part.value, part))


def _cut(data: npt.NDArray[np.uint8], starts: _Places, ends: _Places) -> pa.Array:
    """Stretches of joined texts as an array of strings."""
    lengths = ends - starts
    offsets = np.zeros(len(lengths) + 1, dtype=np.int64)
    np.cumsum(lengths, out=offsets[1:])
    source = np.repeat(starts - offsets[:-1], lengths) + np.arange(offsets[-1])
    return pa.LargeStringArray.from_buffers(
        len(lengths), pa.py_buffer(offsets), pa.py_buffer(np.ascontiguousarray(data[source]))
    ).cast(pa.string())


def _one_line(sizes: pa.Array) -> pa.Array:
    """`auditor.claims.one_line` over an array: commas and runs of blanks are single blanks."""
    uneven = pc.match_substring_regex(sizes, r",|  |^ | $")
    if not pc.any(uneven).as_py():
        return sizes
    plain = pc.utf8_trim_whitespace(pc.replace_substring_regex(sizes, "[ ,]+", " "))
    return pc.if_else(uneven, plain, sizes)
