"""An output folder appears whole or not at all."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from auditor.errors import OutputError
from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.output_folder import is_audit, output_folder
from auditor.outputs.summary import write_summary


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_finished_folder_takes_its_place(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "night"
    with output_folder(target) as folder:
        (folder / "a.txt").write_text("whole")
        assert not target.exists()
        assert folder.parent == target.parent  # one file system, so that the move is a rename
    assert names(target) == ["a.txt"]
    assert names(target.parent) == ["night"]


def test_earlier_audit_is_replaced_whole(tmp_path: Path, audit: FinishedAudit) -> None:
    target = tmp_path / "night"
    with output_folder(target) as folder:
        write_summary(folder, audit.summary)
        (folder / "findings.csv").write_text("old")
    assert is_audit(target)
    with output_folder(target) as folder:
        write_summary(folder, audit.summary)
        assert (target / "findings.csv").exists()
    assert names(target) == ["summary.json"]
    assert names(tmp_path) == ["night"]


def test_interrupted_run_leaves_the_old_one_as_it_was(tmp_path: Path, audit: FinishedAudit) -> None:
    target = tmp_path / "night"
    target.mkdir()
    write_summary(target, audit.summary)
    before = (target / "summary.json").read_bytes()
    with pytest.raises(KeyboardInterrupt), output_folder(target) as folder:
        (folder / "half.txt").write_text("half")
        raise KeyboardInterrupt
    assert (target / "summary.json").read_bytes() == before
    assert names(tmp_path) == ["night"]


@pytest.mark.parametrize("content", ["thesis.txt", "summary.json"])
def test_a_folder_of_something_else_is_refused(tmp_path: Path, content: str) -> None:
    (tmp_path / content).write_text('{"records": 1}')
    with (
        pytest.raises(OutputError, match="not empty and not the folder of an earlier audit"),
        output_folder(tmp_path),
    ):
        pass
    assert names(tmp_path) == [content]


def test_a_file_is_refused(tmp_path: Path) -> None:
    target = tmp_path / "night"
    target.write_text("a file")
    with (
        pytest.raises(OutputError, match="is a file; --out needs the name of a folder"),
        output_folder(target),
    ):
        pass


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    target = tmp_path / "night"
    target.mkdir()
    with output_folder(target) as folder:
        (folder / "a.txt").write_text("whole")
    assert names(target) == ["a.txt"]


def test_a_place_below_a_file_cannot_be_written(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="cannot be"), output_folder(tmp_path / "file" / "night"):
        pass


def test_what_a_killed_run_left_is_removed_but_not_what_a_living_one_builds(tmp_path: Path) -> None:
    script = (
        "import os, sys, pathlib\nfrom auditor.outputs.output_folder import output_folder\n"
        "with output_folder(pathlib.Path(sys.argv[1])) as folder:\n    os._exit(9)\n"
    )
    target = tmp_path / "night"
    killed = subprocess.run([sys.executable, "-c", script, str(target)], check=False)
    assert killed.returncode == 9
    assert len(names(tmp_path)) == 1
    with output_folder(target) as first:
        with pytest.raises(OutputError, match="is being written by another audit"), output_folder(target):
            pass
        assert names(tmp_path) == [first.name]
    assert names(tmp_path) == ["night"]


def test_a_run_killed_between_the_two_renames_is_undone(tmp_path: Path, audit: FinishedAudit) -> None:
    aside = tmp_path / ".night.replaced-0123abcd"
    aside.mkdir()
    write_summary(aside, audit.summary)
    with pytest.raises(KeyboardInterrupt), output_folder(tmp_path / "night"):
        raise KeyboardInterrupt
    assert names(tmp_path) == ["night"]
    assert is_audit(tmp_path / "night")


def test_the_rest_of_a_removal_that_was_killed_goes(tmp_path: Path) -> None:
    rest = tmp_path / ".night.building-0123abcd"
    (rest / "released").mkdir(parents=True)
    new = tmp_path / ".night.building-4567cdef"  # perhaps about to be marked
    new.mkdir()
    with output_folder(tmp_path / "night"):
        assert not rest.exists()
        assert new.exists()


def test_another_thread_can_remove_what_is_being_built(tmp_path: Path) -> None:
    code = (
        "import os, sys, threading\nfrom pathlib import Path\n"
        "from auditor.outputs.output_folder import output_folder, remove_unfinished\n"
        "with output_folder(Path(sys.argv[1]) / 'night') as folder:\n"
        "    (folder / 'released').mkdir()\n    (folder / 'released' / 'half.csv').write_text('half')\n"
        "    other = threading.Thread(target=remove_unfinished)\n    other.start()\n    other.join()\n    os._exit(7)\n"
    )
    assert subprocess.run([sys.executable, "-c", code, str(tmp_path)], check=False).returncode == 7
    assert names(tmp_path) == []
