"""Feed maps: one TOML file per supplier, checked before anything is read, picked by file name and header."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

from auditor.errors import RuleBookError
from auditor.feeds.dialect import Wanted
from auditor.feeds.model import ColumnUse, Mapping
from auditor.mapping.map_headers import meant_columns, other_mounting, vetoed_unit
from auditor.rulebook.built_in import load_contract, published_schema
from auditor.rulebook.files import TOO_MUCH_TOML
from auditor.rulebook.header_words import fold
from auditor.rulebook.listing_fields import Contract


@dataclass(frozen=True, slots=True)
class MapColumn:
    """One `[[column]]` of a map; `line` is where it begins."""

    header: str
    occurrence: int
    fields: tuple[str, ...]
    unit: str | None
    decimal: str | None
    optional: bool
    translate: dict[str, str]
    line: int
    unit_column: str | None = None  # header of the column that holds the unit of each of its numbers
    label: str = ""  # what its cells begin with


@dataclass(frozen=True, slots=True)
class FeedMap:
    """One feed map file."""

    path: Path
    files: tuple[str, ...]
    columns: tuple[MapColumn, ...]
    wanted: Wanted
    sheet: str | None = None
    supplier: str | None = None
    key: tuple[str, ...] = ()
    decimal: str | None = None
    constants: tuple[tuple[str, str], ...] = ()
    ignored: tuple[str, ...] = ()
    feed: str | None = None
    changes: bool = False

    def covers(self, name: str) -> int:
        """Length of the longest pattern that matches a feed's name; 0 where none does."""
        bare = name.rsplit("/", 1)[-1]
        matching = [len(pattern) for pattern in self.files if fnmatchcase(name if "/" in pattern else bare, pattern)]
        return max(matching, default=0)

    def missing(self, headers: Sequence[str], contract: Contract) -> list[MapColumn]:
        """Columns that the map names and the feed lacks."""
        meant = meant_columns(self.columns, headers, contract)
        return [
            column for column, found in zip(self.columns, meant, strict=True) if found is None and not column.optional
        ]

    def ignores(self, header: str) -> bool:
        """Whether the map tells to pass over the columns of that header."""
        return fold(header) in {fold(ignored) for ignored in self.ignored}


@dataclass(frozen=True, slots=True)
class MapBook:
    """All feed maps of a folder."""

    maps: tuple[FeedMap, ...] = ()

    def candidates(self, name: str) -> list[FeedMap]:
        """Maps whose patterns match a feed's name, the narrowest pattern first."""
        covering = [(found.covers(name), found) for found in self.maps]
        ranked = sorted((item for item in covering if item[0]), key=lambda item: (-item[0], item[1].path.name))
        return [found for _, found in ranked]


def load_maps(folder: Path, contract: Contract | None = None) -> MapBook:
    """Reads and checks every `*.toml` in `folder`.

    Raises RuleBookError, naming file, line, key and the nearest valid name, for a missing folder or a wrong map.
    """
    if not folder.is_dir():
        raise RuleBookError(f"{folder}: no such folder of feed maps; expected one with a .toml file per supplier.")
    paths = sorted(folder.glob("*.toml"))
    if not paths:
        raise RuleBookError(f"{folder}: the folder holds no feed map; expected one .toml file per supplier.")
    return MapBook(tuple(load_map(path, contract) for path in paths))


