"""Which workers take part in a run: those of the same version that reach its files; the others are named."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from auditor.engine.workers.cluster.identity import libraries
from auditor.engine.workers.cluster.orders import Standard
from auditor.engine.workers.cluster.tasks import look
from auditor.errors import UsageError
from auditor.version import __version__
from tests.engine.workers.cluster.machines import machines
from tests.engine.workers.cluster.nights import parts_of, run
from tests.engine.workers.nights import Told

OTHER_VERSION = "import auditor.version; auditor.version.__version__ = '0.0.1'"
NOT_INSTALLED = """
import sys
class Without:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] == "auditor":
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)
sys.meta_path.insert(0, Without())
"""


def test_workers_that_do_not_fit_are_named_and_left_out(tmp_path: Path) -> None:
    (tmp_path / "good.csv").write_text("sku,marking,max_load_kg\n1,225/65R17 102H,850\n2,225/65R17 102H,950\n")
    (tmp_path / "machines").mkdir()
    out = tmp_path / "out"
    with machines(tmp_path / "machines", 0) as cluster:
        cluster.start_workers(1, first=OTHER_VERSION)
        with pytest.raises(UsageError) as refused:
            run(tmp_path / "good.csv", out, cluster.address)
        assert str(refused.value).startswith(f"--cluster {cluster.address}: no worker can take part: tcp://127.0.0.1:")
        assert str(refused.value).endswith(
            f" has tire-listing-auditor 0.0.1, and not {__version__}; install the same on every worker."
        )
        assert not out.exists() and not parts_of(out).exists()
        cluster.start_workers(1, first=NOT_INSTALLED)
        cluster.start_workers(1)
        told = Told()
        outcome = run(tmp_path / "good.csv", out, cluster.address, told)
    assert (outcome.summary["totals"]["released"], outcome.summary["totals"]["held"]) == (1, 1)
    assert told.notes["cluster"] == f"Auditing with 1 worker and 1 thread of {cluster.address}."
    assert told.notes["worker left out"].startswith("The worker tcp://127.0.0.1:")
    assert {reason.rpartition(": it ")[2] for reason in told.all_notes["worker left out"]} == {
        f"has tire-listing-auditor 0.0.1, and not {__version__}; install the same on every worker.",
        "lacks the module auditor; install the same tire-listing-auditor on every worker.",
    }


def test_a_worker_says_what_it_lacks(tmp_path: Path) -> None:
    standard = Standard("one", __version__, libraries(), "of no book", str(tmp_path), "book")
    assert look(standard, [])[0] == (
        f"does not reach {tmp_path} (no such file or directory); name a folder that all workers reach under the same "
        "path"
    )
    (tmp_path / "book").write_bytes(b"no pickle")
    assert look(standard, [])[0].startswith("cannot load the rule book (")
    older = replace(standard, libraries=(("numpy", "0.1"), *libraries()[1:]))
    assert look(older, [])[0].endswith("and not 0.1; install the same on every worker")
