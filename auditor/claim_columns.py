"""The claims of a block's titles and sales texts as arrays.

Nothing is kept between blocks but how shapes are read, and the claims of texts whose shapes are rare; both are capped.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claim_shapes import Part, Shape, masked, numbers_at, parts_of
from auditor.claims_batch import condense_encoded
from auditor.readings import BLANK, READ, WHOLE
from auditor.tables import Tables
from auditor.value_cache import Codes, Floats, TextSnapshot

_MOST_SHAPES = 20_000
_MOST_TEXTS = 20_000  # of rare shapes
_RARE = 4  # a block's texts of one shape that are worth reading together
_Places = npt.NDArray[np.int64]


class ClaimValues:
    """The claims of one (field, turn) over the distinct texts of a block, kept for the texts that make one."""

    __slots__ = ("_count", "_ends", "_half_steps", "_open", "_places", "_starts", "_texts", "_values", "_whole")

    def __init__(self, texts: _Texts, whole: bool, pieces: Sequence[tuple[Any, ...]]) -> None:
        """`pieces` are (places of texts, values, half steps, open ended, starts, ends), arrays of one length each."""
        self._texts = texts
        self._whole = whole
        self._count = len(texts.offsets) - 1
        columns = [np.concatenate(column) for column in zip(*pieces, strict=True)]
        self._places, self._values, self._half_steps, self._open, self._starts, self._ends = columns

    @property
    def value(self) -> Floats:
        """The number or code number of every text; NaN where it makes no such claim."""
        return self._spread(self._values, np.nan)

    @property
    def half_step(self) -> Floats:
        """Half of the last stated digit."""
        return self._spread(self._half_steps, 0.0)

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
        offsets = np.frombuffer(array.buffers()[1], dtype=np.int32)[array.offset : array.offset + len(array) + 1]
        data = array.buffers()[2]
        characters = np.zeros(0, np.uint8) if data is None else np.frombuffer(data, dtype=np.uint8)
        self.data = characters[offsets[0] : offsets[-1]]
        self.offsets = (offsets - offsets[0]).astype(np.int32)


class ClaimReader:
    """Reads the claims of columns.  Thread-safe: what is kept only saves repeated reading."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables
        self._shapes: dict[str, Shape] = {}
        self._rare: dict[str, tuple[Part, ...]] = {}

    def encode(self, column: pa.Array) -> tuple[Codes, TextSnapshot]:
        """Codes of the column's records, and what their condensed texts claim."""
        condensed = condense_encoded(column)
        return condensed.indices.to_numpy(zero_copy_only=False), self.read(condensed.dictionary)

    def read(self, array: pa.StringArray) -> TextSnapshot:
        """What distinct condensed texts claim."""
        if len(array) == 0:
            array = pa.array([""], pa.string())
        texts = _Texts(array)
        found = _Found()
        shapes = _shapes_of(texts)
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
        values = {key: ClaimValues(texts, key[0] in WHOLE, pieces) for key, pieces in sorted(found.pieces.items())}
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

    def _read_shape(self, shape: Shape, texts: _Texts, places: _Places, found: _Found) -> None:
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
                found.add(part, own, value)

    def _read_few(self, texts: _Texts, places: _Places, found: _Found) -> None:
        """Reads texts one by one; in a catalog of many alike they are few."""
        rare = self._rare
        for place, text in zip(places.tolist(), texts.array.take(pa.array(places)).to_pylist(), strict=True):
            parts = rare.get(text)
            if parts is None:
                if len(rare) >= _MOST_TEXTS:
                    rare = self._rare = {}
                parts = rare[text] = parts_of(text, self._tables)
            for part in parts:
                found.add_one(part, place)
        found.close()


class _Found:
    """Claims as they are found, by field and turn."""

    def __init__(self) -> None:
        self.pieces: dict[tuple[str, int], list[tuple[Any, ...]]] = {}
        self._single: dict[tuple[str, int], list[tuple[int, Part]]] = {}

    def add(self, part: Part, places: _Places, value: Any) -> None:
        """The same claim of several texts; `value` is one number or one for each."""
        count = len(places)
        self.pieces.setdefault((part.field, part.turn), []).append(
            (
                places.astype(np.int32),
                np.full(count, value) if isinstance(value, float) else value,
                np.full(count, part.half_step),
                np.full(count, part.open_ended),
                np.full(count, part.start, dtype=np.int32),
                np.full(count, part.end, dtype=np.int32),
            )
        )

    def add_one(self, part: Part, place: int) -> None:
        """A claim of one text."""
        self._single.setdefault((part.field, part.turn), []).append((place, part))

    def close(self) -> None:
        """Ends the adding of single claims."""
        for key, pairs in self._single.items():
            parts = [part for _, part in pairs]
            self.pieces.setdefault(key, []).append(
                (
                    np.array([place for place, _ in pairs], dtype=np.int32),
                    np.array([part.value for part in parts], dtype=np.float64),
                    np.array([part.half_step for part in parts], dtype=np.float64),
                    np.array([part.open_ended for part in parts], dtype=np.bool_),
                    np.array([part.start for part in parts], dtype=np.int32),
                    np.array([part.end for part in parts], dtype=np.int32),
                )
            )
        self._single = {}


def _shapes_of(texts: _Texts) -> pa.DictionaryArray:
    data = masked(texts.data, texts.offsets)
    count = len(texts.offsets) - 1
    return pa.StringArray.from_buffers(count, pa.py_buffer(texts.offsets), pa.py_buffer(data)).dictionary_encode()


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
