"""The claims of a block's titles and sales texts as arrays.

What is kept between blocks, how shapes are read and what texts claim, is capped.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.condenser import Condenser, naming_other_tires
from auditor.claims.batch.pieces import ClaimsFound, Places, by_occurrence, claims_of_texts, pieces_of, without_compared
from auditor.claims.batch.shapes import Part, Shape, numbers_at, parts_of
from auditor.claims.batch.values import NO_CLAIMS, ClaimTables, grown, used_by
from auditor.columns.digit_shapes import Bytes, Offsets, characters_of, shapes_of
from auditor.columns.value_cache import Codes, TextSnapshot
from auditor.trade.tables import Tables

_MOST_SHAPES = 20_000
_MOST_KINDS = 200  # of number classes in one shape
_MOST_TEXTS = 60_000  # condensed, per column
_MOST_RARE = 20_000  # texts of rare shapes
_RARE = 4  # a block's pieces of one shape that are worth reading together


class ClaimReader:
    """Reads the claims of columns.  Thread-safe: what is kept only saves repeated reading."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables
        self._shapes: dict[str, Shape] = {}
        self._rare: dict[str, tuple[Part, ...]] = {}
        self._condenser = Condenser()
        self._snapshots: dict[int, TextSnapshot] = {}  # by column
        self._lock = threading.Lock()

    def encode(self, columns: Sequence[pa.Array]) -> list[tuple[Codes, TextSnapshot, npt.NDArray[np.intp]]]:
        """For each column the codes of its condensed texts, what these claim, and the place of each record's text."""
        return [
            (*self._codes(number, condensed.dictionary), condensed.indices.to_numpy().astype(np.intp))
            for number, condensed in enumerate(self._condenser.condense(columns))
        ]

    def _codes(self, column: int, texts: pa.StringArray) -> tuple[Codes, TextSnapshot]:
        """The codes of distinct condensed texts, and the snapshot that these point into.

        A column has its own: it should not have to be compared for claims that only texts of other columns make.
        """
        snapshot = self._snapshots.get(column, NO_CLAIMS)
        found = pc.index_in(texts, snapshot.keys)
        if found.null_count:
            with self._lock:
                if (newest := self._snapshots.get(column, NO_CLAIMS)) is not snapshot:
                    snapshot, found = newest, pc.index_in(texts, newest.keys)
                if len(snapshot.keys) + found.null_count > _MOST_TEXTS:
                    snapshot, found = NO_CLAIMS, pc.index_in(texts, NO_CLAIMS.keys)
                unknown = found.is_null()
                unseen = texts.filter(unknown)
                codes = found.fill_null(0).to_numpy().copy()
                codes[unknown.to_numpy(zero_copy_only=False)] = np.arange(len(unseen)) + len(snapshot.keys)
                if len(unseen):
                    snapshot = self._snapshots[column] = grown(snapshot, unseen, self._read(unseen))
        else:
            codes = found.to_numpy()
        return codes, used_by(snapshot, codes)

    def _read(self, array: pa.StringArray) -> ClaimTables:
        """What distinct condensed texts claim."""
        shapes = shapes_of(array)
        pieces = pieces_of(
            array, naming_other_tires(shapes.dictionary).take(shapes.indices).to_numpy(zero_copy_only=False)
        )
        if pieces.distinct is not array:
            shapes = shapes_of(pieces.distinct)
        fields: dict[str, int] = {}
        claims = claims_of_texts(self._claims_of_pieces(pieces.distinct, shapes).table(fields), pieces)
        claims = without_compared(claims, fields.get("season", -1))
        names = list(fields)
        return {
            (names[field], occurrence): table
            for (field, occurrence), table in by_occurrence(claims, len(names)).items()
        }

    def _claims_of_pieces(self, distinct: pa.StringArray, shapes: pa.DictionaryArray) -> ClaimsFound:
        found = ClaimsFound()
        characters = characters_of(distinct)
        codes = shapes.indices.to_numpy(zero_copy_only=False)
        order = np.argsort(codes, kind="stable")
        bounds = np.searchsorted(codes[order], np.arange(len(shapes.dictionary) + 1))
        common = np.flatnonzero(np.diff(bounds) >= _RARE)
        few = [order[np.repeat(np.diff(bounds) < _RARE, np.diff(bounds))]]
        for number, key in zip(common.tolist(), shapes.dictionary.take(pa.array(common)).to_pylist(), strict=True):
            positions = order[bounds[number] : bounds[number + 1]]
            shape = self._shape(key, distinct, positions)
            if shape.one_by_one or not self._read_shape(shape, distinct, characters, positions, found):
                few.append(positions)
        self._read_few(distinct, np.sort(np.concatenate(few)), found)
        return found

    def _shape(self, key: str, pieces: pa.StringArray, positions: Places) -> Shape:
        shape = self._shapes.get(key)
        if shape is None:
            if len(self._shapes) >= _MOST_SHAPES:
                self._shapes = {}
            shape = self._shapes[key] = Shape(pieces[int(positions[0])].as_py())
        return shape

    def _read_shape(
        self, shape: Shape, pieces: pa.StringArray, joined: tuple[Bytes, Offsets], positions: Places, found: ClaimsFound
    ) -> bool:
        """Reads pieces of one shape; False, and nothing done, where reading them together saves nothing."""
        data, offsets = joined
        starts = offsets[positions]

        def characters(columns: tuple[int, ...]) -> Any:
            return data[starts[:, None] + np.array(columns, dtype=np.int32)]

        classes = shape.classes(characters, len(positions))
        kinds = np.unique(classes) if shape.numbers else classes[:1]
        if len(kinds) * _RARE > len(positions) + _RARE:
            return False
        for kind in kinds.tolist():
            chosen = slice(None) if len(kinds) == 1 else np.flatnonzero(classes == kind)
            parts = shape.parts.get(kind)
            if parts is None:
                if len(shape.parts) >= _MOST_KINDS:
                    shape.parts = {}
                parts = shape.parts[kind] = parts_of(pieces[int(positions[chosen][0])].as_py(), self._tables)
            for part in parts:
                value: Any = part.value
                if part.digits:
                    value = numbers_at(characters, part.digits, part.decimals)[chosen]
                found.add(part, positions[chosen], value)
        return True

    def _read_few(self, pieces: pa.StringArray, positions: Places, found: ClaimsFound) -> None:
        """Reads pieces one by one; in a catalog of many alike they are few."""
        rare = self._rare
        for position, text in zip(positions.tolist(), pieces.take(pa.array(positions)).to_pylist(), strict=True):
            parts = rare.get(text)
            if parts is None:
                if len(rare) >= _MOST_RARE:
                    rare = self._rare = {}
                parts = rare[text] = parts_of(text, self._tables)
            for part in parts:
                found.add_one(part, position)
