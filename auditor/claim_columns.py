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

from auditor.claim_pieces import ClaimTable, Found, Places, by_turn, claims_of_texts, cut, pieces_of, without_compared
from auditor.claim_shapes import Part, Shape, numbers_at, parts_of
from auditor.claims_batch import Condenser, naming_other_tires
from auditor.digit_shapes import Bytes, Offsets, characters_of, shapes_of
from auditor.readings import BLANK, READ, WHOLE
from auditor.tables import Tables
from auditor.value_cache import Codes, Floats, TextSnapshot

_MOST_SHAPES = 20_000
_MOST_KINDS = 200  # of number classes in one shape
_MOST_TEXTS = 20_000  # of rare shapes
_RARE = 4  # a block's pieces of one shape that are worth reading together


class ClaimValues:
    """The claims of one (field, turn) over the distinct texts of a block, kept for the texts that make one."""

    __slots__ = ("_claims", "_count", "_data", "_whole")

    def __init__(self, claims: ClaimTable, data: Bytes, count: int, whole: bool) -> None:
        """`claims` are at most one per text, of `count` texts whose characters are `data`."""
        self._claims = claims
        self._data = data
        self._count = count
        self._whole = whole

    @property
    def value(self) -> Floats:
        """The number or code number of every text; NaN where it makes no such claim."""
        result: Floats = self._spread(self._claims.value, np.nan)
        return result

    @property
    def half_step(self) -> Floats:
        """Half of the last stated digit."""
        result: Floats = self._spread(self._claims.half_step, 0.0)
        return result

    @property
    def open_ended(self) -> npt.NDArray[np.bool_]:
        """Whether the claim was "or more"."""
        result: npt.NDArray[np.bool_] = self._spread(self._claims.open_ended, False)
        return result

    def _spread(self, values: Any, missing: Any) -> Any:
        result = np.full(self._count, missing, dtype=values.dtype)
        result[self._claims.owner] = values
        return result

    def words(self, codes: npt.NDArray[Any]) -> pa.Array:
        """The words of the claims of some texts, or the text to decode; "" where a text makes no such claim."""
        starts = self._spread(self._claims.start, 0)[codes]
        words = cut(self._data, starts, self._spread(self._claims.end, 0)[codes])
        return _one_line(words) if self._whole else words


class ClaimReader:
    """Reads the claims of columns.  Thread-safe: what is kept only saves repeated reading."""

    def __init__(self, tables: Tables) -> None:
        self._tables = tables
        self._shapes: dict[str, Shape] = {}
        self._rare: dict[str, tuple[Part, ...]] = {}
        self._condenser = Condenser()

    def encode(self, columns: Sequence[pa.Array]) -> list[tuple[Codes, TextSnapshot]]:
        """For each column the codes of its records, and what its condensed texts claim."""
        return [
            (condensed.indices.to_numpy(), self.read(condensed.dictionary))
            for condensed in self._condenser.condense(columns)
        ]

    def read(self, array: pa.StringArray) -> TextSnapshot:
        """What distinct condensed texts claim."""
        if len(array) == 0:
            array = pa.array([""], pa.string())
        data, offsets = characters_of(array)
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
        values = {
            (names[field], turn): ClaimValues(table, data, len(array), names[field] in WHOLE)
            for (field, turn), table in by_turn(claims, len(names)).items()
        }
        status = np.where(np.diff(offsets) > 0, READ, BLANK).astype(np.int8)
        return TextSnapshot(array, status, [""] * len(array), dict(sorted(values.items())))

    def _claims_of_pieces(self, distinct: pa.StringArray, shapes: pa.DictionaryArray) -> Found:
        found = Found()
        characters = characters_of(distinct)
        codes = shapes.indices.to_numpy(zero_copy_only=False)
        order = np.argsort(codes, kind="stable")
        bounds = np.searchsorted(codes[order], np.arange(len(shapes.dictionary) + 1))
        common = np.flatnonzero(np.diff(bounds) >= _RARE)
        few = [order[np.repeat(np.diff(bounds) < _RARE, np.diff(bounds))]]
        for number, key in zip(common.tolist(), shapes.dictionary.take(pa.array(common)).to_pylist(), strict=True):
            places = order[bounds[number] : bounds[number + 1]]
            shape = self._shape(key, distinct, places)
            if shape.one_by_one or not self._read_shape(shape, distinct, characters, places, found):
                few.append(places)
        self._read_few(distinct, np.sort(np.concatenate(few)), found)
        return found

    def _shape(self, key: str, pieces: pa.StringArray, places: Places) -> Shape:
        shape = self._shapes.get(key)
        if shape is None:
            if len(self._shapes) >= _MOST_SHAPES:
                self._shapes = {}
            shape = self._shapes[key] = Shape(pieces[int(places[0])].as_py())
        return shape

    def _read_shape(
        self, shape: Shape, pieces: pa.StringArray, joined: tuple[Bytes, Offsets], places: Places, found: Found
    ) -> bool:
        """Reads pieces of one shape; False, and nothing done, where reading them together saves nothing."""
        data, offsets = joined
        starts = offsets[places]

        def characters(columns: tuple[int, ...]) -> Any:
            return data[starts[:, None] + np.array(columns, dtype=np.int32)]

        classes = shape.classes(characters, len(places))
        kinds = np.unique(classes) if shape.numbers else classes[:1]
        if len(kinds) * _RARE > len(places) + _RARE:
            return False
        for kind in kinds.tolist():
            chosen = slice(None) if len(kinds) == 1 else np.flatnonzero(classes == kind)
            parts = shape.parts.get(kind)
            if parts is None:
                if len(shape.parts) >= _MOST_KINDS:
                    shape.parts = {}
                parts = shape.parts[kind] = parts_of(pieces[int(places[chosen][0])].as_py(), self._tables)
            for part in parts:
                value: Any = part.value
                if part.digits:
                    value = numbers_at(characters, part.digits, part.decimals)[chosen]
                found.add(part, places[chosen], value)
        return True

    def _read_few(self, pieces: pa.StringArray, places: Places, found: Found) -> None:
        """Reads pieces one by one; in a catalog of many alike they are few."""
        rare = self._rare
        for place, text in zip(places.tolist(), pieces.take(pa.array(places)).to_pylist(), strict=True):
            parts = rare.get(text)
            if parts is None:
                if len(rare) >= _MOST_TEXTS:
                    rare = self._rare = {}
                parts = rare[text] = parts_of(text, self._tables)
            for part in parts:
                found.add_one(part, place)


def _one_line(sizes: pa.Array) -> pa.Array:
    """`auditor.claims.one_line` over an array: commas and runs of blanks are single blanks."""
    uneven = pc.match_substring_regex(sizes, r",|  |^ | $")
    if not pc.any(uneven).as_py():
        return sizes
    plain = pc.utf8_trim_whitespace(pc.replace_substring_regex(sizes, "[ ,]+", " "))
    return pc.if_else(uneven, plain, sizes)
