"""The rows of many distinct markings at once.

Of the markings that the short way of the decoder takes (`auditor.marking.fast`), those of one form differ only in
their numbers: width, aspect ratio, rim, load indices and speed symbol.  One of each form is decoded by the same core
that reads a single listing; its siblings' numbers are filled in as columns.  Every other text is decoded by itself.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, NamedTuple, cast

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.marking.fast import fast_marking
from auditor.marking.store import MarkingRow, read_row
from auditor.marking.words import MarkingWords
from auditor.trade.derive import dimensions, four_decimals
from auditor.trade.facts import FACT_POSITION
from auditor.trade.marking_model import Marking
from auditor.trade.tables import Tables
from auditor.trade.units import MM_PER_INCH
from auditor.trade.value_text import number_text

Floats = npt.NDArray[np.float64]
Places = npt.NDArray[np.int64]
Words = dict[str, pa.Array]  # by kind, one text per marking

FEWEST = 64  # distinct texts from which columns are quicker than one reading each

# The forms of which siblings are read alike: subsets of the patterns of `auditor.marking.fast`.
_SIZES = {
    "metric": (
        r"^(?P<before>P|LT|ST|T|HL)?(?P<width>[1-9][0-9][05])/(?P<aspect>[2-9][05])(?P<construction>ZR|R|D)"
        r"(?P<rim>1[0-9]|2[0-4]|17\.5|19\.5|22\.5|24\.5)(?P<after>LT|C)?$"
    ),
    "inch": (
        r"^(?P<overall>2[4-9]|3[0-9]|4[0-9])x(?P<width>(?:[89]|1[0-7])\.[05]0)(?P<construction>R|-)"
        r"(?P<rim>1[2-9]|2[0-4])(?P<after>LT)?$"
    ),
}
_TAIL = (
    r"^(?P<ply> [0-9]{1,2}PR)?"
    r"(?: (?P<single>[2-9][0-9]|1[0-9][0-9])(?:/(?P<dual>[2-9][0-9]|1[0-9][0-9]))?(?P<symbol>[F-HJ-NP-WY]))?"
    r"(?P<rest>(?: \([0-9]{2,3}[WY]\))?(?: (?:XL|[A-HJLMN]))?"
    r"(?: (?:M\+S|3PMSF|TL|TT|FRT|BSW|OWL|RWL|VSB|REGROOVABLE))*)$"
)
_SPLIT = r"^(?P<size>[A-Z0-9./x-]+)(?P<tail>(?: [A-Z0-9./+()]+)*)$"
_LIMITS = ("diameter_min_mm", "diameter_max_mm", "diameter_special_min_mm", "diameter_special_max_mm")
_SLOW = pa.array(list("FGJKLMN"))
_HALF_INCH = pa.array(["17.5", "19.5", "22.5", "24.5"])


class WordsAtHand(NamedTuple):
    """The words of markings that had to be read one by one."""

    positions: Places
    words: Words


def read_facts(keys: pa.Array, facts: Floats, tables: Tables) -> WordsAtHand:
    """Puts the facts of `auditor.marking.store.read_row` for every key into `facts`, FACTS x keys.

    Keys are distinct and not null.
    """
    left = np.arange(len(keys))
    for kind in _SIZES if len(keys) >= FEWEST else ():
        found = _siblings(kind, _taken(keys, left), tables)
        if found is not None:
            _fill(facts, left[found.positions], found, tables)
            left = np.delete(left, found.positions)
    alone = [read_row(key, tables) for key in keys.take(pa.array(left)).to_pylist()]
    if alone:
        facts[:, left] = np.array([row.facts for row in alone], dtype=np.float64).T
    return WordsAtHand(left, _words_of(alone))


def read_words(keys: pa.Array, tables: Tables) -> Words:
    """The words of `auditor.marking.store.read_row` for every key; keys are distinct and not null."""
    parts: list[tuple[Places, Words]] = []
    left = np.arange(len(keys))
    for kind in _SIZES if len(keys) >= FEWEST else ():
        found = _siblings(kind, _taken(keys, left), tables)
        if found is not None:
            parts.append((left[found.positions], _worded(found)))
            left = np.delete(left, found.positions)
    parts.append((left, _words_of([read_row(key, tables) for key in keys.take(pa.array(left)).to_pylist()])))
    back = np.empty(len(keys), dtype=np.int64)
    back[np.concatenate([positions for positions, _ in parts])] = np.arange(len(keys))
    order = pa.array(back)
    return {name: pa.concat_arrays([words[name] for _, words in parts]).take(order) for name in MarkingWords._fields}


def _taken(keys: pa.Array, positions: Places) -> pa.Array:
    """keys[places]; they rise, so as many as there are keys are all of them."""
    return keys if len(positions) == len(keys) else keys.take(pa.array(positions))


def _words_of(rows: Sequence[MarkingRow]) -> Words:
    columns = zip(*(row.words for row in rows), strict=True) if rows else [()] * len(MarkingWords._fields)
    return dict(zip(MarkingWords._fields, (pa.array(column, pa.string()) for column in columns), strict=True))


class _Part:
    """Some texts split by a pattern: each distinct text once, its groups as columns, and the place of each record."""

    def __init__(self, texts: pa.Array, pattern: str) -> None:
        coded = texts.dictionary_encode()
        self.texts = coded.dictionary
        self.positions = coded.indices.to_numpy().astype(np.int64)
        self._found = pc.extract_regex(self.texts, pattern)
        self.matches = self._found.is_valid().to_numpy(zero_copy_only=False)
        self.names = {field.name for field in self._found.type}

    def text(self, name: str) -> pa.Array:
        """A group of every distinct text; "" where it took no part or the text does not match."""
        if name not in self.names:
            return pa.array([""], pa.string()).take(pa.array(np.zeros(len(self.texts), dtype=np.int64)))
        return pc.struct_field(self._found, name).fill_null("")

    def number(self, name: str) -> Floats:
        """The same as a number; NaN for ""."""
        text = self.text(name)
        return _by_text(text, lambda one: float(one) if one else float("nan"))

    def form(self, *columns: Any) -> Places:
        """A number for each distinct combination of columns, by distinct text."""
        joined = columns[0] if len(columns) == 1 else pc.binary_join_element_wise(*columns, "|")
        numbers: Places = joined.dictionary_encode().indices.to_numpy().astype(np.int64)
        return numbers


def _by_text(texts: pa.Array, make: Any) -> Floats:
    """`make` of every text, called once per distinct one."""
    coded = texts.dictionary_encode()
    values = np.array([make(one) for one in coded.dictionary.to_pylist()], dtype=np.float64)
    return values[coded.indices.to_numpy()] if len(values) else np.zeros(len(texts))


class _Siblings(NamedTuple):
    """Keys of known forms: their parts, and one that was read for each form."""

    keys: pa.Array  # of the siblings alone
    positions: Places  # among the keys that were asked about
    members: Places  # number of each sibling's form
    read: Sequence[MarkingRow]  # by form
    samples: Sequence[Marking | None]
    size: _Part
    size_form: Places
    own_size: Places  # place of each sibling's size in `size`
    tail: _Part
    own_tail: Places


def _siblings(kind: str, keys: pa.Array, tables: Tables) -> _Siblings | None:
    """The keys of known forms; None where there are none."""
    split = pc.extract_regex(keys, _SPLIT)
    positions = np.arange(len(keys))
    if split.null_count:
        positions = np.flatnonzero(split.is_valid().to_numpy(zero_copy_only=False))
        split = split.take(pa.array(positions))
    if len(positions) == 0:
        return None
    size, tail = _Part(pc.struct_field(split, "size"), _SIZES[kind]), _Part(pc.struct_field(split, "tail"), _TAIL)
    sound = (size.matches & _plain_size(kind, size))[size.positions] & tail.matches[tail.positions]
    if not sound.any():
        return None
    half = pc.is_in(size.text("rim"), value_set=_HALF_INCH).to_numpy(zero_copy_only=False)
    bare = _equal(size.text("before"), "") & _equal(size.text("after"), "")
    if kind == "metric":  # truck tires are told apart by index, symbol and aspect ratio: the full way
        slow = pc.is_in(tail.text("symbol"), value_set=_SLOW).to_numpy(zero_copy_only=False)
        tall = bare & ~half & (size.number("aspect") >= 60)
        sound &= ~(tall[size.positions] & (slow & (tail.number("single") > 121))[tail.positions])
    held = pc.if_else(pa.array(half), "half", "")
    size_form = size.form(size.text("before"), size.text("construction"), held, size.text("after"))
    told = [pc.if_else(pc.equal(tail.text(name), ""), "", name) for name in ("single", "dual")]
    tail_form = tail.form(tail.text("ply"), *told, tail.text("rest"))
    form = size_form[size.positions] * (int(tail_form.max()) + 1) + tail_form[tail.positions]
    kept = np.flatnonzero(sound)
    if len(kept) == 0:
        return None
    _, first, members = np.unique(form[kept], return_index=True, return_inverse=True)
    texts = keys.take(pa.array(positions[kept[first]])).to_pylist()
    samples = [fast_marking(text) for text in texts]
    known = np.array([sample is not None for sample in samples], dtype=np.bool_)[members]
    if not known.any():
        return None
    if not known.all():
        kept, members = kept[known], members[known]
    return _Siblings(
        _taken(keys, positions[kept]),
        positions[kept],
        members,
        [read_row(text, tables) for text in texts],
        samples,
        size,
        size_form,
        size.positions[kept],
        tail,
        tail.positions[kept],
    )


def _fill(facts: Floats, positions: Places, found: _Siblings, tables: Tables) -> None:
    """Puts the facts of siblings to their places: a sample's, with their own numbers in them."""
    size, own_size, tail, own_tail = found.size, found.own_size, found.tail, found.own_tail
    whole = slice(None) if len(positions) == facts.shape[1] else positions
    read = np.array([row.facts for row in found.read], dtype=np.float64).T
    for row, values in zip(facts, read, strict=True):
        row[whole] = values.take(found.members)
    by_form = {int(found.size_form[own_size[at]]): found.samples[form] for at, form in _firsts(found.members)}
    for name, values in _sized(size, found.size_form, by_form, tables).items():
        facts[FACT_POSITION[name]][whole] = values.take(own_size)
    described = np.flatnonzero(~np.isnan(tail.number("single"))[own_tail])
    for name, values in _serviced(tail, tables).items():
        facts[FACT_POSITION[name], positions[described]] = values[own_tail[described]]


