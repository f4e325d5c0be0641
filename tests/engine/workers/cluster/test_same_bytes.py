"""A run on a cluster: the same bytes as on one machine, nothing left behind, and clear words where it cannot be."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pyarrow as pa
import pytest

import auditor
from auditor.engine.workers.cluster import connection
from auditor.errors import UsageError
from tests.engine.workers.cluster.machines import HOUSE, Machines
from tests.engine.workers.cluster.nights import manifests, parts_of, run
from tests.engine.workers.nights import Told, files, unlike


def test_a_cluster_changes_no_byte(usual: dict[str, bytes], feeds: Path, cluster: Machines, tmp_path: Path) -> None:
    most: list[int] = []
    told = Told(lambda: most.append(len(manifests(tmp_path / "out"))))
    compared: list[Path] = []

    def look(stage: str) -> None:
        if stage == "settling findings":
            compared.extend(parts_of(tmp_path / "out").glob("across/judged-*"))

    told.at_stage = look
    run(feeds, tmp_path / "out", cluster.address, told)
    assert unlike(usual, files(tmp_path / "out")) == []
    assert told.notes["cluster"] == f"Auditing with 2 workers and 2 threads of {cluster.address}."
    assert len(compared) > 120  # buckets of keys that workers judged, none of them twice
    assert len({path.name.rpartition("-")[0] for path in compared}) == len(compared)
    assert max(most) > 15 and told.records > 2100
    assert [path.name for path in tmp_path.iterdir()] == ["out"]  # the parts are gone
    disks = [path for path in cluster.folder.rglob("auditor-units-*/*") if path.is_dir()]
    assert disks == []


def test_the_command_says_nothing_but_its_own_words(cluster: Machines, tmp_path: Path) -> None:
    (tmp_path / "good.csv").write_text("sku,marking,max_load_kg\n1,225/65R17 102H,850\n2,225/65R17 102H,950\n")
    words = ["audit", "good.csv", "--out", "out", "--cluster", cluster.address, "--log", "plain", "--quiet"]
    command = [sys.executable, "-m", "auditor", *words, "--cluster-folder", "elsewhere"]
    done = subprocess.run(command, cwd=tmp_path, env={"PYTHONPATH": str(HOUSE)}, capture_output=True, text=True)
    assert (done.returncode, done.stdout, done.stderr) == (1, "", "")
    assert (tmp_path / "out" / "held" / "good.csv").read_text().splitlines()[1:] == ["2,225/65R17 102H,950"]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["elsewhere", "good.csv", "out"]
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_a_table_of_a_program_is_audited_by_the_cluster(cluster: Machines, tmp_path: Path) -> None:
    table = pa.table({"sku": ["1", "2"], "marking": ["225/65R17 102H"] * 2, "max_load_kg": ["850", "950"]})
    found = auditor.audit(table, cluster=cluster.address, cluster_folder=tmp_path / "parts")
    assert found.findings["record"].to_pylist() == [2]


def test_an_address_where_nobody_answers_is_said(feeds: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connection, "_ANSWERS_S", 0.5)
    with pytest.raises(UsageError, match=r"--cluster tcp://127\.0\.0\.1:1: no Dask scheduler answers there"):
        run(feeds, tmp_path / "out", "tcp://127.0.0.1:1")
    with pytest.raises(UsageError, match="--cluster nowhere at all: no Dask scheduler answers there"):
        run(feeds, tmp_path / "out", "nowhere at all")
    assert not (tmp_path / "out").exists() and not parts_of(tmp_path / "out").exists()


def test_a_missing_library_is_said_in_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "good.csv").write_text("marking\n225/65R17 102H\n")
    program = "import sys; sys.modules['distributed'] = None\nfrom auditor.shell.cli import main\nsys.exit(main())"
    words = ["audit", "good.csv", "--out", "out", "--quiet", "--cluster", "tcp://127.0.0.1:8786"]
    command = [sys.executable, "-c", program, *words]
    done = subprocess.run(command, cwd=tmp_path, env={"PYTHONPATH": str(HOUSE)}, capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == (
        "auditor: --cluster needs distributed, which is not installed: pip install 'tire-listing-auditor[cluster]'.\n"
    )
