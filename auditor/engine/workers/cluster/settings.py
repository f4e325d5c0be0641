"""Which cluster a run works on, and where its parts lie meanwhile."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from auditor.feeds.urls import is_url


@dataclass(frozen=True, slots=True)
class ClusterSettings:
    """A Dask scheduler's address, and the run's folder of parts, which all workers reach under the same name."""

    address: str
    folder: str  # of no other output folder's run, so that it may go when this one is done


def cluster_settings(address: str | None, folder: str | None, out: str | Path) -> ClusterSettings | None:
    """The cluster that was asked for; parts lie beside the output folder, or in their own folder in a named one."""
    if not address:
        return None
    whole = str(out).rstrip("/") if is_url(out) else str(Path(out).resolve())
    beside, _, name = whole.rpartition("/")
    if not folder:
        return ClusterSettings(address, f"{beside}/.{name}.parts")
    if not is_url(folder):
        folder = str(Path(folder).resolve())
    return ClusterSettings(address, f"{folder.rstrip('/')}/{name}-{hashlib.sha256(whole.encode()).hexdigest()[:8]}")