def _firsts(members: Places) -> list[tuple[int, int]]:
    """(place, member) of the first of each member."""
    values, first = np.unique(members, return_index=True)
    return list(zip(first.tolist(), values.tolist(), strict=True))


def _sized(size: _Part, form: Places, samples: Mapping[int, Marking | None], tables: Tables) -> dict[str, Floats]:
    """Facts that hang on the size alone, for every distinct size."""
    width, aspect, overall = size.number("width"), size.number("aspect"), size.number("overall")
    rim = size.number("rim")
    inch = "overall" in size.names
    facts = {name: np.full(len(size.texts), np.nan) for name in ("overall_diameter_mm", *_LIMITS, "revs_per_km")}
    for number, sample in samples.items():
        mine = form == number
        known: dict[str, Any] = {"overall_diameter_in": overall[mine]} if inch else {"section_width_mm": width[mine]}
        known["aspect_ratio"] = None if inch else aspect[mine]
        numbers = replace(cast(Marking, sample), **known)
        rim_mm = _by_text(size.text("rim"), lambda one: tables.rim_of(float(one)) if one else float("nan"))[mine]
        _, *found = dimensions(numbers, rim_mm)
        for name, values in zip(facts, found, strict=True):
            if values is not None:
                facts[name][mine] = values
    facts["rim_diameter_in"] = rim
    facts["section_width_mm"] = four_decimals(width * MM_PER_INCH) if inch else width
    facts["section_width_in" if inch else "aspect_ratio"] = width if inch else aspect
    return facts


