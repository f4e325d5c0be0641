"""A change to one cell of a feed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Change:
    """Put `after` where a cell holds `before`; `about` says why, for the list of changes."""

    record: int  # 1-based data record number
    position: int  # 0-based column position
    before: str
    after: str
    about: Mapping[str, str]


Changes = dict[int, dict[int, Change]]  # record number to column position to change


def changed_records(changes: Changes, first: int, records: int) -> list[int]:
    """The records to be changed among `records` ones from number `first` on, rising."""
    if len(changes) > records:
        return [record for record in range(first, first + records) if changes.get(record)]
    return sorted(record for record in changes if first <= record < first + records and changes[record])


def fits(cell: str, change: Change) -> bool:
    """Whether the cell still holds what the finding was about; blanks around it do not count."""
    return cell.strip() == change.before.strip()


def number_or_none(text: str) -> int | float | None:
    """A plain number as a typed cell would hold it; None where the text is more than that."""
    try:
        return int(text)
    except ValueError:
        pass
    try:
        number = float(text)
    except ValueError:
        return None
    return number if number == number and abs(number) != float("inf") else None
