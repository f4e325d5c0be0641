"""An audit imports nothing that it does not use, and leaves programs that embed it as they are."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

HOUSE = Path(__file__).parents[2]
IDLE = ("pandas", "polars", "duckdb", "openpyxl")  # installed for tests and benchmarks only


def _ran(code: str, *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], cwd=HOUSE, capture_output=True, text=True, check=True
    )
    return done.stdout.strip().splitlines()[-1]


def test_pyarrow_is_told_once_that_there_is_no_pandas() -> None:
    code = (
        "import sys\nfrom auditor.engine.process_memory import limit_memory\nlimit_memory()\nimport pyarrow as pa\n"
        "pa.array(['a', None])\npa.array([1.5])\npa.table({'a': [1]})\n"
        "print('pandas' in sys.modules, len(sys.meta_path))"
    )
    plain = "import sys\nprint(len(sys.meta_path))"
    assert _ran(code) == f"False {_ran(plain)}"


def test_a_whole_audit_imports_no_idle_package(tmp_path: Path) -> None:
    code = (
        "import json, sys\nfrom auditor.shell.cli import main\nmain()\n"
        f"print(json.dumps([name for name in {IDLE!r} if name in sys.modules]))"
    )
    out = str(tmp_path / "out")
    arguments = ("audit", "sample_catalogs/quillfeather.parquet", "--out", out, "--quiet")
    assert json.loads(_ran(code, *arguments)) == []


def test_memory_can_be_trimmed_without_limiting_it() -> None:
    assert _ran("from auditor.engine.process_memory import trim_memory\ntrim_memory()\nprint('trimmed')") == "trimmed"


def test_the_first_arrays_load_no_masks_and_numpy_has_them_when_asked() -> None:
    code = (
        "import json, os, sys\nfrom auditor.engine.process_memory import limit_memory\nlimit_memory()\n"
        "import numpy as np\nimport pyarrow as pa\n"
        "before = [pa.array(np.arange(3)).to_pylist(), np.unique([2, 1, 2]).tolist(), 'numpy.ma.core' in sys.modules]\n"
        "masked = np.ma.masked_array([1, 2], [False, True])\n"
        "from numpy.ma import core\nimport numpy.ma\n"
        "after = [pa.array(masked).to_pylist(), numpy.ma is sys.modules['numpy.ma'],\n"
        "         isinstance(masked, np.ma.MaskedArray), numpy.ma.core is core]\n"
        "print(json.dumps([before, after, 'OPENBLAS_NUM_THREADS' in os.environ]))"
    )
    assert json.loads(_ran(code)) == [[[0, 1, 2], [1, 2], False], [[1, None], True, True, True], False]


def test_functions_of_pyarrow_work_without_their_descriptions() -> None:
    code = (
        "import json\nfrom auditor.engine.process_memory import limit_memory\nlimit_memory()\n"
        "import inspect, textwrap\nimport pyarrow as pa\nimport pyarrow.compute as pc\n"
        "taken = pc.index_in(pa.array(['b', 'c']), value_set=pa.array(['a', 'b'])).to_pylist()\n"
        "print(json.dumps([taken, textwrap.dedent('  a'), str(inspect.signature(lambda x: x))]))"
    )
    assert json.loads(_ran(code)) == [[1, None], "a", "(x)"]


def test_the_parquet_reader_takes_its_pages_from_the_kept_pool() -> None:
    code = (
        "from auditor.engine.process_memory import limit_memory\nlimit_memory()\n"
        "import pyarrow as pa\nimport pyarrow.parquet as pq\n"
        "pq.read_table('sample_catalogs/quillfeather.parquet')\n"
        "print(pa.mimalloc_memory_pool().max_memory(), pa.jemalloc_memory_pool().max_memory() > 0)"
    )
    assert _ran(code) == "0 True"
