"""One run's part in a ledger: one transaction at its end, in which the night is compared, told and written."""

from __future__ import annotations

import contextlib
import datetime as dt
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from auditor.errors import UsageError
from auditor.ledger import settling
from auditor.ledger.asked import AskedDecision, DecisionLimits, date_of
from auditor.ledger.database import Database, connect
from auditor.ledger.decisions import TakenDecisions, take_decisions
from auditor.ledger.deliveries import Delivery, DriftLimits, changed_deliveries, known_again, last_night, remember
from auditor.ledger.place import place_of, refuse_unmakeable
from auditor.ledger.schema import bring_up, version_of
from auditor.ledger.telling import trends

_COUNTED = (*settling.STATES, "gone")


@dataclass(frozen=True, slots=True)
class LedgerSettings:
    """Where what happened on other nights is kept, and what tonight is called."""

    place: str
    night: str
    every_days: Mapping[str, float] = field(default_factory=dict)  # feed -> days between deliveries


@dataclass(frozen=True, slots=True)
class NightLimits:
    """The policy's limits of a night."""

    decisions: DecisionLimits
    drift: DriftLimits
    wait_s: float


@dataclass(slots=True)
class NightTold:
    """What the ledger says of tonight."""

    night: str
    before: str  # the night that it was compared with; empty for the first one
    decisions: TakenDecisions
    delivery_changed: list[dict[str, Any]] = field(default_factory=list)
    counts: dict[str, int] = field(default_factory=dict)  # findings of each state, and how many are gone
    by_supplier: dict[str, dict[str, int]] = field(default_factory=dict)
    since: dict[str, tuple[str, int]] = field(default_factory=dict)  # see `settling.standing_since`
    ended_decisions: dict[str, int] = field(default_factory=dict)  # why -> how many


def settings_of(place: str, night: str | None, every_days: Mapping[str, float] | None = None) -> LedgerSettings:
    """The settings of a run with a ledger; a night without a name is today.

    Raises UsageError where the night is no date, or cannot be written any more: before hours are spent on it.
    """
    name = night or dt.date.today().isoformat()
    if date_of(name) is None:
        raise UsageError(f"The night {name!r} is no date; write it as 2026-11-28.")
    check_night(place, name)
    return LedgerSettings(place, name, every_days or {})


@contextlib.contextmanager
def opened(place: str, *, make: bool = False) -> Iterator[Database]:
    """The ledger at a place; closed again in the end, with what it held before where nothing was committed."""
    database = connect(place_of(place), make=make)
    try:
        yield database
    finally:
        database.rollback()
        database.close()


def check_night(place: str, night: str) -> None:
    """Raises UsageError where a night cannot be written any more, before hours are spent on it.

    Raises OutputError where the ledger cannot be opened, or made.  Nothing is made here: another run may begin beside.
    """
    where = place_of(place)
    if where.path is not None and not where.path.exists():
        refuse_unmakeable(where)
        return
    with opened(place) as database:
        if version_of(database):
            _refuse_earlier(database, night)


def _refuse_earlier(database: Database, night: str) -> str | None:
    """The last night.  Raises UsageError where it is later than the one that is asked for."""
    last = last_night(database)
    if last is not None and last > night:
        raise UsageError(
            f"{database.place.shown}: the night {night} is earlier than {last}, which the ledger already holds; "
            "only its last night can be run again."
        )
    return last


