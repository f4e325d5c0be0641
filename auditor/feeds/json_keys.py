"""Every key of a JSON feed's objects, however far down it first stands: no key may be lost in silence.

The first lines are read as JSON.  Of the rest only the places of keys are looked for, by their bytes, and a line is
read where one of its keys was not seen before; so a line like all others costs no more than a look.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from auditor.feeds.json_values import FEW_LEVELS, LEVELS, NAMED, Key, keys_of_objects, note_keys
from auditor.feeds.record_spans import LF

SAMPLE_BYTES, SAMPLE_LINES = 4 << 20, 5000
_CHUNK = 4 << 20
_ENOUGH = 25  # lines that are read of a key as it is written; more say nothing new of its values
_MOST_LINES = 400  # of those that are kept as samples
_PAD = b"\0" * 16
_THREE_WORDS, _LONGEST_BY_WORDS = 24, 512  # bytes
_QUOTE, _COLON, _BLANK, _ESCAPE = ord('"'), ord(":"), ord(" "), ord("\\")
_MIX = np.array([0x9E3779B97F4A7C15, 0xC2B2AE3D27D4EB4F, 0x165667B19E3779F9, 0x27D4EB2F165667C5], np.uint64)
_MASKS = np.array([(1 << (8 * length)) - 1 for length in range(8)] + [(1 << 64) - 1], np.uint64)

Marks = npt.NDArray[np.uint64]
Places = npt.NDArray[np.int64]


class FoundKeys(NamedTuple):
    """The keys in the order they appear, where lines begin that have some which the first lines have not, and in how
    many levels of objects they stand at most."""

    keys: tuple[Key, ...]
    further: tuple[int, ...]
    levels: int


def keys_of(path: Path, start: int, most: int) -> FoundKeys:
    """The keys of all objects of a file of lines; of more than `most` only so many that it shows.

    Where objects within objects would make too many, those on the second level stay whole.
    """
    for levels in (LEVELS, FEW_LEVELS):
        found = _keys_of(path, start, most, levels)
        if len(found.keys) <= most:
            break
    return found


def _keys_of(path: Path, start: int, most: int, levels: int) -> FoundKeys:
    found: dict[str, Key] = {}
    seen: dict[int, int] = {}  # mark of a key as it stands -> lines that were read for it
    further: list[int] = []
    at = start
    for chunk in _chunks(path, start):
        if len(found) > most:
            break
        first = at == start
        if first:  # as many as show what the values are
            lines = chunk.split(b"\n")[:SAMPLE_LINES]
            found = keys_of_objects(lines, most, levels)
            done = min(sum(map(len, lines)) + len(lines), len(chunk))
            marks, _ = _keys_in(chunk[:done])
            seen = dict.fromkeys(np.unique(marks).tolist(), _ENOUGH)
            at, chunk = at + done, chunk[done:]
        named = any(key.kind == NAMED for key in found.values())  # names are no keys that could be seen
        for place, line in _every(chunk) if named else _unlike(chunk, seen):
            known = len(found)
            note_keys(found, line, levels)
            if len(found) > known or (len(further) < _MOST_LINES and not named):
                further.append(at + place)
            if len(found) > most:
                break
        at += len(chunk)
    return FoundKeys(tuple(found.values()), tuple(further), levels)


def lines_at(path: Path, places: tuple[int, ...], longest: int) -> Iterator[bytes]:
    """The lines that begin at the places."""
    with path.open("rb") as file:
        for place in places:
            file.seek(place)
            yield file.readline(longest)


def _chunks(path: Path, start: int) -> Iterator[bytes]:
    """The file in pieces of whole lines."""
    with path.open("rb") as file:
        file.seek(start)
        left = b""
        while piece := file.read(_CHUNK):
            whole, mark, rest = piece.rpartition(b"\n")
            if not mark:
                left += piece
                continue
            yield left + whole + mark
            left = rest
        if left:
            yield left + b"\n"


def _every(chunk: bytes) -> Iterator[tuple[int, bytes]]:
    """The lines of a piece, with their places."""
    place = 0
    for line in chunk.split(b"\n"):
        yield place, line
        place += len(line) + 1


def _unlike(chunk: bytes, seen: dict[int, int]) -> Iterator[tuple[int, bytes]]:
    """The lines of a piece with a key that has not been read often enough, with their places."""
    if not chunk:
        return
    marks, places = _keys_in(chunk)
    known = np.sort(np.array([mark for mark, times in seen.items() if times >= _ENOUGH], np.uint64))
    at = np.searchsorted(known, marks)
    new = np.flatnonzero(known.take(at, mode="clip") != marks) if len(known) else np.arange(len(marks))
    ends = 0
    for mark, place in zip(marks[new].tolist(), places[new].tolist(), strict=True):
        times = seen.get(mark, 0)
        seen[mark] = times + 1
        if times >= _ENOUGH or place < ends:
            continue
        begins = chunk.rfind(b"\n", 0, place) + 1
        ends = chunk.find(b"\n", place) + 1 or len(chunk)
        yield begins, chunk[begins:ends]


def _keys_in(chunk: bytes) -> tuple[Marks, Places]:
    """A mark of every key in a piece, which tells its name and what it stands in, and its place.

    What only looks like a key, in a text, has a mark too; its line is read and holds no such key.
    """
    padded = _PAD + chunk + _PAD
    data = np.frombuffer(padded, np.uint8)
    quotes = np.flatnonzero(data == _QUOTE)
    after = data[quotes + 1]
    closing = (after == _COLON) | ((after == _BLANK) & (data[quotes + 2] == _COLON))
    closing &= data[quotes - 1] != _ESCAPE
    closing[:1] = False
    which = np.flatnonzero(closing)
    ends, begins = quotes[which], quotes[which - 1] + 1
    marks = _hashes(padded, begins, ends)
    if chunk.count(b"{") > chunk.count(b"\n") + 1:
        marks = _with_outer(marks, _depths(data, begins))
    return marks, begins - len(_PAD)


def _hashes(padded: bytes, begins: Places, ends: Places) -> Marks:
    """The names by their lengths and all their bytes: three words of eight hold a name of up to 24 bytes whole."""
    words: Marks = np.ndarray(len(padded) - 7, "<u8", padded, strides=(1,))
    lengths = np.maximum(ends - begins, 0)
    mask = _MASKS[np.minimum(lengths, 8)]
    marks = (words[begins] & mask) * _MIX[0]
    marks ^= (words[np.maximum(begins + (lengths - 8) // 2, 0)] & mask) * _MIX[1] * (lengths >= 8)
    marks ^= (words[np.maximum(ends - 8, 0)] & mask) * _MIX[2] * (lengths >= 8)
    marks ^= lengths.astype(np.uint64)
    _add_inner_words(marks, words, begins, ends)
    for one in np.flatnonzero(lengths > _LONGEST_BY_WORDS).tolist():  # texts that look like names
        marks[one] = hash(padded[begins[one] : ends[one]]) & int(_MASKS[8])
    return marks


def _add_inner_words(marks: Marks, words: Marks, begins: Places, ends: Places) -> None:
    """Adds to the marks of longer names what stands between their first and their last word."""
    lengths = ends - begins
    at = np.flatnonzero((lengths > _THREE_WORDS) & (lengths <= _LONGEST_BY_WORDS))
    inner = 8
    while len(at):
        mixed = (marks[at] ^ words[np.minimum(begins[at] + inner, ends[at] - 8)]) * _MIX[3]
        marks[at] = mixed ^ (mixed >> np.uint64(29))
        inner += 8
        at = at[lengths[at] > inner + 8]


def _depths(data: npt.NDArray[np.uint8], begins: Places) -> Places:
    """How deep in its line each key stands, as far as braces tell."""
    braces = np.flatnonzero((data == ord("{")) | (data == ord("}")))
    steps = np.concatenate([[0], np.cumsum(np.where(data[braces] == ord("{"), 1, -1))])
    breaks = np.flatnonzero(data == LF)
    line = np.concatenate([[0], breaks])[np.searchsorted(breaks, begins)]
    return steps[np.searchsorted(braces, begins)] - steps[np.searchsorted(braces, line)]


def _with_outer(marks: Marks, depths: Places) -> Marks:
    """The marks of inner keys, with those of all keys that they stand in; below the last level, of the last key."""
    places = np.arange(len(marks))
    whole = marks.copy()
    for depth in range(2, min(int(depths.max(initial=0)), LEVELS + 1) + 1):
        outer = np.maximum.accumulate(np.where(depths < depth, places, 0))
        at = np.flatnonzero(depths == depth if depth <= LEVELS else depths > LEVELS)
        whole[at] = marks[at] ^ (whole[outer[at]] * _MIX[3]) ^ depths[at].astype(np.uint64)
    return whole
