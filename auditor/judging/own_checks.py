"""Checks in Python of a retailer's own: functions that an installed package names in the entry point group
`auditor.checks`.

Such a function is called as the built-in checks are, `check(rule, statements, out)`, over whichever vocabulary
`statements.ops` is, once for a listing and once for a block of records.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from auditor.errors import RuleBookError

GROUP = "auditor.checks"
Check = Callable[[Any, Any, Any], None]


@cache
def own_check(name: str) -> Check | None:
    """The own check of that name, or None.  RuleBookError where it is there but cannot be loaded."""
    found = _entry_points(name)
    if not found:
        return None
    if len(found) > 1:
        raise RuleBookError(
            f"Two installed packages name a check {name!r} ({', '.join(entry.value for entry in found)}); remove one."
        )
    try:
        check = found[0].load()
    except Exception as error:
        raise RuleBookError(f"The check {name!r} ({found[0].value}) cannot be loaded: {error}.") from error
    if not callable(check):
        raise RuleBookError(f"The check {name!r} ({found[0].value}) is no function.")
    return _guarded(name, check)


def own_check_names() -> list[str]:
    """The names of all own checks that are installed."""
    return sorted({entry.name for entry in _entry_points(None)})


def _entry_points(name: str | None) -> list[Any]:
    # Start-up: only a book with checks of its own asks what is installed.
    from importlib.metadata import entry_points

    found = entry_points(group=GROUP) if name is None else entry_points(group=GROUP, name=name)
    return list({(entry.name, entry.value): entry for entry in found}.values())


def _guarded(name: str, check: Callable[..., None]) -> Check:
    """The check, whose own mistakes are told as such."""

    def run(rule: Any, st: Any, out: Any) -> None:
        try:
            check(rule, st, out)
        except RuleBookError:
            raise
        except Exception as error:
            raise RuleBookError(
                f"Rule {rule.id!r}: check: {name!r} failed with {type(error).__name__}: {error}; correct the check."
            ) from error

    return run