class Night:
    """The night that is being written; nothing of it lasts before `commit`."""

    def __init__(self, database: Database, night: str, limits: NightLimits) -> None:
        self.name = night
        self._database = database
        self._limits = limits
        self._loaded = {False: 0, True: settling.FOLDED_FROM}

    def begin(self, asked: Sequence[AskedDecision] = ()) -> NightTold:
        """Waits for the ledger, takes decisions in, and takes the night back where it is run again."""
        database = self._database
        database.begin(self._limits.wait_s)
        bring_up(database)
        last = _refuse_earlier(database, self.name)
        taken = take_decisions(database, asked, self.name, self._limits.decisions) if last else _none(asked)
        if last == self.name:
            settling.take_back(database, self.name)
        settling.lay_out(database)
        return NightTold(self.name, last_night(database) or "", taken)

    def feeds(self, delivered: Sequence[Delivery]) -> dict[int, Delivery]:
        """What the ledger calls tonight's feeds, by number."""
        self._delivered = known_again(self._database, delivered)
        self._database.load(
            "tonight_feeds",
            ("feed", "changes"),
            [(number, int(one.changes)) for number, one in self._delivered.items()],
        )
        return self._delivered

    def take_findings(self, columns: Mapping[str, Sequence[Any]], *, folded: bool = False) -> None:
        """Some findings, in the order in which `states` gives them back; columns are as `settling.ROW` names them.

        States of folded ones are asked for by their column.
        """
        rows = zip(*(columns[name] for name in settling.ROW), strict=True)
        settling.load(self._database, self._loaded[folded], rows)
        self._loaded[folded] += len(columns["key"])

    def take_listings(self, feed: int, listings: Sequence[str]) -> None:
        """Listings that are in a feed which holds only changes."""
        self._database.load("tonight_listings", ("feed", "listing"), ((feed, listing) for listing in listings))

    def settle(self, told: NightTold) -> None:
        """Compares tonight with the night before."""
        database, night = self._database, self.name
        settling.settle(database, night)
        told.delivery_changed = changed_deliveries(database, night, self._delivered, self._limits.drift)
        remember(database, night, self._delivered)
        told.by_supplier = settling.counted_by_supplier(database, night)
        told.since = settling.standing_since(database, night)
        told.counts = {name: sum(row.get(name, 0) for row in told.by_supplier.values()) for name in _COUNTED}
        told.ended_decisions = dict(
            database.rows(
                "SELECT ended_why, count(*) FROM ledger_decisions WHERE ended = ? AND ended_why <> 'replaced'"
                " GROUP BY ended_why ORDER BY ended_why",
                night,
            )
        )

    def states(self) -> Iterator[tuple[str, str]]:
        """(state, first night) of each finding that was taken."""
        return settling.states(self._database)

    def let_through(self) -> Iterator[tuple[int, int, int, str]]:
        """Records with accepted findings: see `settling.let_through`."""
        return settling.let_through(self._database)

    def keep_wrong_listings(self, listing: Callable[[int, int], Mapping[str, str]]) -> None:
        """Keeps the listings whose findings were said to be wrong; `listing` gives a record's cells by field."""
        for run, record, key in settling.wrong_without_listing(self._database):
            cells = json.dumps(dict(listing(run, record)), ensure_ascii=False)
            settling.keep_listing(self._database, key, cells)

    def columns_by_state(self) -> dict[str, list[tuple[str, int, int, str]]]:
        """What column findings stand for: see `settling.columns_by_state`."""
        return settling.columns_by_state(self._database)

    def repeated_by_state(self) -> dict[str, dict[str, Any]]:
        """The states of the members of repeated mistakes: see `settling.repeated_by_state`."""
        return settling.repeated_by_state(self._database, self.name)

    def write(self, told: NightTold, totals: Mapping[str, Any], by_supplier: Mapping[str, Mapping[str, int]]) -> None:
        """Writes the night's figures, `totals` with `program`, `rules`, `records`, `held` and `critical`."""
        database = self._database
        database.run(
            "INSERT INTO ledger_nights (night, before, program, rules, records, held, critical, new, standing,"
            " accepted, asked, gone, changed) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            self.name,
            told.before,
            *(totals[name] for name in ("program", "rules", "records", "held", "critical")),
            *(told.counts[name] for name in _COUNTED),
            len(told.delivery_changed),
        )
        rows = []
        for supplier in sorted({*by_supplier, *told.by_supplier}):
            figures, counts = by_supplier.get(supplier, {}), told.by_supplier.get(supplier, {})
            rows.append(
                (
                    self.name,
                    supplier,
                    *(figures.get(name, 0) for name in ("records", "held", "critical")),
                    *(counts.get(name, 0) for name in _COUNTED),
                )
            )
        columns = ("night", "supplier", "records", "held", "critical", *_COUNTED)
        database.load("ledger_suppliers", columns, rows)

    def trend(self, most_nights: int = 14) -> list[dict[str, Any]]:
        """What a picture of the last nights is drawn of, tonight too, once it is written."""
        return trends(self._database, most_nights)

    def commit(self) -> None:
        """From now on the night is remembered."""
        for table in ("tonight_states", "tonight", "tonight_feeds", "tonight_listings"):
            self._database.run(f"DROP TABLE {table}")
        self._database.commit()


def _none(asked: Sequence[AskedDecision]) -> TakenDecisions:
    return TakenDecisions(refused=[f"{one.place}: the ledger holds no night yet." for one in asked])
