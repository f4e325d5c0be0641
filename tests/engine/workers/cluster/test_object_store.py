"""Feeds, parts and results in an object store: the same bytes, and a run that broke off goes on from its parts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from auditor.engine.run import Settings, run_audit
from auditor.engine.workers.cluster.settings import cluster_settings
from auditor.feeds.object_store import ObjectStore
from auditor.outputs.remote_folder import built_here
from auditor.rulebook.book import load_book
from tests.engine.workers.cluster.machines import Machines, machines
from tests.engine.workers.nights import Told, unlike
from tests.object_store import object_store, objects, put


@pytest.fixture(scope="module")
def store() -> Iterator[str]:
    with object_store() as address:
        yield address


@pytest.fixture(scope="module")
def reaching(store: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Machines]:
    """A cluster whose workers reach the store."""
    with machines(tmp_path_factory.mktemp("cluster"), 2) as started:
        yield started


def run(feeds: str, out: str, address: str, told: Told) -> None:
    settings = Settings(load_book(), workers=1, night="2026-11-28", cluster=cluster_settings(address, None, out))
    with built_here(out, told.stage) as here:
        run_audit([feeds], here, settings, told)


class BrokenError(Exception):
    """Something that nobody foresees."""


def test_a_store_changes_no_byte(usual: dict[str, bytes], feeds: Path, store: str, reaching: Machines) -> None:
    put(feeds, f"{store}/feeds")
    out, told = f"{store}/nights/audit", Told()

    def break_off() -> None:
        if told.records > 800:
            raise BrokenError

    told.then = break_off
    with pytest.raises(BrokenError):
        run(f"{store}/feeds", out, reaching.address, told)
    kept = {name: text for name, text in objects(f"{store}/nights/.audit.parts").items() if name.endswith(".json")}
    assert len(kept) > 4 and objects(out) == {}
    again, late = Told(), dict[str, bytes]()
    again.at_stage = lambda name: late.update(
        objects(f"{store}/nights/.audit.parts") if name == "settling findings" else {}
    )
    run(f"{store}/feeds", out, reaching.address, again)
    assert again.notes["taken over"] == f"Goes on from parts that are in {store}/nights/.audit.parts."
    assert {name: late[name] for name in kept} == kept
    assert unlike(usual, {name: text for name, text in objects(out).items() if name != "run.json"}) == []
    assert objects(f"{store}/nights/.audit.parts") == {}


def test_objects_have_names_and_are_removed(store: str, tmp_path: Path) -> None:
    place = ObjectStore(f"{store}/parts/")
    (tmp_path / "one").write_bytes(b"12345")
    place.put("feed/unit/findings", tmp_path / "one")
    place.put_bytes("feed/unit.json", b"{}")
    assert place.names("feed") == ["feed/unit.json", "feed/unit/findings"] and place.names("other") == []
    assert place.fetch("feed/unit/findings", tmp_path / "two") == 5 and place.read("feed/unit.json") == b"{}"
    with pytest.raises(FileNotFoundError):
        place.read("feed/none.json")
    place.remove("feed/unit.json")
    place.remove("feed/unit.json")
    assert place.names("") == ["feed/unit/findings"]
    place.remove("")
    assert place.names("") == []
