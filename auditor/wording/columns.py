"""Words the findings of a block of records at once.

The array twin of `auditor.wording.sentences.word`: the same pieces, joined as columns.
Loops run over hits, distinct numbers, distinct cell texts and distinct sets of witnesses, never over records.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from operator import itemgetter
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.columns.value_cache import distinct
from auditor.judging.block.hits import Hits, Sides, Winners, float_bits
from auditor.judging.block.member_sets import MemberSets
from auditor.judging.block.statements import BlockStatements
from auditor.judging.certainty import OtherPart, is_certain, other_parts
from auditor.judging.failures import REASON
from auditor.judging.statements import TEXTS
from auditor.judging.votes import characteristics_in_evidence
from auditor.trade.value_text import number_words
from auditor.wording.cells import corrected
from auditor.wording.details import BARE, FACT, detail_of
from auditor.wording.names import NamesOf
from auditor.wording.sentences import (
    LONGEST_QUOTED,
    PLACEHOLDER_DEFAULTS,
    bare_evidence,
    consequence,
    evidence_ends,
    may_suggest,
    message_parts,
)

Rows = npt.NDArray[np.int64]
_WORD_COLUMNS = {"marking": "canonical", "size": "size", "load_index": "load_index", "speed_symbol": "speed_symbol"}
_WORD_COLUMNS |= {"load_range": "load_range", "rim": "rim"}
# Whole numbers without anything around them and without separators of thousands.
_PLAIN_NUMBER = r"^[0-9]+$"


class FindingsToWord:
    """The findings of a block, those of each hit together, with everything that words them."""

    def __init__(self, part: BlockStatements, hits: Sequence[Hits], found: Winners, side: Sides | None) -> None:
        """`part` holds the statements of the findings' records, in the findings' order."""
        self.part, self.hits, self.found = part, hits, found
        self._side = side
        self.count = len(found.rows)
        self.stretches = [(hits[number], some) for number, some in _stretches(found.hit)]
        self.derive_markings = [hit.rule.derives == "marking" for hit in hits]

    @property
    def side(self) -> Sides:
        """Which statements agree with the marking and which differ."""
        assert self._side is not None
        return self._side

    @cached_property
    def _asked(self) -> MemberSets:
        """Which statements speak about what each finding is about."""
        wanted = [characteristics_in_evidence(self.part.book, hit.about, hit.basis) for hit in self.hits]
        return self.side.speaking_about(wanted).at(self.found.hit)

    @cached_property
    def agree(self) -> MemberSets:
        """The statements that agree with the marking, for each finding."""
        return self.side.agrees & self._asked

    @cached_property
    def differ(self) -> MemberSets:
        """The statements that do not."""
        return self.side.differs & self._asked

    def in_short(self) -> dict[str, pa.Array]:
        """The columns that say what a finding is about, without its sentence; `side` is not asked for them."""
        return {"stated": self.stated, "derived": self._said_derived, "marking": self._governing_marking()}

    @property
    def _said_derived(self) -> pa.Array:
        unsaid = [h.about == "marking" and not own for h, own in zip(self.hits, self.derive_markings, strict=True)]
        return self._where(unsaid, "", self.derived)

    def columns(self) -> dict[str, pa.Array]:
        """The worded columns: stated, derived, marking, evidence, suggestion, message."""
        return {
            **self.in_short(),
            "evidence": self._evidence(),
            "suggestion": self._suggestions(),
            "message": pa.concat_arrays([self._messages(hit, some) for hit, some in self.stretches]),
            "reason": pa.concat_arrays([self._reason(hit, some) for hit, some in self.stretches]),
        }

    def _reason(self, hit: Hits, some: slice) -> pa.Array:
        """Why cells cannot be read; "" where they can."""
        if hit.basis.kind != REASON:
            return pa.repeat("", some.stop - some.start)
        return self.part.at(_rows(some)).reason_column(hit.basis.about, hit.source)

    def _of_hits(self, flags: Sequence[bool]) -> npt.NDArray[np.bool_]:
        """Something that is true of hits, for each finding."""
        return np.array(flags, dtype=np.bool_)[self.found.hit]

    def _where(self, flags: Sequence[bool], some: Any, other: pa.Array) -> pa.Array:
        """`some` for the findings of flagged hits, else `other`."""
        return pc.if_else(pa.array(self._of_hits(flags)), some, other) if any(flags) else other

    @cached_property
    def stated(self) -> pa.Array:
        """The raw texts of the whole cells, or claims in their own words."""
        return pa.concat_arrays([self._stated_by(hit, some) for hit, some in self.stretches])

    def _stated_by(self, hit: Hits, some: slice) -> pa.Array:
        coded = self.part.texts.get(hit.source)
        if coded is not None and hit.report not in TEXTS:
            return coded.snapshot.keys.take(pa.array(coded.at(some).codes))  # type: ignore[arg-type]
        return self.part.at(_rows(some)).stated_column(hit)

    @cached_property
    def word_codes(self) -> Any:
        """Which marking the words are those of: the governing one, or the text itself that a finding is about."""
        codes = self.part.governing.codes
        if any(self.derive_markings):
            codes = codes.copy()
            for hit, some in self.stretches:
                if hit.rule.derives == "marking":
                    codes[some] = self.part.text_codes[hit.report][some]
        return pa.array(codes)

    def _governing_marking(self) -> pa.Array:
        if not any(self.derive_markings):
            return self.canonical
        return self.part.markings.word_column("canonical").take(pa.array(self.part.governing.codes))

    def _word(self, name: str) -> pa.Array:
        return self.part.markings.word_column(name).take(self.word_codes)

    @cached_property
    def canonical(self) -> pa.Array:
        """The marking in canonical form."""
        return self._word("canonical")

    @cached_property
    def _numbers(self) -> tuple[list[tuple[str, str]], pa.Array]:
        """Distinct derived values as texts, without and with their units; the place of each finding's among them."""
        abouts = sorted({hit.about for hit in self.hits})
        about = np.array([abouts.index(hit.about) for hit in self.hits])[self.found.hit]
        speeds = np.array([name.startswith("max_speed") for name in abouts])[about]
        opened = speeds & (self.part.fact("speed_floor_kmh") >= 0) if speeds.any() else speeds
        first, inverse = distinct([about * 2 + opened, float_bits(self.found.derived)])
        tables = self.part.book.tables
        values = zip(about[first].tolist(), self.found.derived[first].tolist(), opened[first].tolist(), strict=True)
        made = [number_words(abouts[name], value, floor, tables) for name, value, floor in values]
        return made, pa.array(inverse)

    def _derived(self, part: int) -> pa.Array:
        made, places = self._numbers
        texts = pa.array([one[part] for one in made], pa.string()).take(places)
        return self._where(self.derive_markings, self.canonical, texts)

    derived = cached_property(lambda self: self._derived(0))  # without units
    shown = cached_property(lambda self: self._derived(1))  # with their units, as messages say them

    def _evidence(self) -> pa.Array:
        found = self.found
        first, inverse = distinct([found.hit, *self.agree.words, *self.differ.words, *found.also.words])
        names = NamesOf(self.side.names_of)
        rules = NamesOf(self._rules_of)
        sets = (one.numbers(first) for one in (self.agree, self.differ, found.also))
        keys = zip(found.hit[first].tolist(), *sets, strict=True)
        ends = [self._ends(self.hits[hit], names[a], names[d], rules[also]) for hit, a, d, also in keys]
        index = pa.array(inverse)
        before = pa.array([end[0] for end in ends], pa.string()).take(index)
        after = pa.array([end[1] for end in ends], pa.string()).take(index)
        full = pc.binary_join_element_wise(before, self.canonical, after, "")
        unread = pc.equal(self.canonical, "")
        if not pc.any(unread).as_py():
            return full
        bare = pa.array([bare_evidence(*end) for end in ends], pa.string()).take(index)
        return pc.if_else(unread, bare, full)

    def _ends(
        self, hit: Hits, agree: tuple[str, ...], differ: tuple[str, ...], also: tuple[str, ...]
    ) -> tuple[str, str]:
        compared = self.part.sources[hit.partner].field if hit.partner >= 0 else hit.report
        return evidence_ends(hit.rule, agree, differ, also, compared, consequence(self.part.book, hit.about))

    def _rules_of(self, bits: int) -> tuple[str, ...]:
        return tuple(rule.id for rule in self.part.book.rules if bits >> rule.order & 1)

    @cached_property
    def _certain(self) -> tuple[npt.NDArray[np.bool_], list[list[OtherPart]]]:
        """Where what is derived may be put into the cell, and by stretch what else in it has to be put right."""
        certain, parts = np.zeros(self.count, dtype=np.bool_), []
        for hit, some in self.stretches:
            cell, values = (hit.source, hit.about), (self.found.stated[some], self.found.derived[some])
            may = is_certain(self.part, hit.rule, cell, values, itemgetter(some))
            others = other_parts(self.part, cell, itemgetter(some)) if may.any() else []
            for other in others:
                may = may & ~other.unsure
            certain[some] = may
            parts.append(others)
        return certain, parts

    def _suggestions(self) -> pa.Array:
        may = self._of_hits([may_suggest(hit.rule, hit.report, hit.about) for hit in self.hits])
        own = self._of_hits(self.derive_markings)
        if not may.any() and not own.any():
            return pa.repeat("", self.count)
        may &= ~own & self._certain[0]
        may &= pc.not_equal(self.derived, "").to_numpy(zero_copy_only=False)
        plain = pc.match_substring_regex(self.stated, _PLAIN_NUMBER).to_numpy(zero_copy_only=False)
        suggested = pc.if_else(pa.array((may & plain) | own), self.derived, "")
        styled = may & ~plain
        if not styled.any():
            return suggested
        texts = [
            self._styled(hit, np.flatnonzero(styled[some]) + some.start, some.start, others)
            for (hit, some), others in zip(self.stretches, self._certain[1], strict=True)
        ]
        return pc.replace_with_mask(suggested, pa.array(styled), pa.concat_arrays(texts))

    def _styled(self, hit: Hits, rows: Rows, start: int, others: Sequence[OtherPart]) -> pa.Array:
        """What to put into cells that write their values in a manner of their own, one per distinct cell and values."""
        if len(rows) == 0:
            return pa.array([], pa.string())
        texts = self.stated.take(pa.array(rows)).dictionary_encode()
        values = [self.found.derived[rows], *(other.right[rows - start] for other in others)]
        first, inverse = distinct([texts.indices.to_numpy(), *map(float_bits, values)])
        listed, positions = texts.dictionary.to_pylist(), texts.indices.to_numpy()[first].tolist()
        names, field = [hit.about, *(other.field for other in others)], self.part.sources[hit.source].field
        made = []
        for position, *rights in zip(positions, *(one[first].tolist() for one in values), strict=True):
            wanted = {name: right for name, right in zip(names, rights, strict=True) if right == right}
            made.append(corrected(listed[position], field, hit.about, wanted, self.part.book.tables))
        return pa.array(made, pa.string()).take(pa.array(inverse))

    def _messages(self, hit: Hits, some: slice) -> pa.Array:
        pieces: list[Any] = []
        for plain, name in message_parts(hit.rule.says):
            if plain:
                pieces.append(plain)
            if name:
                pieces.append(self._piece(hit, some, name))
        if all(isinstance(piece, str) for piece in pieces):
            return pa.repeat("".join(pieces), some.stop - some.start)
        return pc.binary_join_element_wise(*pieces, "")

    def _piece(self, hit: Hits, some: slice, name: str) -> Any:
        if name == "field":
            return hit.report
        if name == "column":
            return self.part.sources[hit.source].header if hit.source >= 0 else ""
        if name == "stated":
            return self._quoted[some]
        if name == "derived":
            return self.shown[some]
        if name == "other":
            return pc.utf8_trim_whitespace(self.part.cell_column(hit.partner, _rows(some)))
        if name == "advice":
            return self._advice(hit, some)
        if name == "detail":
            return self._details(hit, some)
        if name in _WORD_COLUMNS:
            return self._quotable(name)[some]
        return "{" + name + "}"

    @cached_property
    def _quoted(self) -> pa.Array:
        """Stated texts, shortened to what a message quotes."""
        long = pc.greater(pc.utf8_length(self.stated), LONGEST_QUOTED)
        if not pc.any(long).as_py():
            return self.stated
        short = pc.binary_join_element_wise(pc.utf8_slice_codeunits(self.stated, 0, LONGEST_QUOTED), "...", "")
        return pc.if_else(long, short, self.stated)

    @cached_property
    def _words_quoted(self) -> dict[str, pa.Array]:
        return {}

    def _quotable(self, name: str) -> pa.Array:
        """The words of markings under one name, or what stands for them."""
        found = self._words_quoted.get(name)
        if found is None:
            words = self._word(_WORD_COLUMNS[name])
            found = self._words_quoted[name] = pc.if_else(pc.equal(words, ""), PLACEHOLDER_DEFAULTS[name], words)
        return found

    def _advice(self, hit: Hits, some: slice) -> Any:
        certain, unsure = hit.rule.advice
        may = self._certain[0][some]
        return certain if may.all() else pc.if_else(pa.array(may), certain, unsure)

    def _details(self, hit: Hits, some: slice) -> Any:
        """Clauses as the rule's table has them: one per distinct combination of what they are made of."""
        if hit.basis.kind == REASON:
            return self.part.at(_rows(some)).reason_column(hit.basis.about, hit.source)
        detail = detail_of(hit.rule, hit.about, hit.basis, self.part.book)
        if detail is None:
            return ""
        if not detail.needs:
            return detail.make()
        if detail.plain:
            parts = [(plain, self._text(name)[some] if name else "") for plain, name in message_parts(detail.plain)]
            return pc.binary_join_element_wise(*(piece for part in parts for piece in part), "")
        columns = [self._needed(name, some) for name in detail.needs]
        first, inverse = distinct([codes for codes, _ in columns])
        texts = [detail.make(*pieces) for pieces in zip(*(listed(first) for _, listed in columns), strict=True)]
        return pa.array(texts, pa.string()).take(pa.array(inverse))

    def _text(self, name: str) -> pa.Array:
        """Texts of the findings that clauses are made of."""
        if name in _WORD_COLUMNS:
            return self._word(_WORD_COLUMNS[name])
        if name == "stated":
            return self.stated
        return self.derived if name == BARE else self.shown

    def _needed(self, name: str, some: slice) -> tuple[Any, Callable[[Rows], list[Any]]]:
        """(codes, equal where a piece of a clause is; the pieces of some findings) of a stretch of findings."""
        if name.startswith(FACT):
            numbers = self.part.fact(name.removeprefix(FACT))[some]
            return float_bits(numbers), lambda rows: numbers[rows].tolist()
        if name == "differ":
            differ = self.differ.at(some)
            return distinct(differ.words)[1], lambda rows: list(map(self.side.names_of, differ.numbers(rows)))
        texts = self._text(name)[some]
        return texts.dictionary_encode().indices.to_numpy(), lambda rows: texts.take(pa.array(rows)).to_pylist()


def _stretches(hit: npt.NDArray[np.int64]) -> Iterator[tuple[int, slice]]:
    """(number of the hit, where its findings stand) for findings that stand together by hit."""
    starts = np.flatnonzero(np.diff(hit, prepend=-1)).tolist()
    for start, end in zip(starts, [*starts[1:], len(hit)], strict=True):
        yield int(hit[start]), slice(start, end)


def _rows(some: slice) -> Rows:
    return np.arange(some.start, some.stop)
