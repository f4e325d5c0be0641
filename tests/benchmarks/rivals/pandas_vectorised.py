"""pandas with its default strings: `str.extract`, `map`, and a comparison per column."""

from __future__ import annotations

from tests.benchmarks.rivals.common import task
from tests.benchmarks.rivals.pandas_common import answer, read

if __name__ == "__main__":
    given = task()
    answer(read(given), given.out)
