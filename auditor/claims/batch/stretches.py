"""The stretches of sentences that can hold a claim, and texts put together from nothing else.

One pattern marks the stretches: runs of known words and numbers with at least one word or number in them that a claim
needs.  Between two stretches there is always a word that `auditor.claims.find` takes for filler.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc

from auditor.claims.words import CONSTRUCTION, DASHED_CORE, KIND_OF_WORD, NO_LETTER_OR_DIGIT, PLAIN_CORES, SYMBOL
from auditor.columns.digit_shapes import Bytes, Offsets, characters_of

Codes = npt.NDArray[np.int32]
_BETWEEN = NO_LETTER_OR_DIGIT
_UNITS = "lbs?|pounds?|kgs?|kilograms?|kilos?|mph|km|kmh|kph|psi|kpa|bar|ply|plies|pr"
_SIZE_PARTS = "lt|st|hl|if|vf|z?rf?|[hvs]r|tr|tt|tl|sl|pmsf|lr[b-n]?|[a-z]"
_NUMBER = rf"(?:LT|ST|HL|IF|VF|P|T|M[A-Z]|{CONSTRUCTION})?[0-9]{{1,6}}(?:[A-Za-z]{{1,9}}[0-9]{{0,3}}[A-Za-z]{{0,4}})?"
_ANCHOR_KINDS = frozenset({
    "rated", "index", "range", "symbol", "ply", "count", "xl", "extra", "reinforced", "standard", "snowflake", "mud",
    "snow", "winter", "summer", "season", "winter-tire", "summer-tire", "all-season-tire", "terrain", "other",
    "more-of-them",
})  # fmt: skip


def _words_of(kinds: frozenset[str] | None) -> str:
    return "|".join(sorted(word for word, kind in KIND_OF_WORD.items() if kinds is None or kind in kinds))


_TOKEN = rf"(?:(?i:{_words_of(None)}|{_UNITS}|{_SIZE_PARTS})|{_NUMBER})"
_ANCHOR = (
    rf"(?:(?i:{_words_of(_ANCHOR_KINDS)}|pmsf|lr[b-n]?|speedindex|geschwindigkeitsindex)"
    r"|(?:LT|ST|HL|IF|VF|P|T|M[A-Z])?[0-9]{1,6}[A-Za-z]{1,9}[0-9]{0,3}[A-Za-z]{0,4}"
    rf"|[0-9]{{1,6}} ?\+?[ -]?(?i:{_UNITS})"
    rf"|[0-9]{{2,3}}/[0-9]{{2,3}}|[0-9]{{1,2}}-[0-9]{{2}}|(?:{CONSTRUCTION}) ?[0-9]{{2}}"
    rf"|M ?[+&/] ?S|[AM]/T|{SYMBOL}[ -](?i:speed))"
)
_STRETCH = rf"(?:^{_BETWEEN}*|{_BETWEEN}+)(?:{_TOKEN}{_BETWEEN}+)*{_ANCHOR}(?:{_BETWEEN}+{_TOKEN})*(?:{_BETWEEN}+|$)"
OPEN, CLOSE = "\x01", "\x02"  # control characters that mark a stretch
_FILLER, _BLANK = ord("_"), ord(" ")
_NO_CHARACTERS = pa.py_buffer(b"")
_CORE = rf"(?:{PLAIN_CORES}|{DASHED_CORE})"
_OTHER_TIRES = rf"(?i)\b(?:{_words_of(frozenset({'other', 'more-of-them'}))})\b"
_LINKS = rf"(?i:{_words_of(frozenset({'link'}))})"
_LINKS_BEFORE = rf"(?s)([ \t])((?:{_LINKS}[ \t]+)+)\x02(.)"
_LINKS_AFTER = rf"(?s)(.)\x01((?:[ \t]+{_LINKS})+)([ \t])"


class Stretches(NamedTuple):
    """The stretches of some sentences; those of sentence `i` are `first[i]` up to, without, `first[i + 1]`.

    Where filler stands before a stretch, its last byte belongs to the stretch, for a `_`; likewise the first byte of
    filler that ends a sentence, or two of them, for a blank as well.  A sentence has `sizes` 0, 1, or 2 for more.
    """

    first: Codes
    start: Codes  # bytes from the beginning of the sentence
    end: Codes
    after_filler: npt.NDArray[np.bool_]
    filler: npt.NDArray[np.int8]  # bytes of filler at the end of the stretch: 0, 1 or 2
    sizes: npt.NDArray[np.int8]
    others: npt.NDArray[np.bool_]  # whether words such as "fits" stand in the stretches

    def taken(self, sentences: npt.NDArray[Any]) -> Stretches:
        """The stretches of some of the sentences."""
        rows, first = rows_of(self.first, sentences)
        return Stretches(
            first,
            self.start[rows],
            self.end[rows],
            self.after_filler[rows],
            self.filler[rows],
            self.sizes[sentences],
            self.others[sentences],
        )

    def joined(self, more: Stretches) -> Stretches:
        """These sentences and more of them."""
        first = np.concatenate([self.first, more.first[1:] + self.first[-1]])
        columns: list[Any] = [np.concatenate([own, others]) for own, others in zip(self[1:], more[1:], strict=True)]
        return Stretches(first, *columns)


NO_STRETCHES = Stretches(
    np.zeros(1, np.int32),
    np.zeros(0, np.int32),
    np.zeros(0, np.int32),
    np.zeros(0, np.bool_),
    np.zeros(0, np.int8),
    np.zeros(0, np.int8),
    np.zeros(0, np.bool_),
)


def rows_of(first: Codes, owners: npt.NDArray[Any]) -> tuple[npt.NDArray[np.int64], Codes]:
    """Where the rows of some owners are, owner by owner, and where each of these begins among them."""
    counts = (first[1:] - first[:-1])[owners]
    ends = np.zeros(len(owners) + 1, np.int32)
    np.cumsum(counts, out=ends[1:])
    return np.repeat(first[:-1][owners] - ends[:-1], counts) + np.arange(ends[-1]), ends


def stretches_of(sentences: pa.StringArray) -> Stretches:
    """The stretches of distinct sentences."""
    found = marked(sentences)
    having = _having_marks(found)
    if len(having) < len(sentences):  # most sentences say nothing of interest: no further look at those
        rows = pa.array(having)
        sentences, count = sentences.take(rows), len(sentences)
        own = _stretches_between(without_links(found.take(rows)), sentences)
        firsts = own.first[np.searchsorted(having, np.arange(count + 1))]
        sizes, others = np.zeros(count, np.int8), np.zeros(count, np.bool_)
        sizes[having], others[having] = own.sizes, own.others
        return own._replace(first=firsts, sizes=sizes, others=others)
    return _stretches_between(without_links(found), sentences)


def _having_marks(texts: pa.StringArray) -> npt.NDArray[np.int64]:
    data, offsets = characters_of(texts)
    opens = np.flatnonzero(data == ord(OPEN))
    owners = np.searchsorted(offsets, opens, side="right") - 1
    having: npt.NDArray[np.int64] = owners[np.append(True, owners[1:] != owners[:-1])[: len(owners)]]
    return having


def _stretches_between(found: pa.StringArray, sentences: pa.StringArray) -> Stretches:
    """The stretches between the marks in sentences."""
    data, offsets = characters_of(sentences)
    ends_blank = (np.append(data, np.uint8(0))[offsets[1:] - 1] <= _BLANK) & (offsets[1:] > offsets[:-1])
    data, offsets = characters_of(found)
    marks = np.flatnonzero((data - np.uint8(1)) < 2).astype(np.int32)  # both, in turn
    owner = (np.searchsorted(offsets, marks, side="right") - 1)[0::2]
    counts = np.bincount(owner, minlength=len(sentences))
    first = np.zeros(len(sentences) + 1, np.int32)
    np.cumsum(counts, out=first[1:])
    positions: Codes = np.subtract(marks, np.arange(len(marks), dtype=np.int32))
    positions -= np.repeat(offsets[owner] - 2 * first[owner], 2)
    lengths = (np.diff(offsets) - 2 * counts)[owner]
    start, end = positions[0::2], positions[1::2]
    after_filler = start > 0
    last = np.append(owner[1:] != owner[:-1], True)[: len(owner)]
    before_filler = last & (end < lengths)
    filler = before_filler.astype(np.int8) + (before_filler & ends_blank[owner])
    start -= after_filler
    end += filler
    stretches = Stretches(
        first,
        start,
        end,
        after_filler,
        filler,
        np.zeros(len(sentences), np.int8),
        np.zeros(len(sentences), np.bool_),
    )
    data, offsets = characters_of(sentences)
    every = np.arange(len(sentences), dtype=np.int32)
    texts = gathered(data, offsets, np.append(every, len(every)), every, stretches)
    return stretches._replace(sizes=sizes_in(texts), others=others_in(texts))


def sizes_in(texts: pa.StringArray) -> npt.NDArray[np.int8]:
    """How many sizes stand in texts: 0, 1, or 2 for more."""
    one = pc.match_substring_regex(texts, _CORE).to_numpy(zero_copy_only=False)
    two = pc.match_substring_regex(texts, rf"(?s){_CORE}.*{_CORE}").to_numpy(zero_copy_only=False)
    sizes: npt.NDArray[np.int8] = np.add(one, two, dtype=np.int8)
    return sizes


def others_in(texts: pa.StringArray) -> npt.NDArray[np.bool_]:
    """Whether words such as "fits" stand in texts."""
    others: npt.NDArray[np.bool_] = pc.match_substring_regex(texts, _OTHER_TIRES).to_numpy(zero_copy_only=False)
    return others


def marked(sentences: pa.StringArray) -> pa.StringArray:
    """Sentences with a mark before and a mark behind every stretch; one that holds such a mark is a single stretch."""
    result = pc.replace_substring_regex(sentences, _STRETCH, rf"{OPEN}\0{CLOSE}")
    whole = holding_marks(sentences)
    if whole is None:
        return result
    plain = pc.replace_substring_regex(sentences, f"[{OPEN}{CLOSE}]", " ")
    return pc.if_else(whole, pc.binary_join_element_wise(OPEN, plain, CLOSE, ""), result)


def without_links(found: pa.StringArray) -> pa.StringArray:
    """Marked sentences with connecting words beside filler outside: a claim never begins or ends with them."""
    found = pc.replace_substring_regex(found, _LINKS_BEFORE, rf"\1{CLOSE}\2\3")
    return pc.replace_substring_regex(found, _LINKS_AFTER, rf"\1\2{OPEN}\3")


def holding_marks(texts: pa.StringArray) -> pa.BooleanArray | None:
    """Which texts hold the marks themselves; None, and cheaply so, where none does."""
    data, _ = characters_of(texts)
    if len(data) == 0 or data.min() > ord(CLOSE):
        return None
    whole = pc.match_substring_regex(texts, f"[{OPEN}{CLOSE}]")
    return whole if pc.any(whole).as_py() else None


def gathered(data: Bytes, bounds: Offsets, first: npt.NDArray[Any], codes: Codes, found: Stretches) -> pa.StringArray:
    """Texts reduced to the stretches of their sentences, with the filler `_` for what stood between.

    `data` are the characters of the texts, `bounds` those of the sentences in them, `first` the first sentence of every
    text, and behind the last text their number; `codes` says which of the sentences in `found` each one is.

    All cutting is one filter: stretches and gaps alternate as slices of the same characters, and every second goes.
    """
    rows, ends = rows_of(found.first, codes)
    count = len(rows)
    if count == 0:
        return pa.StringArray.from_buffers(len(first) - 1, pa.py_buffer(np.zeros(len(first), np.int32)), _NO_CHARACTERS)
    shift = np.repeat(bounds[:-1], ends[1:] - ends[:-1])
    edges = np.empty(2 * count, np.int32)
    np.add(found.start[rows], shift, out=edges[0::2])
    np.add(found.end[rows], shift, out=edges[1::2])
    filler = found.filler[rows]
    last = ends[first[1:]] - 1  # of each text; nothing follows that a blank would part it from
    last = last[filler[last] == 2]
    filler[last] = 1
    edges[2 * last + 1] -= 1
    slices = pa.StringArray.from_buffers(2 * count - 1, pa.py_buffer(edges), pa.py_buffer(data))
    keep = np.zeros(2 * count - 1, np.bool_)
    keep[0::2] = True
    kept, offsets = characters_of(slices.filter(pa.array(keep)))
    letters = kept.copy()
    letters[offsets[:-1][found.after_filler[rows]]] = _FILLER
    letters[(offsets[1:] - filler)[filler > 0]] = _FILLER
    letters[offsets[1:][filler == 2] - 1] = _BLANK
    return pa.StringArray.from_buffers(len(first) - 1, pa.py_buffer(offsets[ends[first]]), pa.py_buffer(letters))
