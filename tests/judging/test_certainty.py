"""Certain means harmless: no suggestion raises what a listing promises on the word of its marking alone."""

from __future__ import annotations

import csv
import itertools
from pathlib import Path
from typing import Any

import pytest

from auditor.judging.single.statements import ListingStatements
from auditor.programs.api import audit_listing
from auditor.rulebook.book import load_book
from auditor.shell.cli import main
from auditor.trade.tables import default_tables
from tests.catalog.tables import KG_PER_LB, KM_PER_MILE
from tests.trials.both_paths import as_block, one_by_one

SIZE = "225/65R17"  # of a tire that is 102H
# Typos of the marking: digits lost, added, changed, swapped; a faster or slower symbol; a letter that is none.
INDICES = (2, 10, 12, 20, 99, 101, 102, 103, 105, 106, 109, 112, 120, 122, 162, 202, 201, 302, 1021)
SYMBOLS = ("H", "T", "V", "Y", "Q", "X", "L", "I")
STATED = (
    {"max_load_kg": "850"},
    {"max_load_kg": "825,0"},
    {"max_load_kg": "580"},
    {"max_load_kg": "1874"},
    {"max_load_kg": "850", "max_load_lb": "1,874"},
    {"max_load_kg": "15\u202f000"},
    {"max_load_kg": "1075 kg / 2150 lbs"},
    {"max_load_lb": "1 900 lb", "load_index": "102"},
    {"load_index": "102V"},
    {"load_index": "100H", "max_speed_kmh": "210"},
    {"load_index": "104", "speed_symbol": "W", "max_speed_mph": "149"},
    {"max_speed_kmh": "270", "max_speed_mph": "130"},
    {"load_range": "E", "ply_rating": "10"},
    {"load_version": "XL", "title": "Osterwick Halden 225/65R17 102H"},
    {"rim_diameter_in": "16", "max_pressure_psi": "80"},
)
LISTINGS = [
    {"marking": f"{SIZE} {index}{symbol}", **stated}
    for index, symbol, stated in itertools.product(INDICES, SYMBOLS, STATED)
]
# The same for tires of other kinds: size, what follows it, typos of the service description, what a listing states.
_OTHERS = (
    ("LT265/70R17", " E", ("121/118S", "131/128S", "112/118S", "211/118S", "121/108S", "126/123T", "120/117S", "119S"),
     ("1450", "1320", "3195", "1700"), ("3195", "2910", "4079"), ("121", "126", "112/109"), ("D", "E (10)", "F")),
    ("215/65R16C", "", ("109/107T", "119/117T", "190/107T", "107/105T", "109/97T", "109T", "99/97R"),
     ("1030", "975", "2271", "1500"), ("2271", "2149", "3306"), ("109", "113", "107/105"), ("D", "C", "E")),
    ("ST225/75R15", " E", ("117/112M", "127/112M", "171/112M", "113/108N", "117/112V"),
     ("1285", "1150", "1800"), ("2833", "2535"), ("117", "121"), ("D", "E", "F")),
    ("315/80R22.5", "", ("156/150L", "165/150L", "154/150M", "56/50L", "156/150V"),
     ("4000", "3350", "5150", "8818"), ("8818", "7385"), ("156", "160"), ("L", "J")),
)  # fmt: skip
for _size, _letters, _services, _kg, _lb, _indices, _ranges in _OTHERS:
    for _service in _services:
        _marked = {"marking": f"{_size} {_service}{_letters}"}
        _alone = [
            *({"max_load_kg": text} for text in (*_kg, f"{_kg[0]}/{_kg[1]} kg", f"{_kg[-1]} kg / {_lb[-1]} lbs")),
            *({"max_load_dual_kg": text} for text in _kg),
            *({"max_load_lb": text} for text in _lb),
            *({"load_index": text} for text in _indices),
            *({"load_range": text} for text in _ranges),
            *({"speed_symbol": text} for text in ("L", "R", "T", "T (190 km/h)")),
            *({"max_speed_kmh": text} for text in ("120", "170", "190")),
        ]
        LISTINGS += [{**_marked, **one} for one in _alone]
        LISTINGS += [
            {**_marked, **one, **other}
            for one, other in itertools.combinations(_alone, 2)
            if one.keys() != other.keys()
        ]
PROMISES = (  # fields whose numbers promise the more, the higher they are
    "max_load_kg", "max_load_lb", "max_load_dual_kg", "max_load_dual_lb", "max_speed_kmh", "max_speed_mph",
    "load_index", "speed_symbol", "load_range", "ply_rating", "load_version",
)  # fmt: skip


def promised(listing: dict[str, str]) -> dict[str, float]:
    """What the cells of a listing say, as the program reads them."""
    st = ListingStatements([(name, name, text) for name, text in listing.items()], load_book())
    return {f"{slot.source}:{slot.field}": st.value(slot) for name in PROMISES for slot in st.own(name)}


def put_in(listing: dict[str, str], findings: list[dict[str, Any]]) -> dict[str, str]:
    """The listing with every suggestion put into its cell."""
    cells = {one["column"]: one["suggestion"] for one in findings if one["suggestion"]}
    return {name: cells.get(name, text) for name, text in listing.items()}


TABLES = default_tables()
_LOADS = {"max_load_kg": 1.0, "max_load_lb": KG_PER_LB, "max_load_dual_kg": 1.0, "max_load_dual_lb": KG_PER_LB}
_SPEEDS = {"max_speed_kmh": 1.0, "max_speed_mph": KM_PER_MILE}


