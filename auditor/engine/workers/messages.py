"""How a run and its worker processes talk: pickled objects, each with its length before it, through pipes.

Both ends are processes of one user that one of them started; nobody else can write to the pipes.
"""

from __future__ import annotations

import pickle
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from auditor.rulebook.book import RuleBook

_LENGTH_BYTES = 8


@dataclass(frozen=True, slots=True)
class Hello:
    """What a worker is told first."""

    version: str
    book: RuleBook
    folder: Path  # the run's work folder
    records: int  # that are audited at once


@dataclass(frozen=True, slots=True)
class Ready:
    """What a worker answers."""

    version: str
    rules: str  # digest of the book that it has
    process: int  # its number


def send(pipe: IO[bytes], one: object) -> None:
    """Writes an object."""
    content = pickle.dumps(one, protocol=pickle.HIGHEST_PROTOCOL)
    pipe.write(len(content).to_bytes(_LENGTH_BYTES, "big") + content)
    pipe.flush()


def receive(pipe: IO[bytes]) -> Any:
    """Reads an object.  Raises EOFError where the other end is gone."""
    head = pipe.read(_LENGTH_BYTES)
    if len(head) < _LENGTH_BYTES:
        raise EOFError
    size = int.from_bytes(head, "big")
    content = pipe.read(size)
    if len(content) < size:
        raise EOFError
    return pickle.loads(content)
