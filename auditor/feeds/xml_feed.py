"""XML feeds: an element per listing, its children and attributes as cells."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO

import numpy as np
import numpy.typing as npt

from auditor.feeds.csv_feed import end_of_data
from auditor.feeds.csv_pieces import gather
from auditor.feeds.json_feed import JsonFeed
from auditor.feeds.json_keys import keys_of
from auditor.feeds.model import HELD, RELEASED, Block, Limits, Mapping, WorkUnit
from auditor.feeds.record_spans import REASONS, SOUND, TOO_LONG, Spans
from auditor.feeds.spool import create_packed
from auditor.feeds.stopping import raise_if_stopped
from auditor.feeds.xml_document import spool_elements

_PIECE = 1 << 14  # listings that are copied at once


@dataclass(frozen=True, slots=True)
class XmlFeed(JsonFeed):
    """Listings of an XML document, which were made lines of JSON to be read."""

    document: Path = Path()  # in which the listings stand as `spans` says
    spans: Path = Path()
    closing: str = ""  # the end tags that a document lacks which breaks off
    format: str = "xml"

    def read(self, unit: WorkUnit, columns: Sequence[int]) -> Block:
        """Reads the asked cells; a listing that is too long, and what follows a break, are rejected."""
        block = JsonFeed.read(self, unit, columns)  # a class with slots has no other way to its base
        rejected = (
            replace(one, byte_offset=None, reason=one.reason if one.reason == self.fault else REASONS[TOO_LONG])
            for one in block.rejected
        )
        return replace(block, rejected=tuple(rejected))

    def split(self, released: Path, held: Path, disposition: npt.NDArray[np.uint8]) -> None:
        """Copies the document without the listings that are not wanted; all that stands around them stays."""
        starts, ends = np.load(self.spans)
        with (
            self.document.open("rb") as document,
            create_packed(released, self.compression) as out,
            create_packed(held, self.compression) as other,
        ):
            for target, wanted in ((out, RELEASED), (other, HELD)):
                _copy(document, target, 0, int(starts[0]))
                for first in range(0, len(starts), _PIECE):
                    raise_if_stopped()
                    part = slice(first, first + _PIECE)
                    begin = int(ends[first - 1]) if first else int(starts[0])
                    document.seek(begin)
                    raw = document.read(int(ends[part][-1]) - begin)
                    spans = _between_and_within(starts[part] - begin, ends[part] - begin)
                    kept = np.ones(len(spans), np.bool_)
                    kept[1::2] = disposition[part][: len(spans) // 2] == wanted
                    target.write(gather(memoryview(raw), spans, np.flatnonzero(kept)))
                if self.closing:
                    target.write(f"\n{self.closing}\n".encode())
                else:
                    _copy(document, target, int(ends[-1]), None)


def open_xml(name: str, path: Path, source: Path, output_name: str, limits: Limits, compression: str | None) -> XmlFeed:
    """Makes lines of the listings.  Raises FeedError where the document holds none."""
    lines = spool_elements(path, name, limits.record_bytes)
    keys, further, _ = keys_of(lines.path, 0, limits.columns)
    return XmlFeed(
        name=name,
        headers=tuple(key.name for key in keys),
        mapping=Mapping("none", ()),
        output_name=output_name,
        path=lines.path,
        source=source,
        data_start=0,
        data_stop=end_of_data(lines.path, 0),
        limits=limits,
        compression=compression,
        keys=keys,
        further=further,
        objects=lines.objects,
        fault=lines.fault,
        document=lines.document,
        spans=lines.spans,
        closing=lines.closing,
    )


def _between_and_within(starts: npt.NDArray[np.int64], ends: npt.NDArray[np.int64]) -> Spans:
    """In turns what stands before a listing and the listing itself."""
    bounds = np.stack([starts, ends], 1).reshape(-1)
    return Spans(np.concatenate([np.zeros(1, np.int64), bounds[:-1]]), bounds, np.full(len(bounds), SOUND, np.uint8))


def _copy(document: IO[bytes], target: IO[bytes], start: int, stop: int | None) -> None:
    document.seek(start)
    left = (1 << 62) if stop is None else stop - start
    while left and (piece := document.read(min(1 << 20, left))):
        target.write(piece)
        left -= len(piece)
