"""Which feed is which from night to night, and whether its delivery is like the ones before."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from statistics import median
from typing import Any

from auditor.ledger.database import Database, first

_USUAL = 7  # deliveries whose median is what is usual
_GAPS_OF = 5  # deliveries whose gaps say how often a feed comes
_OVERDUE = 1.5  # times the usual gap
_EACH_NIGHT_DAYS = 1  # of a feed that comes each night, the first night without it says all
_LEAST_HELD = 5  # listings held beyond what is usual: one more in a feed of ten is no jump


@dataclass(slots=True)
class Delivery:
    """What came of one feed tonight, perhaps in several files."""

    short: str  # what it is known by: what its map calls it, else its file's name without dates and counters
    file: str  # its file's name without dates and counters, with the folder
    supplier: str
    records: int
    held: int
    map: str
    columns: dict[str, str]  # field -> header
    sha256: tuple[str, ...]
    changes: bool = False
    runs: list[int] = field(default_factory=list)  # feeds of the run

    def add(self, other: Delivery) -> None:
        """Takes in a further file of the same feed."""
        self.records += other.records
        self.held += other.held
        self.columns = {**other.columns, **self.columns}
        self.sha256 = tuple(sorted({*self.sha256, *other.sha256}))
        self.changes = self.changes or other.changes
        self.runs += other.runs


@dataclass(frozen=True, slots=True)
class DriftLimits:
    """The policy's limits of a night, and how often feeds come where the job file says so."""

    least_records_share: float
    most_held_share_rise: float
    every_days: Mapping[str, float] = field(default_factory=dict)  # feed -> days
    needed_fields: frozenset[str] = frozenset()  # that some rule looks at


def known_again(database: Database, delivered: Sequence[Delivery]) -> dict[int, Delivery]:
    """Ledger's number of each feed -> what came of it tonight; feeds that are new get a number."""
    known = {name: (number, file) for number, name, file in database.rows("SELECT id, name, file FROM ledger_feeds")}
    files: dict[str, set[str]] = {}
    for one in delivered:
        files.setdefault(one.short, set()).add(one.file)
    found: dict[int, Delivery] = {}
    for one in sorted(delivered, key=lambda one: (one.short, one.file, one.sha256)):
        name = _name_of(one, len(files[one.short]) > 1, known)
        if name not in known:
            number = 1 + max((number for number, _ in known.values()), default=0)
            known[name] = (number, one.file)
            database.run("INSERT INTO ledger_feeds (id, name, file) VALUES (?, ?, ?)", number, name, one.file)
        number, file = known[name]
        if file != one.file:
            database.run("UPDATE ledger_feeds SET file = ? WHERE id = ?", one.file, number)
        if number in found:
            found[number].add(one)
        else:
            found[number] = one
    return found


def _name_of(one: Delivery, among_several: bool, known: Mapping[str, tuple[int, str]]) -> str:
    """The short name, or the longer one where feeds of one short name have to be told apart."""
    longer = one.file if one.file.rsplit("/", 1)[-1] == one.short else f"{one.short}/{one.file}"
    if longer in known:
        return longer
    if among_several and not (one.short in known and known[one.short][1] == one.file):
        return longer
    return one.short


def remember(database: Database, night: str, delivered: Mapping[int, Delivery]) -> None:
    """Writes what came tonight."""
    for number, one in delivered.items():
        seen = _seen_files(database, number)
        database.run(
            "INSERT INTO ledger_deliveries (feed, night, supplier, records, held, map, columns, sha256, fresh, changes)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            number,
            night,
            one.supplier,
            one.records,
            one.held,
            one.map,
            json.dumps(one.columns, sort_keys=True, ensure_ascii=False),
            " ".join(one.sha256),
            int(not set(one.sha256) <= seen.keys()),
            int(one.changes),
        )


def _seen_files(database: Database, number: int) -> dict[str, str]:
    """SHA-256 of every file that came of a feed -> the night when it first did."""
    seen: dict[str, str] = {}
    for hashes, night in database.rows(
        "SELECT sha256, night FROM ledger_deliveries WHERE feed = ? ORDER BY night", number
    ):
        for one in hashes.split():
            seen.setdefault(one, night)
    return seen


@dataclass(frozen=True, slots=True)
class _Before:
    """An earlier delivery."""

    night: str
    supplier: str
    records: int
    held: int
    columns: dict[str, str]
    fresh: bool

    @property
    def held_share(self) -> float:
        return self.held / self.records if self.records else 0.0


