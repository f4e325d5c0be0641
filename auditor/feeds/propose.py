"""Proposes a feed map from a feed's headers and a sample of its cells; what is not certain is left out and named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from auditor.contract import Contract
from auditor.feeds.headers import HeaderReading, read_header
from auditor.feeds.model import ColumnUse, LeftOut, Mapping

CERTAIN = 0.7  # from here on `audit` uses a column without a person's word


@dataclass(frozen=True, slots=True)
class Sample:
    """Headers and some cells of a feed: `cells[position]` are that column's texts, record by record."""

    headers: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]

    @property
    def records(self) -> int:
        """Number of sampled records."""
        return len(self.cells[0]) if self.cells else 0


def propose(sample: Sample, contract: Contract) -> Mapping:
    """A mapping for the sampled feed, with confidence and samples per column."""
    uses: list[ColumnUse] = []
    left: list[LeftOut] = []
    for position, header in enumerate(sample.headers):
        reading = read_header(header, contract)
        fields = _fields(reading, contract)
        if fields:
            shown = tuple(dict.fromkeys(cell for cell in sample.cells[position] if cell.strip()))[:3]
            uses.append(
                ColumnUse(header, position, fields, _unit(reading), None, {}, reading.confidence, shown)
            )
    kept, doubled = _once_each(uses)
    return Mapping("proposed", tuple(kept), (*left, *doubled))


def _fields(reading: HeaderReading, contract: Contract) -> tuple[str, ...]:
    if reading.field:
        return (reading.field,)
    for group in reading.groups:
        if group in contract.combined:
            return contract.combined[group]
        fields = contract.groups.get(group, ())
        if len(fields) == 1:
            return fields
        matching = tuple(name for name in fields if contract.fields[name].unit in reading.units)
        if matching:
            return matching
    return ()


def _unit(reading: HeaderReading) -> str | None:
    return reading.units[0] if len(reading.units) == 1 else None


def _once_each(uses: Sequence[ColumnUse]) -> tuple[list[ColumnUse], list[LeftOut]]:
    """Of several columns for one field the surest stays, the first on a tie."""
    best: dict[str, ColumnUse] = {}
    for use in uses:
        rival = best.get(use.fields[0])
        if rival is None or use.confidence > rival.confidence:
            best[use.fields[0]] = use
    kept = [use for use in uses if best[use.fields[0]] is use]
    left = [
        LeftOut(use.column, f"Column {best[use.fields[0]].column!r} already gives {use.fields[0]}.")
        for use in uses
        if best[use.fields[0]] is not use
    ]
    return [replace(use) for use in kept], left
