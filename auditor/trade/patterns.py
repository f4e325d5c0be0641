"""Regular expressions that are compiled when they are first used.

A program that audits one listing needs a few of some two hundred patterns, and compiling takes most of its start.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

_CALLS = ("match", "search", "fullmatch", "finditer", "findall", "sub")


class Pattern:
    """Stands for `re.compile(source, flags)`; from the first call on its methods are those of the compiled one."""

    __slots__ = ("flags", "source", *_CALLS)

    source: str
    flags: int
    match: Callable[..., re.Match[str] | None]
    search: Callable[..., re.Match[str] | None]
    fullmatch: Callable[..., re.Match[str] | None]
    finditer: Callable[..., Iterator[re.Match[str]]]
    findall: Callable[..., list[str]]
    sub: Callable[..., str]

    def __init__(self, source: str, flags: int = 0) -> None:
        self.source = source
        self.flags = flags

    def __getattr__(self, name: str) -> object:
        if name not in _CALLS:
            raise AttributeError(name)
        compiled = re.compile(self.source, self.flags)
        for call in _CALLS:
            setattr(self, call, getattr(compiled, call))
        return getattr(self, name)