def changed_deliveries(
    database: Database, night: str, delivered: Mapping[int, Delivery], limits: DriftLimits
) -> list[dict[str, Any]]:
    """What is unlike the nights before, as entries of the summary; before `remember` writes tonight."""
    found: list[dict[str, Any]] = []
    for number, name in list(database.rows("SELECT id, name FROM ledger_feeds ORDER BY name")):
        history = _history(database, number)
        if not history:
            continue  # a first night has nothing to be compared with
        one = delivered.get(number)
        if one is None:
            entries = _missing(night, history, _gap(name, history, limits))
        else:
            entries = [
                *_columns(one, history, limits),
                *_records(one, history, limits),
                *_old_file(night, one, history, _gap(name, history, limits), _seen_files(database, number)),
                *_held(one, history, limits),
            ]
        supplier = one.supplier if one is not None else history[0].supplier
        found += [{"feed": name, "supplier": supplier, **entry} for entry in entries]
    return found


def _history(database: Database, number: int) -> list[_Before]:
    """Earlier deliveries of a feed, the last first."""
    return [
        _Before(night, supplier, records, held, json.loads(columns), bool(fresh))
        for night, supplier, records, held, columns, fresh in database.rows(
            "SELECT night, supplier, records, held, columns, fresh FROM ledger_deliveries WHERE feed = ?"
            " ORDER BY night DESC",
            number,
        )
    ]


def _gap(name: str, history: Sequence[_Before], limits: DriftLimits) -> float | None:
    """Days from one delivery to the next, as the job file says or as usual; None where nobody knows yet."""
    if name in limits.every_days:
        return limits.every_days[name]
    nights = [_date(one.night) for one in history if one.fresh][:_GAPS_OF]
    gaps = [(later - earlier).days for later, earlier in pairwise(nights)]
    return median(gaps) if gaps else None


def _overdue(night: str, last: str, gap: float | None) -> bool:
    if gap is None:
        return False
    days = (_date(night) - _date(last)).days
    return days > _OVERDUE * gap or (gap <= _EACH_NIGHT_DAYS <= days)


def _date(night: str) -> dt.date:
    return dt.date.fromisoformat(night)


def _last_fresh(history: Sequence[_Before]) -> str:
    return next((one.night for one in history if one.fresh), history[-1].night)


def _missing(night: str, history: Sequence[_Before], gap: float | None) -> Iterable[dict[str, Any]]:
    last = _last_fresh(history)
    if _overdue(night, last, gap):
        yield _entry("not-delivered", last, None, f"was not delivered; it last came on {last}")


def _columns(one: Delivery, history: Sequence[_Before], limits: DriftLimits) -> Iterable[dict[str, Any]]:
    """Columns that most of the last deliveries had: a loss is told until it is what is usual."""
    recent = history[:_USUAL]
    headers: dict[str, str] = {}
    counts: dict[str, int] = {}
    for before in recent:
        for name, header in before.columns.items():
            headers.setdefault(name, header)
            counts[name] = counts.get(name, 0) + 1
    for name in sorted(headers):
        if name not in one.columns and 2 * counts[name] >= len(recent):
            entry = _entry("column-lost", headers[name], None, f"has lost its column {headers[name]!r} ({name})")
            yield {**entry, "field": name, "sets_exit_code": name in limits.needed_fields}


def _records(one: Delivery, history: Sequence[_Before], limits: DriftLimits) -> Iterable[dict[str, Any]]:
    usual = median(before.records for before in history[:_USUAL])
    if not one.changes and one.records < limits.least_records_share * usual:
        said = f"has {one.records:,} listings instead of about {usual:,.0f}"
        yield _entry("fewer-records", round(usual), one.records, said)


def _old_file(
    night: str, one: Delivery, history: Sequence[_Before], gap: float | None, seen: Mapping[str, str]
) -> Iterable[dict[str, Any]]:
    if set(one.sha256) <= seen.keys() and _overdue(night, _last_fresh(history), gap):
        first_night = max(seen[sha] for sha in one.sha256)
        yield _entry("same-file", first_night, night, f"is the very file of {first_night}")


def _held(one: Delivery, history: Sequence[_Before], limits: DriftLimits) -> Iterable[dict[str, Any]]:
    usual = median(before.held_share for before in history[:_USUAL])
    share = one.held / one.records if one.records else 0.0
    more = one.held - usual * one.records
    if share - usual > limits.most_held_share_rise and more >= _LEAST_HELD:
        said = f"has {share:.0%} of its listings held instead of about {usual:.0%}"
        yield _entry("held-share", round(usual, 4), round(share, 4), said)


def _entry(what: str, before: Any, now: Any, said: str) -> dict[str, Any]:
    return {"what": what, "before": before, "now": now, "said": said, "sets_exit_code": True}


def last_night(database: Database) -> str | None:
    """The last night that the ledger knows."""
    found = first(database, "SELECT max(night) FROM ledger_nights")
    return found[0] if found else None
