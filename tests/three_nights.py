"""Three nights of the sample catalogs, as the README shows them."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pyarrow.parquet as pq

CHECKOUT = Path(__file__).parents[1]
HALVED, MENDED = "tannery_row.csv", "grauwinkel.csv"
ASKED_OF = "bexhollow.csv"


def three_nights(folder: Path) -> str:
    """Commands and what they say, at 80 columns."""
    feeds = folder / "feeds"
    shutil.copytree(CHECKOUT / "sample_catalogs", feeds, ignore=shutil.ignore_patterns("wiring", "maps"))
    said = [_audit(folder, "2026-03-02", 1)]
    worst = pq.read_table(folder / "audit" / "findings.parquet", filters=[("grade", "=", "critical")])
    rows = worst.select(["feed", "key", "stands_for"]).to_pylist()
    key = next(row["key"] for row in rows if row["feed"] == ASKED_OF and row["stands_for"] == 1)
    said.append(_run(folder, f'auditor decide --ledger nights.db --key {key} --ask --by "M. Aalto"'))
    lines = (feeds / HALVED).read_bytes().splitlines(keepends=True)
    (feeds / HALVED).write_bytes(b"".join(lines[: len(lines) // 2]))
    said.append(f"# The next night {HALVED} comes with half of its listings.")
    said.append(_audit(folder, "2026-03-03", 3))
    (feeds / HALVED).write_bytes(b"".join(lines[:-1]))
    mended = (feeds / MENDED).read_bytes().splitlines(keepends=True)
    (feeds / MENDED).write_bytes(b"".join(mended[:-40]))
    said.append(f"# The third night it is whole again, and {MENDED} leaves out its last 40 listings.")
    said.append(_audit(folder, "2026-03-04", 2))
    said.append(_run(folder, f"auditor nights --ledger nights.db --finding {key}"))
    said.append(_run(folder, "auditor nights --ledger nights.db"))
    return "\n".join(said) + "\n"


def _audit(folder: Path, night: str, lines: int) -> str:
    return _run(folder, f"auditor audit feeds --ledger nights.db --night {night} --out audit", lines)


def _run(folder: Path, command: str, lines: int | None = None) -> str:
    """The command as it is typed, and what it prints, or the first lines of that."""
    environment = {**os.environ, "PYTHONPATH": str(CHECKOUT), "COLUMNS": "80"}
    words = command.replace("auditor", f"{sys.executable} -m auditor", 1)
    done = subprocess.run(["sh", "-c", words], cwd=folder, env=environment, capture_output=True, text=True, check=False)
    assert done.returncode in (0, 1, 5), done.stderr
    told = done.stdout.rstrip().splitlines()
    shown = command if lines is None else f"{command} | head -{lines}"
    return "\n".join([f"$ {shown}", *told[:lines]])
