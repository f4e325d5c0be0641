"""Columns of texts cut into words, byte by byte, and every word told by a mark.

It is what `auditor.claims.terms.words.clean` and `str.split` do to one text.

Most texts hold nothing that `clean` joins but a size written apart ("225/65 R17"), whose parts are put together here.
Of any other that may hold something, `auditor.claims.batch.pieces.joined` makes what has to be cut.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from auditor.claims.batch.arrays import Ints, gathered
from auditor.claims.batch.pieces import joined
from auditor.columns.marks import LOW, STEP, Bytes, Marks, begun, bytes_of, gone_on, numbers_at, offsets_of

Flags = npt.NDArray[np.bool_]

_STRETCH = 1 << 19  # bytes of text that are cut at once: what is made of them stays in the processor's cache
FIGURE_MARK, NOTHING_MARK = 1, 2  # of all plain figures, and of what was put to the word before
_MOST_STEPS = 301  # a word of more bytes is longer than any that is read
_ZEROS, _ABOVE_NINE, _TOPS = (np.uint64(one * 0x0101010101010101) for one in (0x30, 0x76, 0x80))


def _any_of(held: bytes) -> Flags:
    return np.isin(np.arange(256), list(held))


_BLANKS = _any_of(b"\t\n\v\f\r\x1c\x1d\x1e\x1f ")
_DIGITS, _CAPITALS = _any_of(b"0123456789"), _any_of(b"ABCDEFGHIJKLMNOPQRSTUVWXYZ")
_WORDS = _DIGITS | _CAPITALS | _any_of(b"abcdefghijklmnopqrstuvwxyz_")
_JOINTS, _PREFIXES, _ASPECTS = _any_of(b"-/ xX"), _any_of(b"TLFP"), _any_of(b"05")
_OF_SPEEDS, _PARTING = _any_of(b"mMkK"), _any_of(b"/|(")
_BULLETS = _any_of(b"\xe2\xc2"), _any_of(b"\x80\x96\x97\x9c\xb7")


class Words(NamedTuple):
    """The words of texts, one after another."""

    marks: Marks  # equal for equal words
    bounds: Ints  # of every text's words
    figures: Ints  # places of plain figures, which share a mark
    numbers: Ints  # what each of them is
    data: Bytes
    starts: Ints  # of each word in the data
    ends: Ints

    def texts(self, places: Ints) -> list[str]:
        """Some words; a line's end is a word, too."""
        data = self.data.tobytes()
        spans = zip(self.starts[places].tolist(), self.ends[places].tolist(), strict=True)
        return [data[start:end].replace(b" ", b"").decode() for start, end in spans]


def stretches(texts: pa.StringArray) -> Iterator[tuple[int, int]]:
    """From which to which text a column is cut at once."""
    offsets = offsets_of(texts)
    start = 0
    while start < len(texts):
        stop = max(start + 1, int(np.searchsorted(offsets, int(offsets[start]) + _STRETCH, side="right")) - 1)
        yield start, stop
        start = stop


def words_of(texts: pa.StringArray) -> Words:
    """The words of texts without HTML."""
    data, bounds = bytes_of(texts)
    cut = _cut(data, bounds)
    unsure = np.searchsorted(bounds, _touched(data, bounds), side="right") - 1
    apart, doubtful = _sizes_apart(cut)
    unsure = np.unique(np.concatenate([unsure, doubtful]))
    if len(unsure):
        apart = apart[:, ~np.isin(_texts_of(cut.bounds, apart[0]), unsure)]
    words = _marked(cut, apart)
    if len(unsure):
        others = _marked(_cut(*bytes_of(joined(texts.take(pa.array(unsure))))), apart[:, :0])
        words = _replaced(words, unsure, others)
    return words


class _Cut(NamedTuple):
    """Words as bytes."""

    data: Bytes
    bounds: Ints
    starts: Ints
    ends: Ints
    lengths: Ints
    low: Marks  # the first eight bytes


def _texts_of(bounds: Ints, places: Ints) -> Ints:
    return np.searchsorted(bounds, places, side="right") - 1