def load_map(path: Path, contract: Contract | None = None) -> FeedMap:
    """Reads and checks one feed map; see `load_maps` for errors."""
    # Start-up: many audits have no maps.
    import tomllib

    contract = contract or load_contract()
    try:
        text = path.read_text(encoding="utf-8")
        data = tomllib.loads(text)
    except OSError as error:
        raise RuleBookError(f"{path}: the feed map cannot be read ({error.strerror}).") from error
    except UnicodeDecodeError as error:
        raise RuleBookError(f"{path}: the feed map is not UTF-8 (byte {error.start}); save it as UTF-8.") from error
    except (RecursionError, ValueError) as error:
        if not isinstance(error, tomllib.TOMLDecodeError):
            raise RuleBookError(f"{path}: {TOO_MUCH_TOML}") from error
        raise RuleBookError(f"{path}: the feed map is not valid TOML: {error}.") from error
    _check_schema(path, text, data)
    lines = _column_lines(text)
    columns = tuple(
        _map_column(path, text, row, line, contract) for row, line in zip(data["column"], lines, strict=False)
    )
    for name in [*data.get("constants", {}), *data.get("key", [])]:
        _known_field(path, _line_of(text, name), name, contract)
    dialect = data.get("text", {})
    return FeedMap(
        path,
        tuple(data["files"]),
        columns,
        Wanted(
            _known_encoding(path, text, dialect.get("encoding")),
            dialect.get("delimiter"),
            dialect.get("quote"),
            dialect.get("header_row"),
            frozenset(column.header.strip() for column in columns),
        ),
        data.get("sheet"),
        data.get("supplier"),
        tuple(data.get("key", ())),
        data.get("decimal"),
        tuple(data.get("constants", {}).items()),
        tuple(data.get("ignore", ())),
        data.get("feed"),
        data.get("delivery") == "changes",
    )


def _check_schema(path: Path, text: str, data: dict[str, Any]) -> None:
    from jsonschema import Draft202012Validator

    schema = published_schema("feed_map")
    errors = sorted(Draft202012Validator(schema).iter_errors(data), key=lambda error: list(map(str, error.path)))
    if not errors:
        return
    error = errors[0]
    where = _line_of_path(text, list(error.absolute_path))
    if error.validator == "additionalProperties" and isinstance(error.instance, dict):
        known = list(error.schema["properties"])
        wrong = next(key for key in error.instance if key not in known)
        where = _line_of(text, wrong, where)
        raise RuleBookError(f"{path}, line {where}: there is no key {wrong!r} here{_nearest(wrong, known)}.")
    if error.validator == "enum" and isinstance(error.instance, str):
        known = [str(value) for value in error.schema["enum"]]
        where = _line_of(text, error.instance, where)
        raise RuleBookError(
            f"{path}, line {where}: {error.absolute_path[-1]} cannot be {error.instance!r}"
            f"{_nearest(error.instance, known)}; expected one of {', '.join(known)}."
        )
    key = ".".join(str(part) for part in error.absolute_path) or "the map"
    if error.validator == "oneOf":
        raise RuleBookError(f"{path}, line {where}: {key} needs either 'field' or 'fields'.")
    raise RuleBookError(f"{path}, line {where}: {key}: {error.message.rstrip('.')}.")


def _map_column(path: Path, text: str, row: dict[str, Any], line: int, contract: Contract) -> MapColumn:
    fields = tuple(row.get("fields") or (row["field"],))
    for name in fields:
        _known_field(path, _line_of(text, name, line), name, contract)
    return MapColumn(
        row["header"],
        row.get("occurrence", 1),
        fields,
        row.get("unit"),
        row.get("decimal"),
        row.get("optional", False),
        {key.casefold().strip(): value for key, value in row.get("translate", {}).items()},
        line,
        row.get("unit_column"),
        row.get("label", ""),
    )


def _known_field(path: Path, line: int, name: str, contract: Contract) -> None:
    if name not in contract.fields:
        raise RuleBookError(f"{path}, line {line}: there is no field {name!r}{_nearest(name, contract.fields)}.")


def _known_encoding(path: Path, text: str, encoding: str | None) -> str | None:
    import codecs

    if encoding is None:
        return None
    try:
        return codecs.lookup(encoding).name
    except LookupError:
        usual = ["utf-8", "utf-16", "windows-1252", "iso-8859-1", "iso-8859-2", "windows-1250"]
        line = _line_of(text, encoding)
        raise RuleBookError(
            f"{path}, line {line}: there is no encoding {encoding!r}{_nearest(encoding, usual)}."
        ) from None


def _nearest(name: str, known: Iterable[str]) -> str:
    # Start-up: only a slip of the pen needs the nearest name.
    from difflib import get_close_matches

    close = get_close_matches(name, list(known), n=1, cutoff=0.5)
    return f"; did you mean {close[0]!r}?".rstrip("?") if close else ""


def _column_lines(text: str) -> list[int]:
    """Lines of the `[[column]]` heads, from 1."""
    return [number for number, line in enumerate(text.splitlines(), 1) if re.match(r"\s*\[\[\s*column\s*\]\]", line)]


