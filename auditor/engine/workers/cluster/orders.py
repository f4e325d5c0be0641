"""What goes to the workers of a cluster and comes back, and what a unit leaves in the place of parts."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from auditor.engine.unit_parts import Kind
from auditor.engine.unit_work import UnitJob


@dataclass(frozen=True, slots=True)
class Standard:
    """What a worker has to have and to reach to work for a run."""

    session: str  # tells the process of the run from every other one
    version: str
    libraries: tuple[tuple[str, str], ...]
    rules: str  # digest of the rule book
    place: str  # address of the place of parts
    book: str  # the rule book's name in it


@dataclass(frozen=True, slots=True)
class Order:
    """Units to audit: one, or some of small feeds in one block."""

    standard: Standard
    job: UnitJob
    names: tuple[str, ...]  # of the units' parts, in the order of `job.alone()`
    fetched: tuple[str, ...]  # the feeds' names in the place of parts, "" for those that are read in place
    died: int = 0  # workers, when the unit was audited together with others


@dataclass(frozen=True, slots=True)
class Manifest:
    """What is there of a unit: written last, so that where it is, all is."""

    folder: str  # of the attempt whose files count
    unit: list[Any]  # as `unit_identity` has it
    files: dict[Kind, int]  # bytes by kind
    records: int
    findings: int

    def text(self) -> bytes:
        """The manifest as it is kept."""
        about = {"folder": self.folder, "unit": self.unit, "files": {name: self.files[name] for name in self.files}}
        return json.dumps(about | {"records": self.records, "findings": self.findings}, sort_keys=True).encode()

    @classmethod
    def of(cls, text: bytes) -> Manifest:
        """A kept manifest.  Raises ValueError or KeyError where it is none."""
        about = json.loads(text)
        return cls(about["folder"], about["unit"], about["files"], about["records"], about["findings"])


@dataclass(frozen=True, slots=True)
class Failed:
    """A unit could not be audited; the reason is of the unit, of the worker's machine where `no_room`."""

    reason: str
    no_room: bool = False


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of an order."""

    worker: str
    seconds: float
    units: tuple[Manifest | Failed, ...] = ()  # in the order of the units
    unfit: str = ""  # why this worker cannot work for the run at all
    deaths: int = 0  # of workers that had begun with it before, where it was not begun again for them
    apart: bool = False  # so many died over these units together: each should be audited alone


def part_name(feed: str, part: int) -> str:
    """The name of a unit's parts, by its feed's identity and its place in it."""
    return f"{feed}/{part:07d}"


def manifest_name(unit: str) -> str:
    """Where the manifest of a unit lies."""
    return f"{unit}.json"