def _cut(data: Bytes, bounds: Ints) -> _Cut:
    """Bytes cut at blanks; the end of lines is a word."""
    inner = data[bounds[0] : bounds[-1]]
    blank = np.ones(len(inner) + 2, np.bool_)  # and what is before and behind them
    held = blank[1:-1]
    np.equal(inner, 32, out=held)
    control = np.flatnonzero(inner < 32)
    held[control] = _BLANKS[inner[control]]
    begin, end = blank[:-1] & ~blank[1:], blank[1:] & ~blank[:-1]
    edges = bounds - bounds[0]
    begin[edges], end[edges] = ~blank[1:][edges], ~blank[:-1][edges]
    lines = control[(inner[control] == 10) | (inner[control] == 13)]
    if len(lines):
        edge = np.zeros(len(begin), np.bool_)
        edge[edges] = True
        lines = lines[np.append(True, np.diff(lines) > 1) | edge[lines]]
        begin[lines] = end[lines + 1] = True
    starts, ends = np.flatnonzero(begin), np.flatnonzero(end)
    of_texts = np.searchsorted(starts, edges)
    starts += bounds[0]
    ends += bounds[0]
    lengths = ends - starts
    low = numbers_at(data, starts) & LOW[np.minimum(lengths, STEP)]
    return _Cut(data, of_texts, starts, ends, lengths, low)


def _marked(cut: _Cut, apart: Ints) -> Words:
    """The marks of words, those of sizes written `apart` put together."""
    lengths, marks = cut.lengths, begun(cut.low, cut.lengths)
    for step in range(1, _MOST_STEPS):
        far = step * STEP
        some = np.flatnonzero(lengths > far)
        if not len(some):
            break
        further = numbers_at(cut.data, cut.starts[some] + far) & LOW[np.minimum(lengths[some] - far, STEP)]
        marks[some] = gone_on(marks[some], further)
    if apart.size:
        _together(cut, marks, apart)
    first = cut.low.astype(np.uint8) - np.uint8(49)
    figures = np.flatnonzero((first < 9) & ((lengths - 4).astype(np.uint64) < 3))
    held = (cut.low[figures] ^ _ZEROS) & LOW[lengths[figures]]
    sure = ((held + _ABOVE_NINE) | held) & _TOPS == 0
    figures, held = figures[sure], held[sure].astype(np.int64)
    if apart.size and len(figures):
        alone = ~np.isin(figures, np.concatenate([apart[0], apart[0] + 1, apart[1]]))
        figures, held = figures[alone], held[alone]
    numbers = np.zeros(len(figures), np.int64)
    for place in range(6):
        more = place < lengths[figures]
        numbers[more] = numbers[more] * 10 + (held[more] >> 8 * place & 255)
    marks[figures] = FIGURE_MARK
    return Words(marks, cut.bounds, figures, numbers, cut.data, cut.starts, cut.ends)


def _sizes_apart(cut: _Cut) -> tuple[Ints, Ints]:
    """Of sizes written apart the first and the last word, and the texts in which it is not sure what they are.

    That is `([0-9]) ([Zz]?[Rr]) ?([0-9]{2})` of `auditor.claims.terms.words.SIZE_STEPS`.
    """
    data, starts, ends = cut.data, cut.starts, cut.ends
    head = cut.low.astype(np.uint8) | 32
    at = np.flatnonzero((head == 114) | (head == 122))  # r, z
    at = at[at > 0]
    before = ends[at - 1]
    at = at[(starts[at] - before == 1) & (data[before] == 32) & _DIGITS[data[before - 1]]]
    letter = starts[at] + (head[at] == 122)
    at, letter = at[data[letter] | 32 == 114], letter[data[letter] | 32 == 114] + 1
    alone = (letter == ends[at]) & (at + 1 < len(starts)) & (data[letter] == 32)
    last = at + alone
    rim = np.where(alone, starts[last], letter)
    rims = (rim + 2 <= ends[last]) & (~alone | (rim == letter + 1)) & _DIGITS[data[rim]] & _DIGITS[data[rim + 1]]
    at, last = at[rims], last[rims]
    text = _texts_of(cut.bounds, at)
    inside = (_texts_of(cut.bounds, at - 1) == text) & (last < cut.bounds[text + 1])
    first, last, text = at[inside] - 1, last[inside], text[inside]
    lengths = [cut.lengths[place] for place in (first, first + 1, last)]
    doubtful = (np.maximum.reduce(lengths) > STEP) | (lengths[0] + lengths[1] + (last - first - 1) * lengths[2] > 16)
    doubtful[1:] |= first[1:] <= last[:-1]
    doubtful[:-1] |= first[1:] <= last[:-1]
    return np.stack([first, last]), text[doubtful]


def _together(cut: _Cut, marks: Marks, apart: Ints) -> None:
    """Makes one word of those from the first to the last of each of some; the others say nothing."""
    first, last = apart
    low, further, length = cut.low[first], np.zeros(len(first), np.uint64), cut.lengths[first]
    for turn in (1, 2):
        some = np.flatnonzero(first + turn <= last)
        piece, bits = cut.low[first[some] + turn], (8 * length[some]).astype(np.uint64)
        within = bits < 64
        low[some] |= np.where(within, piece << bits, 0).astype(np.uint64)
        over = np.where(within, piece >> 1 >> (np.uint64(63) - bits), piece << (bits - np.uint64(64)))
        further[some] |= over.astype(np.uint64)
        length[some] += cut.lengths[first[some] + turn]
    whole = begun(low, length)
    marks[first] = np.where(length > STEP, gone_on(whole, further), whole)
    marks[first + 1] = marks[last] = NOTHING_MARK
    cut.ends[first] = cut.ends[last]


