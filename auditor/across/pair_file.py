"""A file of pairs: which SKU is offered in place of which, for a whole run."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pa_csv

from auditor.across.block_offers import ALL_FIELDS, ENTRY
from auditor.across.item_numbers import item_numbers, plain
from auditor.across.text_numbers import mixed
from auditor.errors import UsageError

SKU, SUBSTITUTE = "sku", "substitute_sku"
PAIRS = len(ALL_FIELDS)  # beside the fields that name substitutes
_EXAMPLES = 5


class PairFile:
    """The pairs of a CSV file with the columns `sku` and `substitute_sku`: the second in place of the first."""

    def __init__(self, path: Path) -> None:
        """Raises UsageError where the file cannot be read or has no such columns."""
        self.name = path.name
        table = _read(path)
        self.rows = table.num_rows
        table = _each_once(table)
        self._substitutes = plain(table[SUBSTITUTE].combine_chunks())
        self.skus, check = item_numbers(plain(table[SKU].combine_chunks()))
        self.checks = (check >> np.uint64(32)).astype(np.uint32)
        self._texts = plain(table[SKU].combine_chunks())
        self.unknown = 0
        self.examples: list[str] = []

    def __len__(self) -> int:
        return len(self._substitutes)

    def entries(self) -> npt.NDArray[Any]:
        """An entry for each pair, whose listing is not known yet."""
        entries = np.zeros(len(self), dtype=ENTRY)
        entries["sku"], check = item_numbers(self._substitutes)
        entries["check"] = check >> np.uint64(32)
        entries["place"], entries["field"] = np.arange(len(self)), PAIRS
        return entries

    def substitutes(self, places: npt.NDArray[np.int64]) -> pa.Array:
        """The SKUs that are offered in some pairs."""
        return self._substitutes.take(pa.array(places))

    def told(self) -> dict[str, Any]:
        """What became of the file, for the summary."""
        return {
            "file": self.name,
            "pairs": self.rows,
            "unknown": self.unknown,
            "unknown_examples": list(self.examples),
        }

    def count_unknown(self, places: npt.NDArray[np.int64]) -> None:
        """Counts pairs whose first SKU no listing has."""
        self.unknown += len(places)
        room = _EXAMPLES - len(self.examples)
        self.examples += self._texts.take(pa.array(places[:room])).to_pylist() if room > 0 else []


def _each_once(table: pa.Table) -> pa.Table:
    """The pairs without those that repeat an earlier one: a pair that stands twice is one mistake."""
    numbers = [item_numbers(plain(table[name].combine_chunks()))[0] for name in (SKU, SUBSTITUTE)]
    _, first = np.unique(mixed(mixed(numbers[0]) ^ numbers[1]), return_index=True)
    return table if len(first) == table.num_rows else table.take(pa.array(np.sort(first)))


def _read(path: Path) -> pa.Table:
    try:
        with path.open("rb") as file:
            first = file.readline().decode("utf-8-sig", "replace")
    except OSError as error:
        raise UsageError(f"{path} cannot be read ({(error.strerror or str(error)).lower()}).") from error
    delimiter = max(";\t,", key=first.count)
    header = next(csv.reader([first], delimiter=delimiter), [])
    try:
        table = pa_csv.read_csv(
            path,
            parse_options=pa_csv.ParseOptions(delimiter=delimiter, newlines_in_values=True),
            convert_options=pa_csv.ConvertOptions(
                column_types=dict.fromkeys(header, pa.string()), strings_can_be_null=False
            ),
        )
    except pa.ArrowInvalid as error:
        raise UsageError(f"{path} is no CSV file of pairs ({' '.join(str(error).split())[:200]}).") from error
    table = table.rename_columns([name.strip().lower() for name in table.column_names])
    for name in (SKU, SUBSTITUTE):
        if name not in table.column_names:
            raise UsageError(
                f"{path}: the first line names no column {name!r}; a file of pairs has {SKU}, {SUBSTITUTE}."
            )
    texts = [plain(table[name].combine_chunks()) for name in (SKU, SUBSTITUTE)]
    both = pc.and_(*(pc.not_equal(pc.utf8_trim_whitespace(text), "") for text in texts))
    return pa.table(dict(zip((SKU, SUBSTITUTE), texts, strict=True))).filter(both)