def in_one_unit(field: str, value: float) -> tuple[str, float]:
    """What a value is of, and how much in one unit for all fields that state it."""
    if field in _LOADS:
        return ("dual load" if "dual" in field else "load"), value * _LOADS[field]
    if field in ("load_index", "load_index_dual"):
        kg = TABLES.load_kg[int(value)] if 0 <= value < len(TABLES.load_kg) else -1.0
        return ("dual load" if "dual" in field else "load"), kg
    if field in _SPEEDS:
        return "speed", value * _SPEEDS[field]
    if field == "speed_symbol":
        return "speed", list(TABLES.speed_kmh.values())[int(value)] if value >= 0 else -1.0
    return ("version" if field == "load_version" else "strength"), value


def test_nothing_is_raised_on_the_word_of_the_marking_alone() -> None:
    """What is raised is what another cell, or the title, says too."""
    found = as_block(LISTINGS)
    assert sum(bool(one["suggestion"]) for findings in found for one in findings) > 2000
    raised = 0
    for listing, findings in zip(LISTINGS, found, strict=True):
        after = put_in(listing, findings)
        if after == listing:
            continue
        before, now = promised(listing), promised(after)
        assert before.keys() == now.keys(), (listing, after)
        for name, value in now.items():
            if value <= before[name] or "title" in listing:
                continue
            source, _, field = name.partition(":")
            of, amount = in_one_unit(field, value)
            others = [
                in_one_unit(other.partition(":")[2], said)
                for other, said in before.items()
                if other.partition(":")[0] != source
            ]
            said_too = [said for kind, said in others if kind == of and abs(said - amount) <= 0.025 * amount]
            assert said_too, (listing, after)
            raised += 1
    assert raised > 20


def test_a_suggestion_put_in_passes_the_audit() -> None:
    changed = [(listing, put_in(listing, found)) for listing, found in zip(LISTINGS, as_block(LISTINGS), strict=True)]
    changed = [(listing, after) for listing, after in changed if after != listing]
    for (listing, after), findings in zip(changed, as_block([after for _, after in changed]), strict=True):
        cells = {name for name, text in after.items() if listing[name] != text}
        assert not [one for one in findings if one["column"] in cells and one["grade"] != "minor"], (listing, after)


def test_both_paths_suggest_the_same() -> None:
    some = LISTINGS[::7]
    one, other = one_by_one(some), as_block(some)
    for listing, alone, block in zip(some, one, other, strict=True):
        assert [(f["rule"], f["suggestion"], f["message"]) for f in alone] == [
            (f["rule"], f["suggestion"], f["message"]) for f in block
        ], listing


def suggested(**listing: str) -> dict[str, str]:
    return dict(audit_listing(listing).suggestions)


@pytest.mark.parametrize(
    ("listing", "cell"),
    [
        ({"marking": "225/65R17 102H", "load_index": "102V"}, "102H"),
        ({"marking": "225/65R17 102H", "load_index": "104V"}, "102H"),
        ({"marking": "225/65R17 102H", "load_index": "100V"}, ""),
        ({"marking": "LT265/70R17 121/118S D", "load_range": "E (10)"}, "D (8)"),
        ({"marking": "LT265/70R17 121/118S E", "load_range": "D (8)"}, ""),
        ({"marking": "225/65R17 102H", "max_load_kg": "1.874"}, "850"),
        ({"marking": "LT265/70R17 121/118S E", "max_load_kg": "3\u202f197"}, "1\u202f450"),
        ({"marking": "225/65R17 102H", "max_load_kg": "925,0"}, "850,0"),
        ({"marking": "225/65R17 102H", "max_load_kg": "1075 kg / 2150 lbs"}, "850 kg / 1874 lbs"),
        ({"marking": "LT245/75R16 120/116S E", "load_index": "123/120S"}, "120/116S"),
        ({"marking": "225/65R17 102H", "load_index": "102 (925 kg)"}, "102 (850 kg)"),
    ],
)
def test_cells_keep_their_style_and_are_corrected_as_a_whole(listing: dict[str, str], cell: str) -> None:
    (found,) = as_block([listing])[0]
    assert found["suggestion"] == cell
    assert [one["suggestion"] for one in one_by_one([listing])[0]] == [cell]


def test_a_second_statement_makes_a_raise_certain() -> None:
    assert suggested(marking="225/65R17 102H", max_load_kg="580") == {}
    assert suggested(marking="225/65R17 102H", max_load_kg="580", max_load_lb="1874") == {"max_load_kg": "850"}
    assert suggested(marking="225/65R17 102H", rim_diameter_in="16") == {}
    assert suggested(marking="225/65R17 102H", size="225/65R17", rim_diameter_in="16") == {"rim_diameter_in": "17"}


@pytest.mark.parametrize("marking", ["225/65R17 202H", "225/65R17 120H", "225/65R17 102X", "225/65R17 302H"])
def test_a_doubtful_marking_makes_nothing_certain(marking: str) -> None:
    for stated in STATED:
        assert suggested(marking=marking, **stated) == {}


def test_corrected_feeds_raise_nothing(tmp_path: Path) -> None:
    fields = ["sku", "marking", "max_load_kg", "max_load_lb", "load_index", "speed_symbol", "max_speed_kmh"]
    rows = [{"sku": str(n), **one} for n, one in enumerate(LISTINGS) if one.keys() <= set(fields) and len(one) == 2]
    feed = tmp_path / "feed.csv"
    with feed.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, fields)
        writer.writeheader()
        writer.writerows(rows)
    assert main(["audit", str(feed), "--out", str(tmp_path / "out"), "--apply", "certain"]) == 1
    with (tmp_path / "out" / "changes.csv").open(encoding="utf-8", newline="") as file:
        changes = list(csv.DictReader(file))
    assert changes
    for change in changes:
        field = change["field"]
        before, after = (promised({field: change[name]}) for name in ("before", "after"))
        assert all(after[name] <= value for name, value in before.items()), change
