"""The folder of a run's parts: what is put there once the run has removed it does not bring it back."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from auditor.engine.workers.cluster.place import SharedFolder


def test_what_is_put_late_brings_no_folder_back(tmp_path: Path) -> None:
    place = SharedFolder(tmp_path / "out" / "parts")
    place.make()
    place.put_bytes("feed/unit.begun/mark", b"a worker's")
    assert place.names("") == ["feed/unit.begun/mark"]
    place.remove("")
    with pytest.raises(FileNotFoundError):
        place.put_bytes("feed/unit.json", b"{}")
    assert not (tmp_path / "out" / "parts").exists()


def test_a_file_that_appears_while_the_folder_is_removed_goes_with_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place, remove = SharedFolder(tmp_path / "parts"), shutil.rmtree
    place.make()
    place.put_bytes("feed/unit.json", b"{}")
    late = [b"1", b"2"]

    def removed(path: Path, *, ignore_errors: bool) -> None:
        remove(path, ignore_errors=ignore_errors)
        if late:
            path.mkdir()
            (path / "late").write_bytes(late.pop())

    monkeypatch.setattr("auditor.engine.workers.cluster.place.shutil.rmtree", removed)
    place.remove("")
    assert not (tmp_path / "parts").exists() and not late
