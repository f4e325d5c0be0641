"""An audit imports nothing that it does not use, and leaves programs that embed it as they are."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[2]
IDLE = ("pandas", "polars", "duckdb", "openpyxl")  # installed for tests and benchmarks only
# What takes long to load, and ten rows of a CSV file that nobody mapped and no ledger remembers have no use for.
NOT_FOR_TEN_ROWS = (
    "jsonschema",
    "tomllib",
    "sqlite3",
    "urllib.request",
    "auditor.ledger.night",
    "auditor.engine.remembering",
    "auditor.feeds.json_feed",
    "auditor.feeds.parquet_feed",
    "auditor.feeds.workbook_feed",
)
TEN_ROWS = "sku,marking,max_load_kg\n" + "".join(f"NT-{row},225/65R17 102H,850\n" for row in range(10))


def _ran(code: str, *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], cwd=HOUSE, capture_output=True, text=True, check=True
    )
    return done.stdout.strip().splitlines()[-1]


def test_pyarrow_is_told_once_that_there_is_no_pandas() -> None:
    code = (
        "import sys\nfrom auditor.engine.process_memory import limit_memory\nlimit_memory()\nimport pyarrow as pa\n"
        "pa.array(['a', None])\npa.array([1.5])\npa.table({'a': [1]})\n"
        "print('pandas' in sys.modules, any('_NoPandas' in repr(finder) for finder in sys.meta_path))"
    )
    assert _ran(code) == "False False"


def test_a_whole_audit_imports_no_idle_package(tmp_path: Path) -> None:
    code = (
        "import json, sys\nfrom auditor.shell.cli import main\nmain()\n"
        f"print(json.dumps([name for name in {IDLE!r} if name in sys.modules]))"
    )
    out = str(tmp_path / "out")
    arguments = ("audit", "sample_catalogs/quillfeather.parquet", "--out", out, "--quiet")
    assert json.loads(_ran(code, *arguments)) == []


def test_an_audit_of_ten_rows_loads_what_it_needs_and_looks_for_no_garbage_in_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    (tmp_path / "ten.csv").write_text(TEN_ROWS)
    code = (
        "import gc, json, sys\nfrom auditor.shell.cli import main\nmain()\n"
        f"print(json.dumps([[name for name in {NOT_FOR_TEN_ROWS!r} if name in sys.modules], gc.get_freeze_count()]))"
    )
    arguments = ("audit", str(tmp_path / "ten.csv"), "--out", str(tmp_path / "out"), "--quiet")
    _ran(code, *arguments)  # keeps the rule book
    loaded, frozen = json.loads(_ran(code, *arguments))
    assert loaded == []
    assert frozen > 50_000


def test_memory_can_be_trimmed_without_limiting_it() -> None:
    assert _ran("from auditor.engine.process_memory import trim_memory\ntrim_memory()\nprint('trimmed')") == "trimmed"


def test_the_user_s_blas_threads_are_left_as_they_are() -> None:
    code = (
        "import os\nfrom auditor.engine.process_memory import limit_memory\nlimit_memory()\n"
        "print('OPENBLAS_NUM_THREADS' in os.environ)"
    )
    assert _ran(code) == "False"


def test_the_parquet_reader_takes_its_pages_from_the_kept_pool() -> None:
    code = (
        "from auditor.engine.process_memory import limit_memory\nlimit_memory()\n"
        "import pyarrow as pa\nimport pyarrow.parquet as pq\n"
        "pq.read_table('sample_catalogs/quillfeather.parquet')\n"
        "print(pa.mimalloc_memory_pool().max_memory(), pa.jemalloc_memory_pool().max_memory() > 0)"
    )
    assert _ran(code) == "0 True"
