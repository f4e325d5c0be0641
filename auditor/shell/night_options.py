"""The options that say where nights are remembered, and what tonight is called."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from auditor.ledger.night import LedgerSettings


def add_night_options(parser: argparse.ArgumentParser) -> None:
    """Adds --ledger and --night."""
    parser.add_argument(
        "--ledger", metavar="PLACE", help="remember this night: a file, or the URL of a PostgreSQL database"
    )
    parser.add_argument("--night", metavar="DATE", help="what the night is called, 2026-11-28 (default: today)")


def ledger_settings(options: argparse.Namespace) -> LedgerSettings | None:
    """What the engine has to know of the ledger; None without one.

    Raises UsageError where the night cannot be written any more: before hours are spent on it.
    """
    if options.ledger is None:
        return None
    # Start-up: runs without a ledger need no database.
    from auditor.ledger.night import settings_of

    return settings_of(options.ledger, options.night, getattr(options, "every_days", {}))
