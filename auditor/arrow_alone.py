"""Keeps pandas out of the auditor's own processes.

pyarrow imports pandas, where it is installed, the first time that it is shown a list, only to ask whether the list or
a value in it is one of pandas' own.  That would be a third of the start-up time of an audit.  pyarrow asks once; told
then that there is no pandas, it never asks again.  For programs that embed the auditor nothing is changed.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib.machinery import ModuleSpec
from types import ModuleType


class _NoPandas:
    @staticmethod
    def find_spec(name: str, path: Sequence[str] | None = None, target: ModuleType | None = None) -> ModuleSpec | None:
        if name == "pandas":
            raise ModuleNotFoundError("No module named 'pandas'", name="pandas")
        return None


def leave_pandas_out() -> None:
    """To be called before the first table is built, in a process that is the auditor's own."""
    if "pandas" in sys.modules:
        return
    import pyarrow as pa

    finder = _NoPandas()
    sys.meta_path.insert(0, finder)
    try:
        pa.array([""])  # of the list, and of the value in it
    finally:
        sys.meta_path.remove(finder)