def _line_of(text: str, word: str, after: int = 1) -> int:
    """The first line from `after` on that holds `word` outside comments; `after` itself where none does."""
    for number, line in enumerate(text.splitlines(), 1):
        if number >= after and re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", line.split(" #")[0]):
            return number
    return after


def _line_of_path(text: str, position: Sequence[Any]) -> int:
    line = 1
    if len(position) > 1 and position[0] == "column":
        heads = _column_lines(text)
        line = heads[position[1]] if position[1] < len(heads) else 1
    names = [part for part in position if isinstance(part, str) and part != "column"]
    return _line_of(text, names[-1], line) if names else line


def apply_map(found: FeedMap, name: str, headers: Sequence[str], contract: Contract) -> Mapping:
    """The mapping of one feed by a map.

    Raises RuleBookError where the feed lacks a column that the map names, or a column cannot be what the map says.
    """
    missing = found.missing(headers, contract)
    if missing:
        column = missing[0]
        times = f" {column.occurrence} times" if column.occurrence > 1 else ""
        raise RuleBookError(
            f"{found.path}, line {column.line}: {name} has no column {column.header!r}{times}"
            f"{_nearest(column.header, headers)}; correct the header, or add 'optional = true'."
        )
    uses: list[ColumnUse] = []
    warnings: list[str] = []
    for column, meant in zip(found.columns, meant_columns(found.columns, headers, contract), strict=True):
        if meant is None:
            continue
        header = headers[meant.position]
        _check_quantity(found, column, header, contract)
        if meant.otherwise:
            warnings.append(f"{found.path.name} names {column.header!r}; the feed heads it {header!r}.")
        decimal, units = column.decimal or found.decimal, _unit_column(found, column, name, headers, meant.position)
        told = (column.fields, column.unit, decimal, column.translate)
        uses.append(ColumnUse(header, meant.position, *told, unit_column=units, label=column.label))
    ignored = tuple(header for header in dict.fromkeys(headers) if found.ignores(header))
    constants = dict(found.constants)
    return Mapping(
        found.path.name,
        tuple(uses),
        (),
        constants,
        found.supplier,
        found.key,
        ignored,
        tuple(warnings),
        found.feed,
        found.changes,
    )


def _unit_column(found: FeedMap, column: MapColumn, name: str, headers: Sequence[str], position: int) -> int | None:
    """The place of the column that a map says to hold the units of the one at `position`: the nearest so called."""
    if column.unit_column is None:
        return None
    wanted = fold(column.unit_column)
    places = [place for place, header in enumerate(headers) if wanted and fold(header) == wanted]
    if not places:
        raise RuleBookError(
            f"{found.path}, line {column.line}: {name} has no column {column.unit_column!r} with the units of "
            f"{column.header!r}{_nearest(column.unit_column, headers)}; correct the header."
        )
    return min(places, key=lambda place: (abs(place - position), place < position))


def _check_quantity(found: FeedMap, column: MapColumn, header: str, contract: Contract) -> None:
    """A unit in the header, or a word for twin tires, forbids a field of another kind, also one in a written map."""
    where = f"{found.path}, line {column.line}: the column {header!r} cannot be {' and '.join(column.fields)}"
    unit = vetoed_unit(column.fields, header, contract)
    if unit is not None:
        raise RuleBookError(f"{where}, for its header says {unit}; correct the field.")
    if other_mounting(column.fields, header, contract):
        dual = column.fields[0].replace("load_", "load_dual_") if "_load_" in column.fields[0] else "load_index_dual"
        raise RuleBookError(f"{where}, for its header says that it is of twin tires; correct it to {dual}.")


def with_folder_constants(mapping: Mapping, name: str, contract: Contract) -> Mapping:
    """Adds what the folders of a partitioned feed say, `supplier=acme/part-0.parquet`, where no column does."""
    given = {name for use in mapping.columns for name in use.fields} | set(mapping.constants)
    constants = dict(mapping.constants)
    for part in name.split("/")[:-1]:
        key, mark, value = part.partition("=")
        field = key.strip().lower()
        if mark and value and field in contract.fields and field not in given:
            constants[field] = value
    supplier = mapping.supplier or (constants.get("supplier") if "supplier" not in given else None)
    return replace(mapping, constants=constants, supplier=supplier)
