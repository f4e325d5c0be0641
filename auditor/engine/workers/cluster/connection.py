"""The way to a Dask scheduler and back: connecting, its workers, and none of its log lines on a user's terminal."""

from __future__ import annotations

import contextlib
import logging
import warnings
from collections.abc import Iterator

from distributed import Client

from auditor.errors import UsageError

_ANSWERS_S = 10.0  # how long a scheduler has to answer
_LOGGERS = ("distributed", "tornado", "asyncio")
_SILENT = logging.CRITICAL + 1


@contextlib.contextmanager
def connected(address: str) -> Iterator[Client]:
    """A client of a scheduler.  Raises UsageError where none answers."""
    with _quiet():
        try:
            client = Client(address, timeout=_ANSWERS_S, set_as_default=False, name="tire-listing-auditor")
        except Exception as error:
            reason = " ".join(str(error).split())[:200].rstrip(".") or type(error).__name__
            raise UsageError(
                f"--cluster {address}: no Dask scheduler answers there ({reason}); start one with `dask scheduler`, or "
                "check the address."
            ) from error
        try:
            yield client
        finally:
            with contextlib.suppress(Exception):  # it may be gone already
                client.close(timeout=2)


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Within, the libraries below say nothing: what a user needs to know is said by the run."""
    known = [name for name in logging.root.manager.loggerDict if name.split(".")[0] in _LOGGERS]
    before = {name: logging.getLogger(name).level for name in {*known, *_LOGGERS}}
    for name in before:
        logging.getLogger(name).setLevel(_SILENT)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            yield
    finally:
        for name, level in before.items():
            logging.getLogger(name).setLevel(level)
