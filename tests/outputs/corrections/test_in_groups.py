"""Which rows belong to a repeated mistake: as each row and group would be asked by itself."""

from __future__ import annotations

import random
from typing import Any

import pyarrow as pa
import pytest

from auditor.outputs.coded import coded, is_among, written_out
from auditor.outputs.corrections.in_groups import by_kind, in_groups

RULES, COLUMNS, FIELDS = ("load-overstated", "load-understated"), ("Traglast", "Load", ""), ("max_load_kg", "marking")
REASONS = ("'call' is not understood here", "'?' is not understood here")
CAUSES, TEXTS, FACTORS = ("unclear", "unit-swapped"), ("850", "1,360 kg", ""), (1.1, 2.2)


def drawn(random_numbers: random.Random) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Rows and groups that share many of their names."""
    rows = []
    for _ in range(400):
        kind = {"rule": RULES, "column": COLUMNS, "field": FIELDS, "likely_cause": CAUSES, "stated": TEXTS}
        row: dict[str, Any] = {name: random_numbers.choice(texts) for name, texts in kind.items()}
        off = random_numbers.choice([None, *FACTORS])
        row["message"] = f"Cannot read this: {random_numbers.choice(REASONS)}."
        rows.append(row | {"deviation": None if off is None else off * random_numbers.uniform(0.98, 1.02) - 1})
    groups = []
    for _ in range(12):
        factor = random_numbers.choice([None, None, *FACTORS])
        groups.append(
            {"rule": random_numbers.choice(RULES), "column": random_numbers.choice(COLUMNS)}
            | {"field": random_numbers.choice(FIELDS), "cause": random_numbers.choice(CAUSES), "factor": factor}
            | {"stated": random_numbers.choice([None, *TEXTS[:2]]), "folded": random_numbers.random() < 0.2}
            | {"reason": random_numbers.choice([None, *REASONS])}
        )
    return rows, groups


def belongs(row: dict[str, Any], group: dict[str, Any]) -> bool:
    if group["folded"] or any(row[name] != group[name] for name in ("rule", "column", "field")):
        return False
    if group["stated"] and row["stated"] != group["stated"]:
        return False
    if group["factor"] is None:
        of_reason = bool(group["stated"]) or not group["reason"] or group["reason"] in row["message"]
        return bool(row["likely_cause"] == group["cause"]) and of_reason
    return row["deviation"] is not None and abs((row["deviation"] + 1) / group["factor"] - 1) < 0.012


@pytest.mark.parametrize("seed", range(20))
def test_rows_belong_as_if_each_was_asked_about_each_group(seed: int) -> None:
    rows, groups = drawn(random.Random(seed))
    table = pa.Table.from_pylist(rows)
    plain = ("deviation", "stated", "message")
    as_codes = pa.table({name: table[name] if name in plain else coded(table[name]) for name in table.column_names})
    wanted = [any(belongs(row, group) for group in groups) for row in rows]
    assert in_groups(table, by_kind(groups)).tolist() == wanted
    assert any(wanted)
    assert in_groups(as_codes, by_kind(groups)).tolist() == wanted
    assert written_out(as_codes).equals(table)


def test_texts_are_found_in_codes_with_blanks_among_them() -> None:
    column = pa.chunked_array([pa.array(["a", None, "b"]), pa.array(["b", "c"])])
    assert is_among(column, ["b", "c"]).tolist() == [False, False, True, True, True]
    assert is_among(pa.chunked_array([coded(column)]), ["a"]).tolist() == [True, False, False, False, False]
    assert is_among(pa.chunked_array([], pa.string()), ["a"]).tolist() == []
