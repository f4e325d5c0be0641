"""A process that audits units makes copies of itself once it has learned what the first records teach.

What a process learns before it is as quick as it gets is many times what some thousand records cost: texts and markings
that nearly all others share.  A copy begins with it, and shares the memory of it as long as nobody changes it.

A copy has one thread, the one that asked.  So it is made while nothing else goes on in the process: no thread of ours
runs beside the work, and Arrow's are idle and made anew where they are wanted, which Arrow itself sees to.  Only on
Linux: elsewhere libraries of the system do not stand it.
"""

from __future__ import annotations

import gc
import os
import sys
import warnings
from collections.abc import Sequence
from typing import IO


def can_be_copied() -> bool:
    """Whether processes can be copied here, and told apart from others that come to bear their number."""
    return sys.platform == "linux" and hasattr(os, "fork") and hasattr(os, "pidfd_open")


def copied(pipes: Sequence[str], mine: Sequence[int]) -> tuple[IO[bytes], IO[bytes]] | None:
    """Copies this process once for each of some pipes, as "read end:write end"; None in the process itself.

    In a copy its own (read end, write end); it has lost all others, and `mine`, descriptors of the process itself.
    """
    ends = [tuple(map(int, pipe.split(":"))) for pipe in pipes]
    gc.collect()
    gc.freeze()  # looking for garbage would write to what is shared
    for place, (read, write) in enumerate(ends):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # of threads beside: see above
            try:
                process = os.fork()
            except OSError:  # too many processes: a pipe that closes tells that there is none
                process = -1
        if process:
            os.close(read)
            os.close(write)
            continue
        for end in (*(end for pair in ends[place + 1 :] for end in pair), *mine):
            os.close(end)
        return os.fdopen(read, "rb"), os.fdopen(write, "wb")
    return None
