"""Listing fields of a retailer's own, and own spellings of headers: the own `listing_fields.toml`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from auditor.errors import RuleBookError
from auditor.rulebook import files as book_files
from auditor.rulebook.files import nearest
from auditor.rulebook.header_words import fold
from auditor.trade.units import UNITS as ALL_UNITS
from auditor.trade.units import unit_of


def _suffixes(quantity: str) -> dict[str | None, str]:
    return {unit.name: f"_{unit.suffix}" for unit in ALL_UNITS.values() if unit.suffix and unit.dimension == quantity}


# quantity -> unit as feeds head it -> what the field's name ends in
UNITS: dict[str, dict[str | None, str]] = {
    "text": {None: ""},
    "count": {None: ""},
    **{quantity: _suffixes(quantity) for quantity in ("mass", "length", "speed", "pressure")},
}


def own_contract(base: Mapping[str, Any], path: Path) -> tuple[dict[str, Any], list[str]]:
    """(the compiled contract with the own one over it, the names of the own fields)."""
    contract: dict[str, Any] = json.loads(json.dumps(base))
    if not path.is_file():
        return contract, []
    data = book_files.read_toml(path)
    book_files.check(data, book_files.schema("listing_fields"), path)
    known = {row["name"]: row for row in contract["fields"]}
    own = []
    for row in data.get("field", []):
        spec = {"group": row["name"], "unit": None, **row}
        if row["name"] in known:
            _check_same(path, spec, known[row["name"]])
            continue
        _check_unit(path, spec)
        known[row["name"]] = spec
        contract["fields"].append(spec)
        own.append(row["name"])
    _add_spellings(contract, data.get("spellings", {}), path)
    for unit, words in data.get("units", {}).items():
        valid = {name for _, name in contract["units"]}
        if unit not in valid:
            raise RuleBookError(f"{path}: units: there is no unit {unit!r}; {nearest(unit, valid)}")
        present = {word for word, _ in contract["units"]}
        contract["units"] += [[fold(word), unit] for word in words if fold(word) not in present]
    return contract, own


def _check_same(path: Path, spec: Mapping[str, Any], known: Mapping[str, Any]) -> None:
    """A built-in field may stand in an own file, as it does in a copy, but nothing of it can be changed."""
    for key in ("group", "quantity", "unit"):
        if spec[key] != known[key]:
            raise RuleBookError(
                f"{path}: field {spec['name']!r}: {key}: it is a built-in field with {key} {known[key]!r}; "
                "give your own field another name."
            )


def _check_unit(path: Path, spec: Mapping[str, Any]) -> None:
    where = f"{path}: field {spec['name']!r}"
    if spec["quantity"] not in UNITS:
        raise RuleBookError(f"{where}: quantity: there is no {spec['quantity']!r}; {nearest(spec['quantity'], UNITS)}")
    units = UNITS[spec["quantity"]]
    if spec["unit"] not in units:
        valid = [str(unit) for unit in units if unit is not None]
        said = f"a {spec['quantity']} has the unit {' or '.join(valid)}" if valid else "it has no unit"
        near = f"; {nearest(str(spec['unit']), valid)}" if valid and spec["unit"] else "."
        raise RuleBookError(f"{where}: unit: {said}{near}")
    if spec["quantity"] == "count" and unit_of(spec["name"]):
        raise RuleBookError(f"{where}: name: it ends in a unit, which a count has not; give it another name.")
    if not spec["name"].endswith(units[spec["unit"]]):
        raise RuleBookError(
            f"{where}: name: it has to end in {units[spec['unit']]}, as the names of all such fields do."
        )


def _add_spellings(contract: dict[str, Any], spellings: Mapping[str, Mapping[str, list[str]]], path: Path) -> None:
    groups = {row["group"] for row in contract["fields"]} | {group for group, _ in contract["combined"]}
    groups |= {group for _, listed in contract["phrases"] for group in listed}
    phrases: dict[str, list[str]] = dict(contract["phrases"])
    for group, languages in spellings.items():
        if group not in groups:
            raise RuleBookError(f"{path}: spellings: there is no field or group {group!r}; {nearest(group, groups)}")
        for phrase in (word for words in languages.values() for word in words):
            known = phrases.setdefault(fold(phrase), [])
            if group not in known:
                known.insert(0, group)  # what a retailer says of a header goes before what is usual
    contract["phrases"] = [[phrase, listed] for phrase, listed in phrases.items()]
