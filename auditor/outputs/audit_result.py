"""What the engine hands to the writers when the last listing has been compared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from auditor.outputs.worst_findings import WorstFindings


@dataclass(frozen=True, slots=True)
class RuleCard:
    """What the outputs need to know of a rule; `order` is its place in the rule book."""

    id: str
    grade: str
    subject: str
    title: str
    why: str
    source: str
    order: int
    counted_in: tuple[str, ...] = ()  # figures that count its findings: see the rule book's schema
    whole_column: bool = False  # whether its findings stand for those of a whole column


class Statement(NamedTuple):
    """One thing a listing states, beside what its marking says.

    `agrees` is None where the two cannot be compared: nothing follows from the marking, or the cell is
    unreadable.
    """

    field: str
    column: str
    stated: str
    derived: str | None
    agrees: bool | None


class OfferEnd(NamedTuple):
    """The listing at the other end of an offer that lacks something."""

    feed: str
    sheet: str | None
    record: int
    called: str  # by its SKU, part number or GTIN, else by its record
    rule: str  # of what the new tire lacks
    is_new: bool  # whether the listing that this stands with is the new tire


class OfferEnds(NamedTuple):
    """The other ends of the offers of one listing."""

    some: Sequence[OfferEnd]
    in_all: int


@dataclass(frozen=True, slots=True)
class ListingDetail:
    """A listing behind one of the worst findings, with everything it states."""

    feed: str
    sheet: str | None
    record: int
    marking: str
    title: str = ""
    brand: str = ""
    statements: Sequence[Statement] = ()


@dataclass(frozen=True, slots=True)
class FinishedAudit:
    """A finished audit in the folder that is being built, before it is moved into place.

    `findings` is the Parquet file written by `FindingsWriter`, in the order feed, record, rule, field;
    `summary` follows `rules/schemas/summary.json`.  `worst` are the findings that the report shows, where they were
    picked already to gather `details`.  `repeated` are all repeated mistakes, worst first; the summary has the first.
    `offers` are those that tie listings of the worst findings to others, by feed, sheet and record.
    """

    folder: Path
    findings: Path
    summary: dict[str, Any]
    rules: Mapping[str, RuleCard]
    details: Sequence[ListingDetail] = field(default_factory=tuple)
    worst: WorstFindings | None = None
    repeated: Sequence[dict[str, Any]] = ()
    offers: Mapping[tuple[str, str | None, int], OfferEnds] = field(default_factory=dict)
