"""Many markings read at once give the very rows that reading each alone gives."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pyarrow as pa
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from auditor.columns import marking_rows
from auditor.columns.marking_rows import read_facts, read_words
from auditor.marking.store import SERVICE_MARK, read_row
from auditor.marking.words import MarkingWords
from auditor.trade.facts import FACTS
from auditor.trade.tables import default_tables
from tests.benchmarks.markings import marking_table

REFERENCE = Path(__file__).parents[1] / "reference" / "markings.csv"
TABLES = default_tables()


def unlike(keys: Sequence[str]) -> list[tuple[str, str]]:
    """(key, fact or word) where the two ways of reading differ."""
    keys = list(dict.fromkeys(keys))
    together = np.zeros((len(FACTS), len(keys)))
    positions, at_hand = read_facts(pa.array(keys, pa.string()), together, TABLES)
    alone = [read_row(key, TABLES) for key in keys]
    facts = np.array([row.facts for row in alone]).reshape(len(keys), len(FACTS)).T
    differ = (facts != together) & ~(np.isnan(facts) & np.isnan(together))
    found = [(keys[position], FACTS[fact]) for fact, position in np.argwhere(differ)]
    words = read_words(pa.array(keys, pa.string()), TABLES)
    for name in MarkingWords._fields:
        own = words[name].take(pa.array(positions)).to_pylist()
        beside = at_hand[name].to_pylist()
        found += [(keys[at], name) for at, one, other in zip(positions, own, beside, strict=True) if one != other]
        wanted = [getattr(row.words, name) for row in alone]
        pairs = zip(keys, wanted, words[name].to_pylist(), strict=True)
        found += [(key, name) for key, one, other in pairs if one != other]
    return found


def test_the_reference_markings_get_the_same_rows() -> None:
    with REFERENCE.open(encoding="utf-8", newline="") as file:
        texts = [row["text"] for row in csv.DictReader(file)]
    assert len(texts) > 500
    assert unlike(texts) == []


def test_generated_markings_get_the_same_rows() -> None:
    assert unlike(marking_table(4_000, 3).text) == []


def test_most_generated_markings_are_not_read_one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []

    def counted(key: str, tables: object) -> object:
        read.append(key)
        return read_row(key, TABLES)

    monkeypatch.setattr(marking_rows, "read_row", counted)
    positions, _ = read_facts(pa.array(marking_table(4_000, 3).text), np.empty((len(FACTS), 4_000)), TABLES)
    assert len(positions) < 200
    assert len(read) < 200


def test_service_descriptions_and_joined_keys_get_the_same_rows() -> None:
    keys = [f"{SERVICE_MARK}{index}{symbol}" for index in range(60, 120) for symbol in "HV"]
    keys += [f"205/55R{rim}\x1f{index}V\x1f\x1f\x1f" for index in range(80, 99) for rim in (16, 17)]
    assert unlike(keys) == []


def _marking(before: str, width: int, aspect: int, construction: str, rim: str, after: str, tail: str) -> str:
    return f"{before}{width}/{aspect}{construction}{rim}{after}{tail}"


_TAILS = st.builds(
    "{}{}{}{}".format,
    st.sampled_from(["", "", "", " 8PR", " 10PR", " M/C"]),
    st.one_of(
        st.just(""),
        st.builds(" {}{}".format, st.integers(50, 170), st.sampled_from("DFGJKLMNPQRSTUHVWY")),
        st.builds(" {}/{}{}".format, st.integers(90, 160), st.integers(88, 158), st.sampled_from("JLNQRS")),
        st.builds(" ({}{})".format, st.integers(80, 110), st.sampled_from("VWY")),
    ),
    st.sampled_from(["", "", "", " XL", " SL", " C", " D", " E", " L", " M"]),
    st.sampled_from(["", "", " M+S", " 3PMSF", " M+S 3PMSF", " TL", " TL TL", " FRT", " BSW"]),
)
_CLEAN = st.one_of(
    st.builds(
        _marking,
        st.sampled_from(["", "", "P", "LT", "ST", "T", "HL"]),
        st.sampled_from([95, 120, 170, 205, 225, 235, 265, 315, 395]),
        st.sampled_from([25, 40, 55, 60, 65, 75, 80, 100]),
        st.sampled_from(["R", "R", "ZR", "D", "B", "-"]),
        st.sampled_from(["12", "15", "17", "17.5", "20", "22.5", "24"]),
        st.sampled_from(["", "", "C", "LT"]),
        _TAILS,
    ),
    st.builds(
        "{}x{}{}{}{}{}".format,
        st.integers(23, 44),
        st.sampled_from(["8.50", "9.00", "10.50", "12.50", "17.50"]),
        st.sampled_from(["R", "-"]),
        st.sampled_from(["12", "14", "15", "20", "22", "24"]),
        st.sampled_from(["", "LT"]),
        _TAILS,
    ),
)


@settings(max_examples=30)
@given(st.lists(_CLEAN, min_size=80, max_size=160, unique=True))
def test_any_clean_markings_get_the_same_rows(keys: list[str]) -> None:
    assert unlike(keys) == []
