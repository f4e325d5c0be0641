"""Feeds in, a finished audit out: plans work, runs it in threads, settles findings in order, writes every output."""

from __future__ import annotations

from auditor.engine.run import RunOutcome, Settings, run_audit

__all__ = ["RunOutcome", "Settings", "run_audit"]
