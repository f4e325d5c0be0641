"""pandas with strings kept as Python objects, on which `str.extract` is faster than on its own."""

from __future__ import annotations

from tests.benchmarks.rivals.common import task
from tests.benchmarks.rivals.pandas_common import answer, read

if __name__ == "__main__":
    given = task()
    answer(read(given).astype(object), given.out)
