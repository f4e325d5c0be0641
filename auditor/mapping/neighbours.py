"""Columns told by those beside them: label classes around the noise, tire grades in a row, the second of a pair."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

from auditor.feeds.column_evidence import Column, numbers, plain_number
from auditor.feeds.model import ColumnUse
from auditor.mapping.bare_values import has_no_header, is_symbol
from auditor.mapping.eu_label_columns import label_classes, nearly_all
from auditor.rulebook.header_likeness import FILLERS, MOUNTINGS, speaks_of_other_business
from auditor.rulebook.header_words import fold
from auditor.rulebook.listing_fields import Contract

_FEW, _NEARLY_ALL = 5, 0.95
_TRACTION, _TEMPERATURE = re.compile(r"AA|[ABC]"), re.compile(r"[ABC]")
_TREADWEAR = (40.0, 1000.0, 20.0)  # lowest, highest, and what they go in
_CONSTRUCTIONS = frozenset("RDB")  # radial, diagonal, bias belted: symbols as well
_LONGEST_CODE, _FEWEST_MODELS = 3, 3  # letters of a code, which is no brand; names
_MOST_APART = 12  # indices of single and dual tires
_OF_A_BRAND = 3  # listings at least, on average
_NEVER, _HARDLY_EVER = 0.9, 0.8  # of the pairs; less where the headers themselves tell single from dual
_TWINS = {"max_load": "max_load_dual", "load_index": "load_index_dual"}
_SECOND = re.compile(r"(.*\D)\s*2")

_Uses = list[ColumnUse | None]


def place_by_neighbours(columns: Sequence[Column], uses: _Uses, contract: Contract, markings: Sequence[str]) -> None:
    """Gives columns with unknown headers the place that their cells and their neighbours leave no doubt about."""
    free = [
        column
        for column in columns
        if uses[column.position] is None
        and column.filled >= _FEW
        and not speaks_of_other_business(column.header, contract)
    ]
    held = {use.fields[0]: use.position for use in uses if use}
    for found in (
        label_classes(columns, free, held, markings),
        _tire_grades(free, held),
        _symbol_behind_index(free, held),
        _brands_and_models(columns, free, held),
        _brands_of_titles(columns, free, held),
        _models_of_brands(columns, free, held),
    ):
        for column, name in found:
            if uses[column.position] is None and name not in held:
                uses[column.position] = _placed(column, (name,))
                held[name] = column.position


def take_vendors_for_brands(columns: Sequence[Column], uses: _Uses) -> None:
    """Names under "Vendor", where no column gives the brand: a shop's export calls the makers so.

    They are several, or the titles name them.
    """
    held = {use.fields[0]: use for use in uses if use}
    vendor = held.get("supplier")
    if vendor is None or "brand" in held or not fold(vendor.column).startswith("vend"):
        return
    column = columns[vendor.position]
    few = len(column.counts) <= column.filled / _OF_A_BRAND
    if few and (len(column.counts) > 1 or _stand_in(column, held, columns)):
        uses[vendor.position] = replace(vendor, fields=("brand",))


def _stand_in(column: Column, held: dict[str, ColumnUse], columns: Sequence[Column]) -> bool:
    """Whether each text stands in the title of its record."""
    if "title" not in held:
        return False
    pairs = zip(column.cells, columns[held["title"].position].cells, strict=True)
    return all(text.strip().casefold() in title.casefold() for text, title in pairs)


def place_second_of_pairs(columns: Sequence[Column], uses: _Uses, contract: Contract) -> None:
    """Under "Load 1" and "Load 2", "LI1" and "LI2", the second is that of dual tires, and never more than the first."""
    by_header = {fold(column.header): column for column in columns}
    held = {contract.fields[use.fields[0]].group for use in uses if use and use.fields[0] in contract.fields}
    for header, column in by_header.items():
        match = _SECOND.fullmatch(header)
        firsts = (f"{match[1]}1", f"{match[1].strip()} 1", match[1].strip()) if match else _lettered_firsts(header)
        first = next((by_header[name] for name in firsts if name in by_header), None)
        use = uses[first.position] if first is not None else None
        if first is None or use is None or use.fields[0] not in contract.fields:
            continue
        dual = _TWINS.get(contract.fields[use.fields[0]].group)
        if dual is None or dual in held or not _never_more(column, first, _NEVER if match else _HARDLY_EVER):
            continue
        settled = contract.fields[use.fields[0]].unit if len(use.fields) == 1 else None
        fields = tuple(name for name in contract.groups[dual] if settled in (None, contract.fields[name].unit))
        uses[column.position] = replace(_placed(column, fields), unit=use.unit, decimal=use.decimal)
        held.add(dual)


def place_dual_behind_index(columns: Sequence[Column], uses: _Uses) -> None:
    """In a feed without headers whole numbers right behind the load index, each a little less: those of dual tires."""
    held = {use.fields[0]: use.position for use in uses if use}
    index = held.get("load_index", len(columns))
    if index + 1 >= len(columns) or {"load_index_dual", "service_description"} & held.keys():
        return
    first, column = columns[index], columns[index + 1]
    if uses[column.position] is not None or not has_no_header(column) or not nearly_all(column, str.isdecimal):
        return
    pairs = zip(first.cells, column.cells, strict=True)
    apart = [int(one) - int(other) for one, other in pairs if one.isdecimal() and other.isdecimal()]
    if len(apart) >= _FEW and sum(0 <= one <= _MOST_APART for one in apart) >= _NEARLY_ALL * len(apart):
        uses[column.position] = _placed(column, ("load_index_dual",))


def _lettered_firsts(header: str) -> tuple[str, ...]:
    """The headers of single tires beside one that ends in the letter of dual ones: "tragf e" of "tragf z"."""
    base, _, letter = header.rpartition(" ")
    return tuple(f"{base} {pair[0]}" for pair in sorted(MOUNTINGS) if base and letter == pair[1])


def may_be_loads_of_dual(column: Column, single: Column) -> bool:
    """Whether nothing in the loads of a column speaks against those of dual tires beside single ones in its unit."""
    pairs = _pairs(column, single)
    return sum(map(_is_little_less, pairs)) >= _HARDLY_EVER * len(pairs)


def _never_more(second: Column, first: Column, least: float) -> bool:
    pairs = _pairs(second, first)
    return len(pairs) >= _FEW and sum(map(_is_little_less, pairs)) >= least * len(pairs)


def _pairs(second: Column, first: Column) -> list[tuple[float, float]]:
    """The numbers of two columns that stand in one record: first, second."""
    cells = zip(map(plain_number, first.cells), map(plain_number, second.cells), strict=True)
    return [(one, other) for one, other in cells if one is not None and other is not None]


def _is_little_less(pair: tuple[float, float]) -> bool:
    """Whether a load is that of a dual tire beside that of a single one: a few hundredths less."""
    one, other = pair
    return 0.7 * one <= other <= one


def _tire_grades(free: Sequence[Column], held: dict[str, int]) -> list[tuple[Column, str]]:
    """Treadwear, traction and temperature in three columns side by side, in the order of the mark (49 CFR 575.104)."""
    names = ("treadwear", "traction", "temperature")
    at = {column.position: column for column in free}
    tests: tuple[Callable[[Column], bool], ...] = (
        _are_treadwear,
        lambda column: nearly_all(column, _TRACTION.fullmatch),
        lambda column: nearly_all(column, _TEMPERATURE.fullmatch),
    )
    starts = {column.position - step for column in free for step in range(3)}
    rows = []
    for start in sorted(starts):
        row = [at.get(start + step) for step in range(3)]
        known = [held.get(name) == start + step for step, name in enumerate(names)]
        fits = [
            sure or (column is not None and test(column)) for sure, column, test in zip(known, row, tests, strict=True)
        ]
        double = any(column is not None and any(text.upper() == "AA" for text in column.counts) for column in row)
        if all(fits) and (double or sum(known) > 1):
            rows.append([(column, name) for column, name in zip(row, names, strict=True) if column is not None])
    return rows[0] if len(rows) == 1 else []


def _are_treadwear(column: Column) -> bool:
    low, high, step = _TREADWEAR
    found = numbers(column)
    total = sum(count for _, count in found)
    fitting = sum(count for value, count in found if low <= value <= high and value % step == 0)
    return total >= _FEW and len(found) > 1 and fitting >= 0.9 * total


def _symbol_behind_index(free: Sequence[Column], held: dict[str, int]) -> list[tuple[Column, str]]:
    """Nothing but letters of speed symbols right behind the load index."""
    index = held.get("load_index_dual", held.get("load_index"))
    if index is None or {"speed_symbol", "service_description", "marking"} & held.keys():
        return []
    behind = [column for column in free if column.position == index + 1]
    return [
        (column, "speed_symbol")
        for column in behind
        if len(column.counts) > 1 and nearly_all(column, is_symbol) and not _CONSTRUCTIONS.issuperset(column.counts)
    ]


def _brands_of_titles(
    columns: Sequence[Column], free: Sequence[Column], held: dict[str, int]
) -> list[tuple[Column, str]]:
    """In a feed without headers one column of a few names, each of which stands in the title of its record.

    One name alone is no more than a word for all of them, unless every title begins with it.
    """
    title = held.get("title")
    if title is None or "brand" in held:
        return []
    named = [column for column in free if has_no_header(column) and nearly_all(column, _is_brand)]
    titles = [text.casefold() for text in columns[title].cells]
    found = [
        column
        for column in named
        if len(column.counts) <= column.filled / _OF_A_BRAND
        and (len(column.counts) > 1 or _is_firstnearly_all(titles, next(iter(column.counts))))
        and all(text.casefold() in title for text, title in zip(column.cells, titles, strict=True) if text.strip())
    ]
    return [(found[0], "brand")] if len(found) == 1 else []


def _is_firstnearly_all(titles: Sequence[str], name: str) -> bool:
    """Whether all titles begin with a name that is no word for tires."""
    return fold(name) not in FILLERS and all(title.startswith(name.casefold()) for title in titles if title)


def _brands_and_models(
    columns: Sequence[Column], free: Sequence[Column], held: dict[str, int]
) -> list[tuple[Column, str]]:
    """In a feed without headers two columns of names side by side: models, some numbered, and whose they are."""
    if {"brand", "model"} & held.keys():
        return []
    at = {column.position: column for column in free if has_no_header(column) and nearly_all(column, _is_name)}
    found = [
        (brand, model)
        for brand in at.values()
        if (model := at.get(brand.position + 1)) is not None
        and nearly_all(brand, _is_brand)
        and any(any(map(str.isdecimal, text)) for text in model.counts)
        and _belong_to(model, brand)
    ]
    return [(found[0][0], "brand"), (found[0][1], "model")] if len(found) == 1 else []


def _is_brand(text: str) -> bool:
    return len(text) > _LONGEST_CODE and text[0].isupper() and not any(map(str.isdecimal, text))


def _models_of_brands(
    columns: Sequence[Column], free: Sequence[Column], held: dict[str, int]
) -> list[tuple[Column, str]]:
    """Names right behind the brand of which none goes with two brands, as kinds of tires and of vehicles would."""
    brand = held.get("brand")
    if brand is None or "model" in held:
        return []
    for column in free:
        if column.position == brand + 1 and nearly_all(column, _is_name) and _belong_to(column, columns[brand]):
            return [(column, "model")]
    return []


def _belong_to(model: Column, brand: Column) -> bool:
    """Whether each of a few names goes with one other name, of which there are fewer: a brand's country is its own."""
    pairs = {
        (name.strip(), of.strip())
        for name, of in zip(model.cells, brand.cells, strict=True)
        if name.strip() and of.strip()
    }
    names, brands = {name for name, _ in pairs}, {of for _, of in pairs}
    return len(model.counts) >= _FEWEST_MODELS and len(pairs) == len(names) and 1 < len(brands) < len(names)


def _is_name(text: str) -> bool:
    return any(map(str.isalpha, text)) and len(text) <= 40


def _placed(column: Column, fields: tuple[str, ...]) -> ColumnUse:
    return ColumnUse(column.header, column.position, fields, None, None, {}, 0.8, column.samples())
