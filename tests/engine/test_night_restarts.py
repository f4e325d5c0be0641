"""A run that begins anew because a feed breaks at the very end writes one night, and no trace of its first attempt."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import psycopg
import pytest

from auditor.engine import run
from auditor.feeds.model import Feed
from auditor.feeds.splitting import split_all
from tests.engine.test_nights import HEADER, NIGHTS, Shop, rows, shop, write_decisions  # noqa: F401
from tests.ledger.conftest import server  # noqa: F401
from tests.ledger.nights import everything

BROKEN = "south.csv"


def two_nights(shop: Shop, whole: bool) -> None:  # noqa: F811
    """A night of two feeds and decisions in its workbook, then one on which the second feed is broken."""
    shop.deliver(rows([3, 4]))
    shop.deliver(rows([5, 6], supplier="Southern"), BROKEN)
    shop.audit(NIGHTS[0])
    asked = {"Decision": "ask", "Note": "which is right?"}
    write_decisions(shop.out / "report.xlsx", {"S-003": asked, "S-005": asked})
    shop.deliver(rows([4, 7]))
    if not whole:
        (shop.feeds / BROKEN).write_bytes(b"\\x00\\x01")
    assert shop.audit(NIGHTS[1]) == 3


def test_a_feed_that_breaks_at_the_end_is_as_one_that_never_came(
    tmp_path: Path,
    server: str,  # noqa: F811
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    shops = {name: Shop(tmp_path / name) for name in ("file", "database", "never")}
    with psycopg.connect(server, autocommit=True) as connection:
        connection.execute("CREATE DATABASE restarts")
    shops["database"].ledger = server.rsplit("/", 1)[0] + "/restarts"
    two_nights(shops["never"], whole=False)
    begun: list[int] = []

    def breaks(parted: Sequence[tuple[Sequence[Feed], Any]], *more: Any) -> dict[int, Exception]:
        begun.append(len(parted))
        found = split_all(parted, *more)
        names = [feeds[0].name for feeds, _ in parted]
        if len(begun) > 1 and BROKEN in names:  # on the second night
            found[names.index(BROKEN)] = OSError("the disk lost it")
        return found

    monkeypatch.setattr(run, "split_all", breaks)
    for name in ("file", "database"):
        begun.clear()
        two_nights(shops[name], whole=True)
        assert begun == [2, 2, 1]
        assert shops[name].summary()["unreadable_feeds"][0]["feed"] == BROKEN
        assert shops[name].summary()["decisions"]["taken"] == 2
        assert shops[name].counts() == {"new": 1, "standing": 1, "gone": 1}
        assert told(shops[name]) == told(shops["never"])
    assert shops["file"].findings() == shops["database"].findings()


def told(shop: Shop) -> dict[str, list[tuple[Any, ...]]]:  # noqa: F811
    """All that the ledger holds, but for the folder that a decision was read in."""
    found = everything(shop.ledger)
    found["ledger_decisions"] = [
        tuple(str(cell).replace(str(shop.folder), "") for cell in row) for row in found["ledger_decisions"]
    ]
    return found
