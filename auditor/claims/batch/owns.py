"""What is the listings' own in the texts of a block, as arrays: the twin of `auditor.claims.texts.tokens_of`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.batch.arrays import Ints, hashes, mix
from auditor.claims.batch.names import NONE, Names, names_in
from auditor.claims.batch.quoted_cells import texts_of
from auditor.claims.batch.quotes import Quotes
from auditor.claims.batch.vocabulary import (
    BITS,
    CONSTRUCTION,
    DIGIT,
    FIGURE_ID,
    FOLDED,
    IDS,
    LOWER_ID,
    MODEL_ID,
    NUMBERS,
    OWN_ID,
    PART,
    PLAIN,
    PREFIX,
    QUOTABLE,
    RAISED,
    SERVICE_ID,
    SIZED,
    SLASHED,
    UPPER_ID,
    Tokens,
    Vocabulary,
)
from auditor.claims.own_cells import own_of
from auditor.claims.terms.names import MOST_OF_NAME
from auditor.claims.terms.own import STRONGER, Own, service_apart
from auditor.claims.terms.words import OWN
from auditor.columns.value_cache import Codes, MarkingCache, MarkingSnapshot, distinct

_LOADS, _SPEED = ("readable", "load_index", "load_index_dual"), "speed_symbol"  # facts
_SECOND = ("load_index_alt", "speed_symbol_alt")  # facts of a second service description


@dataclass(slots=True)
class Owns:
    """The own markings and names of a block's records, each distinct combination once."""

    vocabulary: Vocabulary
    cells: list[tuple[pa.StringArray, Ints]]  # marking, size, service description: distinct texts, places
    filled: list[npt.NDArray[np.bool_]]  # which of the distinct texts hold anything
    places: Ints  # of every record among the distinct ones
    size: Ints  # the tokens by which texts quote each; -1 for none
    other: Ints
    service: Ints
    letter: Ints
    apart: tuple[Ints, Ints]  # the words of each service description where it is written in two; -1 for none
    names: list[Names]
    _codes: Codes = field(default_factory=lambda: np.zeros(0, np.int32))  # of each as it is decoded; -1: not yet
    _snapshot: MarkingSnapshot | None = None  # that these point into
    _signs: dict[str, tuple[pa.Array, npt.NDArray[np.intp]]] = field(default_factory=dict)

    def own(self, one: int) -> Own:
        """One of the distinct ones."""
        return own_of(*(known[int(places[one])].as_py() for known, places in self.cells))

    def some(self, ones: Ints) -> list[Own]:
        """Some of the distinct ones, quicker than one by one."""
        cells = [known.take(pa.array(places[ones])).to_pylist() for known, places in self.cells]
        return [own_of(*texts) for texts in zip(*cells, strict=True)]

    def facts(self, some: Ints, markings: MarkingCache, *, speeds: bool) -> tuple[list[object], Ints]:
        """The distinct facts that loads, or speeds, too, are weighed against of some own ones, and the place of each's.

        One with a second service description is weighed by more, and is told from all others.
        """
        rows, snapshot = self._decoded(some, markings)
        names = (*_LOADS, _SPEED) if speeds else _LOADS
        facts = [np.ascontiguousarray(snapshot.fact(name, rows)).view(np.int64) for name in names]
        once = np.isnan(np.array([snapshot.fact(name, rows) for name in _SECOND])).all(axis=0)
        first, ids = distinct([*facts, np.where(once, -1, np.arange(len(rows)))])
        found: list[object] = list(zip(*(fact[first].tolist() for fact in facts), strict=True))
        for place in np.flatnonzero(~once[first]).tolist():
            found[place] = self.own(int(some[first[place]]))
        return found, ids

    def _decoded(self, some: Ints, markings: MarkingCache) -> tuple[Codes, MarkingSnapshot]:
        """The codes of some own markings, each asked for once, and a snapshot that they point into."""
        before = self._snapshot
        unread = some if before is None else some[self._codes[some] < 0]
        if before is None or len(unread):
            alone, together, described = self._described(unread)
            (codes, both), snapshot = markings.codes([alone, together])
            if before is not None and snapshot.generation != before.generation:
                self._snapshot = None  # what was read before has other codes now
                return self._decoded(some, markings)
            if before is None:
                self._codes = np.full(len(self.size), -1, np.int32)
            # As `Own.decoded`: a service description that does not go with the marking leaves it as it is.
            readable = snapshot.fact("readable", both.astype(np.int32)) == 1.0
            codes[described] = np.where(readable, both, codes[described])
            self._codes[unread] = codes
            self._snapshot = before = snapshot
        return self._codes[some], before

    def _described(self, some: Ints) -> tuple[pa.StringArray, pa.StringArray, Ints]:
        """By which texts `Own` reads the markings of some: alone, with the service description, and which have one."""
        marking, size, service = (
            (known if filled.all() else pc.if_else(pa.array(filled), known, "")).take(pa.array(places[some]))
            for (known, places), filled in zip(self.cells, self.filled, strict=True)
        )
        marking = pc.if_else(pc.equal(marking, ""), size, marking)
        both = pc.and_(pc.not_equal(marking, ""), pc.not_equal(service, ""))
        together = pc.binary_join_element_wise(marking.filter(both), service.filter(both), " ")
        return pc.utf8_trim_whitespace(marking), pc.utf8_trim_whitespace(together), np.flatnonzero(both)

    def signs(self, sign: str) -> tuple[pa.Array, npt.NDArray[np.intp]]:
        """What a sign stands for: the distinct texts, and the place of every record's own."""
        if sign not in self._signs:
            used, places = np.unique(self.size if sign == OWN else self.service, return_inverse=True)
            texts = pa.array([self.vocabulary.tokens[one] if one >= 0 else "" for one in used.tolist()], pa.string())
            self._signs[sign] = texts, places.astype(np.intp)[self.places]
        return self._signs[sign]

    def quoting(self) -> npt.NDArray[np.bool_]:
        """Which tokens may be of some listing's own marking."""
        return self.vocabulary.table[BITS] & QUOTABLE > 0

    def naming(self) -> npt.NDArray[np.bool_]:
        """Which tokens may begin some listing's name."""
        return self.folded_to(self.begins_of_names())

    def begins_of_names(self) -> set[int]:
        """The numbers, without case, of the tokens that names begin with; all figures have one."""
        figure = int(self.vocabulary.table[FOLDED][FIGURE_ID])
        firsts = (names.tokens[:, 0] for names in self.names)
        return {number if number >= 0 else figure for first in firsts for number in first.tolist()}

    def folded_to(self, numbers: set[int]) -> npt.NDArray[np.bool_]:
        """Which tokens have some numbers without their case."""
        held = np.zeros(self.vocabulary.count + 1, np.bool_)
        held[list(numbers)] = True
        return held[self.vocabulary.table[FOLDED]]

    @property
    def marks_of_names(self) -> npt.NDArray[np.uint64]:
        """A mark of the names of each distinct one, the same in every block of a vocabulary."""
        marks = np.zeros(len(self.size), np.uint64)
        for names in self.names:
            told = np.column_stack([names.tokens, names.hides, np.full(len(names.hides), names.model)])
            of_names = hashes(mix(told.ravel()), np.arange(len(told)) * told.shape[1])
            marks = mix(marks ^ np.append(of_names, np.uint64(0))[names.places])
        return marks

    def fillers(self) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
        """Which words are filler and in no name, and which of all begin with a capital."""
        table, (first, _) = self.vocabulary.table, self.vocabulary.first_and_last
        named = np.zeros(self.vocabulary.count + 1, np.bool_)
        for names in self.names:
            named[names.tokens[names.tokens >= 0]] = True
        plain = table[PLAIN][first]
        return self.vocabulary.single & (plain <= UPPER_ID) & ~named[table[FOLDED][first]], plain == UPPER_ID

    @property
    def namesakes(self) -> Ints:
        """For each distinct one the first that has the same names."""
        if not self.names:
            return np.zeros(len(self.size), np.int64)
        first, ids = distinct([names.places for names in self.names])
        return first[ids]

    def signed(self, flat: Tokens, bounds: Ints, own: Ints, *, title: bool) -> tuple[Tokens, Ints]:
        """Tokens as they are read, what is their own listing's put as signs; `own` by stretch."""
        table = self.vocabulary.table
        ids, read = flat & IDS, self.vocabulary.plain(flat)
        if not len(flat):
            return read, bounds
        naming = self.naming()
        at = np.flatnonzero((self.quoting() | naming)[ids])
        of = np.searchsorted(bounds, at, side="right") - 1
        theirs, ends = own[of], bounds[1:][of]
        token, size = ids[at], self.size[theirs]
        same = token == size
        some = np.flatnonzero(~same & (table[BITS][token] & (SIZED | SLASHED) > 0))
        same[some] = self._same_size(token[some], size[some], self.other[theirs[some]], title=title)
        read[at[same]] = OWN_ID
        described = at[token == self.service[theirs]]
        read[described] = SERVICE_ID
        gone = [np.zeros(0, np.int64)]
        if self.names:
            some = np.flatnonzero(naming[token])
            for names in self.names:
                gone.append(self._mask(names, flat, read, at[some], ends[some], theirs[some], title))
        if title:
            heads = self._services_apart(flat, bounds, own, read)
            read[heads] = SERVICE_ID
            gone.append(heads + 1)
        behind = described[described < len(flat) - 1] + 1
        behind = behind[read[behind - 1] == SERVICE_ID]
        if title:
            behind = np.concatenate([behind, heads[heads < len(flat) - 2] + 2])
        lettered = behind[read[behind] == self._letters(bounds, own, behind)]
        left_out = np.unique(np.concatenate([lettered, *gone]))
        if not len(left_out):
            return read, bounds
        return np.delete(read, left_out), bounds - np.searchsorted(left_out, bounds)

    def _services_apart(self, flat: Tokens, bounds: Ints, own: Ints, read: Tokens) -> Ints:
        """Where the own service description stands in two words that are in no name; the twin of `texts.tokens_of`."""
        ids, (head, tail) = flat & IDS, self.apart
        begins = np.zeros(len(self.vocabulary.tokens) + 1, np.bool_)
        begins[head[head >= 0]] = True
        at = np.flatnonzero(begins[ids[:-1]])
        of = np.searchsorted(bounds, at, side="right") - 1
        mine = own[of]
        same = (ids[at] == head[mine]) & (ids[at + 1] == tail[mine]) & (at + 1 < bounds[1:][of])
        at = at[same]
        named = (self.vocabulary.plain(flat[at]) != read[at]) | (self.vocabulary.plain(flat[at + 1]) != read[at + 1])
        return at[~named]

    def _same_size(self, token: Ints, size: Ints, other: Ints, *, title: bool) -> npt.NDArray[np.bool_]:
        """Whether tokens are the own size, part of it, or its other name."""
        table = self.vocabulary.table
        same: npt.NDArray[np.bool_] = token == np.where(size >= 0, table[PART][size], -1)
        stronger = np.isin(table[PREFIX][token], [self.vocabulary.number(letters) for letters in sorted(STRONGER)])
        for key in (size, other):
            prefix, of_own = table[PREFIX][token], table[PREFIX][key]
            built, of_key = table[CONSTRUCTION][token], table[CONSTRUCTION][key]
            same |= (
                (key >= 0)
                & (table[NUMBERS][token] == table[NUMBERS][key])
                & ((prefix == 0) | (prefix == of_own) | ((of_own == 0) & (title | ~stronger)))
                & ((built == 0) | (of_key == 0) | (built == of_key))
            )
        return same

    def _letters(self, bounds: Ints, own: Ints, at: Ints) -> Ints:
        """The load range that the listings of some tokens have, where the stretch goes on; -1 for none."""
        of = np.searchsorted(bounds, at, side="right") - 1
        return np.where(bounds[of] < at, self.letter[own[of]], -1)

    def _mask(self, names: Names, flat: Tokens, read: Tokens, at: Ints, ends: Ints, theirs: Ints, title: bool) -> Ints:
        """Puts a sign for a name in the place of its tokens; which of these are to be left out."""
        name = names.places[theirs]
        as_model = names.model and not title
        if as_model:
            some = np.flatnonzero((name >= 0) & (self.vocabulary.table[BITS][flat[at] & IDS] & (RAISED | DIGIT) > 0))
        else:
            some = np.flatnonzero((name >= 0) & names.hides[name])
        folded = self.vocabulary.table[FOLDED]
        at, ends, wanted = at[some], ends[some], names.tokens[name[some]]
        left = np.arange(len(at))
        for place in range(MOST_OF_NAME):
            over = wanted[left, place] == NONE
            token = flat[np.minimum(at[left] + place, len(flat) - 1)]
            same = np.where(token > IDS, -(token >> 32), folded[token & IDS]) == wanted[left, place]
            left = left[over | ((at[left] + place < ends[left]) & same)]
        if as_model:
            read[at[left]] = MODEL_ID
        rest = []
        for place in range(int(as_model), MOST_OF_NAME):
            within = at[left[wanted[left, place] != NONE]] + place
            read[within] = LOWER_ID if as_model else UPPER_ID
            rest.append(within)
        return np.concatenate(rest) if as_model else at[:0]


