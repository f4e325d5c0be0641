"""Finds the rule book's folder: inside the installed package, or beside `auditor/` in a checkout."""

from __future__ import annotations

from pathlib import Path


def rules_folder() -> Path:
    """The folder that holds `*.toml`, `tables/` and `schemas/`.

    Wheels are always unpacked to disk by installers, so a plain path serves; `importlib.resources` would cost
    start-up time that a single-listing check cannot pay.
    """
    here = Path(__file__).resolve().parent
    installed = here / "rules"
    return installed if installed.is_dir() else here.parent / "rules"