def _serviced(tail: _Part, tables: Tables) -> dict[str, Floats]:
    """Facts that hang on the service description alone, for every distinct tail."""
    nan = float("nan")
    positions = {symbol: float(position) for position, symbol in enumerate(tables.speed_kmh)}

    def load(index: str) -> float:
        found = tables.load_of(int(index)) if index else None
        return nan if found is None else found

    symbols = tail.text("symbol")
    return {
        "load_index": tail.number("single"),
        "load_index_dual": tail.number("dual"),
        "load_single_kg": _by_text(tail.text("single"), load),
        "load_dual_kg": _by_text(tail.text("dual"), load),
        "speed_symbol": _by_text(symbols, lambda one: positions.get(one, nan)),
        "speed_kmh": _by_text(symbols, lambda one: tables.speed_kmh.get(one, nan)),
    }


def _worded(found: _Siblings) -> Words:
    """The words of siblings: a sample's, with their own numbers in them."""
    size, tail = found.size, found.tail
    own_size, own_tail, forms = pa.array(found.own_size), pa.array(found.own_tail), pa.array(found.members)
    single, dual = tail.text("single"), tail.text("dual")
    pair = pc.binary_join_element_wise(single, dual, "/")
    index = pc.if_else(pc.equal(dual, ""), single, pair).take(own_tail)
    described = pc.not_equal(index, "")
    words = {name: column.take(forms) for name, column in _words_of(found.read).items()}
    rims = size.text("rim").dictionary_encode()
    rim = pa.array(
        [number_text("rim_diameter_in", float(r or "nan")) for r in rims.dictionary.to_pylist()], pa.string()
    )
    words["canonical"] = found.keys
    words["size"] = size.texts.take(own_size)
    words["load_index"] = pc.if_else(described, index, words["load_index"])
    words["speed_symbol"] = pc.if_else(described, tail.text("symbol").take(own_tail), words["speed_symbol"])
    words["rim"] = rim.take(rims.indices).take(own_size)
    return words


def _equal(texts: pa.Array, text: str) -> npt.NDArray[np.bool_]:
    found: npt.NDArray[np.bool_] = pc.equal(texts, text).to_numpy(zero_copy_only=False)
    return found


def _plain_size(kind: str, size: _Part) -> npt.NDArray[np.bool_]:
    """Sizes whose family hangs on nothing but their letters; see `auditor.marking.fast`."""
    if kind == "inch":
        rim = size.number("rim")
        return (rim + 2 <= size.number("overall")) & (((rim >= 14) & (rim <= 22)) | ~_equal(size.text("after"), ""))
    half = pc.is_in(size.text("rim"), value_set=_HALF_INCH).to_numpy(zero_copy_only=False)
    before, after = ~_equal(size.text("before"), ""), ~_equal(size.text("after"), "")
    fives: npt.NDArray[np.bool_] = pc.ends_with(size.text("width"), "5").to_numpy(zero_copy_only=False)
    return np.where(before, ~after & ~half, np.where(after, ~half, fives))
