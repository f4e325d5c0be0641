"""Words the findings of one rule on one source for many records at once.

The array twin of `auditor.wording.word`: the same pieces, joined as columns.  Loops run over distinct numbers, distinct
cell texts and distinct sets of witnesses, never over records.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.blocks import BlockStatements, distinct
from auditor.judging import Hits, float_bits
from auditor.wording import (
    LONGEST_QUOTED,
    PLACEHOLDER_DEFAULTS,
    CellStyle,
    FindingParts,
    MarkingWords,
    bare_evidence,
    detail_of,
    evidence_ends,
    has_detail,
    in_style,
    may_suggest,
    message_parts,
    number_text,
    style_of,
    with_unit,
)

Rows = npt.NDArray[np.int64]
_WORD_COLUMNS = {"marking": "canonical", "size": "size", "load_index": "load_index", "speed_symbol": "speed_symbol"}
_WORD_COLUMNS |= {"load_range": "load_range", "rim": "rim"}


@dataclass(frozen=True, slots=True)
class Sides:
    """Per record: sets of names as numbers, and the names behind each number."""

    numbers: Rows
    names: Sequence[tuple[str, ...]]


class RowsToWord:
    """The records of one hit that became findings, with everything that words them."""

    def __init__(
        self,
        part: BlockStatements,
        hit: Hits,
        stated: npt.NDArray[np.float64],
        derived: npt.NDArray[np.float64],
        agree: Sides,
        differ: Sides,
        also: Sides,
        subject: str,
    ) -> None:
        self.part, self.hit = part, hit
        self.stated, self.derived = stated, derived
        self.agree, self.differ, self.also = agree, differ, also
        self.subject = subject
        self.count = len(stated)
        self.header = part.sources[hit.source].header if hit.source >= 0 else ""
        self.other_field = part.sources[hit.partner].field if hit.partner >= 0 else ""
        own = hit.rule.id == "marking-nonstandard"
        self.word_codes = part.text_codes[hit.report] if own else part.governing.codes
        self.stated_texts = part.stated_column(hit)

    def columns(self) -> dict[str, pa.Array]:
        """The worded columns: stated, derived, marking, evidence, suggestion, message."""
        canonical = self._word("canonical")
        derived = canonical if self.hit.rule.id == "marking-nonstandard" else self._derived_texts()
        shown = self.hit.about == "marking" and self.hit.rule.id != "marking-nonstandard"
        return {
            "stated": self.stated_texts,
            "derived": self._constant("") if shown else derived,
            "marking": self.part.markings.word_column("canonical").take(pa.array(self.part.governing.codes)),
            "evidence": self._evidence(canonical),
            "suggestion": self._suggestions(canonical, derived),
            "message": self._messages(),
        }

    def _constant(self, text: str) -> pa.Array:
        return pa.array([text], pa.string()).take(pa.array(np.zeros(self.count, dtype=np.int64)))

    def _word(self, name: str) -> pa.Array:
        return self.part.markings.word_column(name).take(pa.array(self.word_codes))

    def _by_number(self, make: Callable[[float], str]) -> pa.Array:
        first, inverse = distinct([float_bits(self.derived)])
        return pa.array([make(float(value)) for value in self.derived[first]], pa.string()).take(pa.array(inverse))

    def _derived_texts(self) -> pa.Array:
        tables = self.part.book.tables
        return self._by_number(lambda value: number_text(self.hit.about, value, tables))

    def _shown_derived(self) -> pa.Array:
        """Derived values with their units, as a message says them."""
        if self.hit.rule.id == "marking-nonstandard":
            return self._word("canonical")
        about, tables = self.hit.about, self.part.book.tables
        plain = self._by_number(lambda value: with_unit(about, number_text(about, value, tables)))
        if not about.startswith("max_speed"):
            return plain
        floor = self.part.fact("speed_floor_kmh")
        if np.isnan(floor).all():
            return plain
        opened = self._by_number(lambda value: with_unit(about, number_text(about, value, tables), True))
        return pc.if_else(pa.array(~np.isnan(floor)), opened, plain)

    def _evidence(self, canonical: pa.Array) -> pa.Array:
        first, inverse = distinct([self.agree.numbers, self.differ.numbers, self.also.numbers])
        ends = [
            evidence_ends(
                self.hit.rule,
                self.agree.names[int(self.agree.numbers[row])],
                self.differ.names[int(self.differ.numbers[row])],
                self.also.names[int(self.also.numbers[row])],
                self.other_field or self.hit.report,
                self.subject,
            )
            for row in first
        ]
        index = pa.array(inverse)
        before = pa.array([end[0] for end in ends], pa.string()).take(index)
        after = pa.array([end[1] for end in ends], pa.string()).take(index)
        full = pc.binary_join_element_wise(before, canonical, after, "")
        unread = pc.equal(canonical, "")
        if not pc.any(unread).as_py():
            return full
        bare = pa.array([bare_evidence(*end) for end in ends], pa.string()).take(index)
        return pc.if_else(unread, bare, full)

    def _suggestions(self, canonical: pa.Array, derived: pa.Array) -> pa.Array:
        hit = self.hit
        if hit.rule.id == "marking-nonstandard":
            return canonical
        if not may_suggest(hit.rule.id, hit.report, hit.about):
            return self._constant("")
        texts = self.stated_texts.dictionary_encode()
        styles = [style_of(text, hit.about) for text in texts.dictionary.to_pylist()]
        places = texts.indices.to_numpy()
        before = pa.array(["" if s is None else s.before for s in styles], pa.string()).take(texts.indices)
        after = pa.array(["" if s is None else s.after for s in styles], pa.string()).take(texts.indices)
        suggested = pc.binary_join_element_wise(before, self._styled_numbers(styles, places), after, "")
        none = np.array([style is None for style in styles], dtype=np.bool_)[places]
        none |= self.part.fact("load_index_alt") >= 0
        return pc.if_else(pc.or_(pa.array(none), pc.equal(derived, "")), "", suggested)

    def _styled_numbers(self, styles: Sequence[CellStyle | None], places: Rows) -> pa.Array:
        kinds: dict[tuple[str, str, bool] | None, int] = {}
        kept: list[CellStyle | None] = []
        numbers = np.zeros(len(styles), dtype=np.int64)
        for place, style in enumerate(styles):
            kind = None if style is None else (style.unit, style.thousands, style.comma)
            if kind not in kinds:
                kinds[kind] = len(kept)
                kept.append(style)
            numbers[place] = kinds[kind]
        first, inverse = distinct([numbers[places], float_bits(self.derived)])
        tables = self.part.book.tables
        made = []
        for row in first:
            style = kept[int(numbers[places[row]])]
            made.append("" if style is None else in_style(style, self.hit.about, float(self.derived[row]), tables))
        return pa.array(made, pa.string()).take(pa.array(inverse))

    def _messages(self) -> pa.Array:
        pieces: list[Any] = []
        for plain, name in message_parts(self.hit.rule.says):
            if plain:
                pieces.append(plain)
            if name:
                pieces.append(self._piece(name))
        if all(isinstance(piece, str) for piece in pieces):
            return self._constant("".join(pieces))
        return pc.binary_join_element_wise(*pieces, "")

    def _piece(self, name: str) -> Any:
        if name == "field":
            return self.hit.report
        if name == "column":
            return self.header
        if name == "stated":
            return _cut(self.stated_texts)
        if name == "derived":
            return self._shown_derived()
        if name == "other":
            return pc.utf8_trim_whitespace(self.part.cell_column(self.hit.partner))
        if name == "detail":
            return self._details()
        if name in _WORD_COLUMNS:
            words = self._word(_WORD_COLUMNS[name])
            return pc.if_else(pc.equal(words, ""), PLACEHOLDER_DEFAULTS[name], words)
        return "{" + name + "}"

    def _details(self) -> Any:
        detail = self.hit.detail
        if isinstance(detail, tuple) and detail[0] == "reason":
            return self.part.reason_column(detail[1], self.hit.source)
        if isinstance(detail, tuple) and detail[0] == "text":
            canonical = self.part.markings.word_column("canonical").take(pa.array(self.part.governing.codes))
            return pc.binary_join_element_wise("the marking is ", canonical, "")
        if detail and not isinstance(detail, tuple):
            return str(detail)
        if not has_detail(self.hit.rule.id):
            return ""
        return self._made_details()

    def _made_details(self) -> pa.Array:
        """Clauses that a check words from facts: once per distinct marking, value and text."""
        codes = self.part.governing.codes
        first, inverse = distinct(
            [codes, float_bits(self.derived), self.part.source_codes(self.hit.source), self.differ.numbers]
        )
        texts = self.stated_texts.take(pa.array(first)).to_pylist()
        facts = self.part.markings.facts[:, codes[first]].T.tolist()
        words = self.part.markings.words(codes[first])
        made = []
        for text, row, numbers, named in zip(texts, first.tolist(), facts, words, strict=True):
            derived = number_text(self.hit.about, float(self.derived[row]), self.part.book.tables)
            made.append(detail_of(self._parts(row, text, tuple(numbers), named), derived))
        return pa.array(made, pa.string()).take(pa.array(inverse))

    def _parts(self, row: int, text: str, facts: tuple[float, ...], words: MarkingWords) -> FindingParts:
        return FindingParts(
            rule=self.hit.rule,
            report=self.hit.report,
            about=self.hit.about,
            column=self.header,
            stated_text=text,
            stated=float(self.stated[row]),
            derived=float(self.derived[row]),
            words=words,
            facts=facts,
            detail="",
            other_field=self.other_field,
            other_text="",
            cause="",
            agree=self.agree.names[int(self.agree.numbers[row])],
            differ=self.differ.names[int(self.differ.numbers[row])],
            also=(),
            subject=self.subject,
            second_description=False,
        )


def _cut(texts: pa.Array) -> pa.Array:
    """Texts shortened to what a message quotes."""
    long = pc.greater(pc.utf8_length(texts), LONGEST_QUOTED)
    if not pc.any(long).as_py():
        return texts
    short = pc.binary_join_element_wise(pc.utf8_slice_codeunits(texts, 0, LONGEST_QUOTED), "...", "")
    return pc.if_else(long, short, texts)