def _replaced(words: Words, texts: Ints, others: Words) -> Words:
    """Words with others in the place of those of some texts."""
    count = len(words.bounds) - 1
    places = np.arange(count)
    places[texts] = np.arange(len(texts)) + count + 1
    bounds = np.concatenate([words.bounds, others.bounds + len(words.marks)])
    order, of_texts = gathered(np.arange(len(words.marks) + len(others.marks)), bounds, places)
    figures = np.full(len(words.marks) + len(others.marks), -1, np.int64)
    figures[words.figures] = words.numbers
    figures[others.figures + len(words.marks)] = others.numbers
    figures = figures[order]
    at = np.flatnonzero(figures >= 0)
    far = len(words.data)
    return Words(
        np.concatenate([words.marks, others.marks])[order], of_texts, at, figures[at],
        np.concatenate([words.data, others.data]), np.concatenate([words.starts, others.starts + far])[order],
        np.concatenate([words.ends, others.ends + far])[order],
    )  # fmt: skip


def _touched(data: Bytes, bounds: Ints) -> Ints:
    """Places in texts that hold what `clean` changes, or may: anything of `TEXT_STEPS` but what is put together here.

    Lines are words by themselves.
    """
    digit, blank = data - np.uint8(48) < 10, data == 32
    pairs = digit[1:] & digit[:-1]
    fours = pairs[2:] & pairs[:-2]
    found = [np.flatnonzero(fours[3:] & fours[:-3])]  # seven digits
    at = np.flatnonzero(blank[:-1] & digit[1:])  # LT 245/75
    at = at[_PREFIXES[data[at - 1]]]
    at = at[(data[at + 3] == ord("/")) | (data[at + 4] == ord("/"))]
    begins = at - 2 <= bounds[np.searchsorted(bounds, at, side="right") - 1]
    found.append(at[begins | ~_WORDS[data[at - 2]] | ~_WORDS[data[at - 3]]])
    at = np.flatnonzero(digit[:-1] & blank[1:])  # R16 LT
    at = at[data[at + 2] == ord("L")]
    found.append(at[data[at + 3] == ord("T")])
    at = np.flatnonzero((data[:-2] == ord("5")) & digit[2:])  # 225-60-17
    at = at[_JOINTS[data[at + 4]]]
    at = at[_JOINTS[data[at + 1]]]
    at = at[_ASPECTS[data[at + 3]] & _DIGITS[data[at - 2]]]
    rim = at + 6 + (data[at + 6] == 32)
    found.append(at[(data[at + 4] != 32) | (data[at + 5] != ord("R")) | ~_DIGITS[data[rim]]])
    dots = np.flatnonzero(data == ord("."))
    at = dots[_OF_SPEEDS[data[dots - 1]]]  # 112 m.p.h.
    found.append(at[_DIGITS[data[at - 2 - (data[at - 2] == 32)]]])
    at = dots[_CAPITALS[data[dots - 1]]]  # P.R.
    second = at + 1 + (data[at + 1] == 32)
    second, at = (one[_CAPITALS[data[second]]] for one in (second, at))
    left = bounds[np.searchsorted(bounds, at, side="right")] - second
    found.append(at[(left == 1) | ((left > 1) & ~_WORDS[data[second + 1]])])
    at = np.flatnonzero(data == ord("#"))
    found.append(at[_DIGITS[data[at + 1]]])
    at = np.flatnonzero(data == ord("|"))
    found.append(at[data[at + 1] == ord("|")])
    at = np.flatnonzero(_PARTING[data])  # 91/V, 91 (V), 115(113)R, 225 / 60 / 17
    at = at[_DIGITS[data[at - 1 - (data[at - 1] == 32)]]]
    behind = at + 1 + (data[at + 1] == 32)
    symbol = _CAPITALS[data[behind]] & ~_WORDS[data[behind + 1]]
    apart = (data[at - 1] == 32) | (data[at] == ord("("))
    found.append(at[symbol | (apart & _DIGITS[data[behind]])])
    if int(data.max()) > 127:
        at = np.flatnonzero(_BULLETS[0][data])
        found.append(at[_BULLETS[1][data[at + 1]]])
    return np.concatenate(found)
