"""How many audit at once."""

from __future__ import annotations

import os


def usual_workers() -> int:
    """The cores this process may use."""
    try:
        return max(1, len(os.sched_getaffinity(0)))
    except AttributeError:  # not on every system
        return max(1, os.cpu_count() or 1)
