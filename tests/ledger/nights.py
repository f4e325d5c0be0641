"""Nights made of a few findings, written into a ledger."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from auditor.ledger.asked import AskedDecision, DecisionLimits
from auditor.ledger.database import Database
from auditor.ledger.deliveries import Delivery, DriftLimits
from auditor.ledger.night import Night, NightLimits, NightTold, opened
from auditor.ledger.settling import ROW

LIMITS = NightLimits(
    DecisionLimits(critical_days=90),
    DriftLimits(0.75, 0.1, {}, frozenset({"marking", "max_load_kg"})),
    wait_s=0.5,
)
COLUMNS = {"sku": "Item", "marking": "Size", "max_load_kg": "Max load (kg)"}
CRITICAL, MAJOR, MINOR = range(3)


@dataclass(frozen=True, slots=True)
class Found:
    """A finding; its key is made of what follows."""

    sku: str
    stated: str = "950"
    marking: str = "225/65R17 102H"
    grade: int = MAJOR
    feed: str = "north"
    in_column: str = ""
    in_group: str = ""
    record: int | None = None
    supplier: str = "Northern"

    @property
    def key(self) -> str:
        return f"{self.sku}:{self.stated}"


@dataclass(slots=True)
class Told:
    """What came of a night."""

    told: NightTold
    states: list[str]
    first_nights: list[str]
    let_through: list[tuple[Any, ...]] = field(default_factory=list)
    columns: dict[str, Any] = field(default_factory=dict)

    @property
    def counts(self) -> dict[str, int]:
        return {name: count for name, count in self.told.counts.items() if count}


def delivery(name: str = "north", **changed: Any) -> Delivery:
    """A delivery as usual."""
    usual = Delivery(name, name, name.title(), 100, 10, "proposed", dict(COLUMNS), ("",), False, [])
    return replace(usual, **changed)


def night(
    place: str,
    name: str,
    found: Sequence[Found] = (),
    *,
    feeds: Iterable[Delivery | str] = ("north",),
    asked: Sequence[AskedDecision] = (),
    limits: NightLimits = LIMITS,
    listings: Sequence[str] = (),
    commit: bool = True,
) -> Told:
    """Runs one night; a feed that is only named comes with a new file."""
    with opened(place, make=True) as database:
        run = Night(database, name, limits)
        told = run.begin(asked)
        delivered = [one if isinstance(one, Delivery) else delivery(one, sha256=(f"{one}-{name}",)) for one in feeds]
        for number, one in enumerate(delivered):
            one.runs = [number]
        known = run.feeds(delivered)
        ledgers = {delivered[place].short: number for number, one in known.items() for place in one.runs}
        runs = {one.short: number for number, one in enumerate(delivered)}
        run.take_findings(_columns(found, ledgers, runs))
        if listings:
            run.take_listings(next(iter(known)), listings)
        run.settle(told)
        states = list(run.states())
        result = Told(told, [state for state, _ in states], [first for _, first in states])
        result.let_through = list(run.let_through())
        result.columns = run.columns_by_state()
        figures = {"program": "0", "rules": "r", "records": 100, "held": 10, "critical": 1}
        run.write(told, figures, {"Northern": {"records": 100, "held": 10, "critical": 1}})
        if commit:
            run.commit()
        return result


def _columns(found: Sequence[Found], ledgers: dict[str, int], runs: dict[str, int]) -> dict[str, list[Any]]:
    rows = [
        {
            "run": runs[one.feed],
            "record": one.record or number,
            "key": one.key,
            "feed": ledgers[one.feed],
            "supplier": one.supplier,
            "listing": f"sku={one.sku}",
            "rule": "load-overstated",
            "grade": one.grade,
            "field": "max_load_kg",
            "stated": one.stated,
            "derived": "850",
            "marking": one.marking,
            "in_column": one.in_column,
            "in_group": one.in_group,
        }
        for number, one in enumerate(found, 1)
    ]
    return {name: [row[name] for row in rows] for name in ROW}


def everything(place: str) -> dict[str, list[tuple[Any, ...]]]:
    """All rows of all tables but the feeds' numbers, to compare ledgers by."""
    tables = ("ledger_nights", "ledger_suppliers", "ledger_deliveries", "ledger_findings", "ledger_decisions")
    with opened(place) as database:
        return {table: sorted(_rows(database, table)) for table in tables}


def _rows(database: Database, table: str) -> list[tuple[Any, ...]]:
    return [tuple(row) for row in database.rows(f"SELECT * FROM {table}")]
