"""`python -m tests.benchmarks.ledger [FINDINGS [NIGHTS [postgresql]]]`: what a ledger adds to a night.

Nights are fed directly, with findings as a run shows them: tables that become rows, are compared with the night
before, and come back with their states.  On each night a twentieth of the findings is gone and as many are new; the
order is another one every night.  Times are of this process; PostgreSQL does its part in others, so that the wall
clock tells more there.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from typing import NamedTuple

import numpy as np
import pyarrow as pa

from auditor.engine.shown_to_ledger import ledger_rows
from auditor.ledger.asked import DecisionLimits
from auditor.ledger.database import first
from auditor.ledger.deliveries import Delivery, DriftLimits
from auditor.ledger.night import Night, NightLimits, opened
from auditor.outputs.findings import FINDINGS_SCHEMA
from tests.postgres_server import running_postgres

_CHANGED = 20  # one finding of so many is another one on the next night
_AT_ONCE = 65_536
_LIMITS = NightLimits(DecisionLimits(90), DriftLimits(0.75, 0.1), 10.0)


class Taken(NamedTuple):
    """What one night took."""

    processor_s: float
    wall_s: float


def findings(numbers: np.ndarray[tuple[int], np.dtype[np.int64]]) -> pa.Table:
    """Findings by their numbers, as a run has them."""
    texts = [str(number) for number in numbers.tolist()]
    count = len(texts)
    keys = [hashlib.blake2b(text.encode(), digest_size=12).hexdigest() for text in texts]
    columns = {
        "record": pa.array(np.arange(1, count + 1)),
        "deviation": pa.nulls(count, pa.float64()),
        "stands_for": pa.array(np.ones(count, np.int64)),
        "key": keys,
        "sku": [f"KW-{text}" for text in texts],
        "supplier": ["Kestrel Wholesale"] * count,
        "grade": ["critical"] * count,
        "rule": ["load-overstated"] * count,
        "field": ["max_load_kg"] * count,
        "stated": [str(900 + number % 400) for number in numbers.tolist()],
        "derived": ["850"] * count,
        "marking": ["225/65R17 102H"] * count,
    }
    return pa.table([columns.get(name, [""] * count) for name in FINDINGS_SCHEMA.names], schema=FINDINGS_SCHEMA)


def one_night(place: str, name: str, table: pa.Table, listings: int) -> Taken:
    """Shows a night's findings to the ledger and takes their states back."""
    processor, wall = time.process_time(), time.perf_counter()
    with opened(place, make=True) as database:
        night = Night(database, name, _LIMITS)
        told = night.begin()
        sent = Delivery("kestrel", "kestrel", "Kestrel Wholesale", listings, 100, "proposed", {}, (name,), False, [0])
        (feed,) = night.feeds([sent])
        for start in range(0, table.num_rows, _AT_ONCE):
            part = table.slice(start, _AT_ONCE)
            night.take_findings(ledger_rows(0, feed, part, [""] * part.num_rows))
        night.settle(told)
        assert sum(1 for _ in night.states()) == table.num_rows
        figures = {"program": "0", "rules": "r", "records": listings, "held": 100, "critical": table.num_rows}
        night.write(told, figures, {})
        night.trend()
        night.commit()
    return Taken(time.process_time() - processor, time.perf_counter() - wall)


def nights(place: str, count: int, amount: int) -> Iterator[Taken]:
    """A sequence of nights."""
    dice = np.random.default_rng(1)
    there, following = np.arange(amount), amount
    for day in range(count):
        name = (dt.date(2026, 3, 1) + dt.timedelta(days=day)).isoformat()
        yield one_night(place, name, findings(there), 50 * amount)
        dice.shuffle(there)
        gone = amount // _CHANGED
        there = np.concatenate([there[gone:], np.arange(following, following + gone)])
        following += gone


def bytes_of(place: str) -> int:
    """How large a ledger is."""
    if "://" not in place:
        return Path(place).stat().st_size
    with opened(place) as database:
        found = first(database, "SELECT pg_database_size(current_database())")
        return int(found[0]) if found else 0


@contextlib.contextmanager
def _place(kind: str) -> Iterator[str]:
    if kind == "postgresql":
        with running_postgres() as url:
            yield url.replace("+psycopg", "")
    else:
        with tempfile.TemporaryDirectory() as folder:
            yield str(Path(folder) / "nights.db")


def main() -> None:
    """Prints one sequence."""
    kind = "postgresql" if "postgresql" in sys.argv else "SQLite"
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    amount, count = numbers + [20_000, 60][len(numbers) :]
    with _place(kind) as place:
        taken = list(nights(place, count, amount))
        size = bytes_of(place)
    processor, wall = [one.processor_s for one in taken], [one.wall_s for one in taken]
    print(
        f"{kind}, {count} nights of {amount:,} findings: a night takes {median(processor):.2f} s of the processor"
        f" (first {processor[0]:.2f}, worst {max(processor):.2f}, last {processor[-1]:.2f}), {median(wall):.2f} s by"
        f" the wall clock (worst {max(wall):.2f}); the ledger is {size / 1e6:.1f} MB"
    )


if __name__ == "__main__":
    main()
