"""Feeds in, a finished audit out: plans work, runs it in threads, settles findings in order, writes every output."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from auditor.engine.run import RunOutcome, Settings, run_audit

__all__ = ["RunOutcome", "Settings", "run_audit"]


def __getattr__(name: str) -> Any:
    """The run is loaded when asked for: its parts serve without the reports, too."""
    if name in __all__:
        from auditor.engine import run

        return getattr(run, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