def owns_of(quotes: Quotes, columns: Sequence[pa.Array | None], count: int) -> Owns:
    """The own ones of records, from their columns of marking, size, service description, brand and model."""
    vocabulary = quotes.vocabulary
    cells = [texts_of(column, count) for column in columns]
    quoted = [quotes.of(texts) for texts, _ in cells[:3]]
    used = [
        names
        for number, (texts, places) in enumerate(cells[3:])
        for names in names_in(vocabulary, texts, places, model=number == 1)
    ]
    first, places = distinct([where for texts, where in cells[:3] if len(texts) > 1] + [one.places for one in used])
    if not len(first):
        first, places = np.zeros(1, np.int64), np.zeros(count, np.int64)
    cells = [(texts, where[first] if count else where) for texts, where in cells[:3]]
    size, other, service, letter = _chosen(cells, quoted)
    of_first = [replace(one, places=one.places[first]) for one in used]
    apart = _apart(vocabulary, service)
    return Owns(
        vocabulary, cells, [kinds[-1] > 0 for kinds in quoted], places, size, other, service, letter, apart, of_first
    )


def _chosen(cells: list[tuple[pa.StringArray, Ints]], quoted: list[tuple[Ints, ...]]) -> list[Ints]:
    """What texts quote of each own marking: the marking's, else the size's; the service description's own last."""
    of = [[values[places] for values in kinds] for kinds, (_, places) in zip(quoted, cells, strict=True)]
    marking, size, service = of
    given = marking[4] | size[4]
    found = [np.where(marking[4], marking[kind], size[kind]) for kind in range(4)]
    lacks = given & (found[2] < 0)
    return [found[0], found[1], *(np.where(lacks, service[kind], found[kind]) for kind in (2, 3))]


def _apart(vocabulary: Vocabulary, service: Ints) -> tuple[Ints, Ints]:
    """The two words of each service description, as tokens."""
    used, places = np.unique(service, return_inverse=True)
    words = [" ".join(service_apart(vocabulary.tokens[one])) if one >= 0 else " " for one in used.tolist()]
    flat, bounds = vocabulary.cut(pa.array(words, pa.string()))
    two = np.diff(bounds) == 2
    padded = np.append(flat & IDS, NONE)
    head, tail = (np.where(two, padded[np.minimum(bounds[:-1] + place, len(flat))], NONE) for place in (0, 1))
    return head[places], tail[places]
