"""Keeps memory and start-up small in the auditor's own processes; programs that embed it are left as they are.

pyarrow imports pandas, where it is installed, the first time that it is shown a list, only to ask whether the list or
a value in it is one of pandas' own.  That would be a third of the start-up time of an audit.  pyarrow asks once; told
then that there is no pandas, it never asks again.  Where there is no `dateutil` it asks with every list, and Python
looks through all its folders each time, a twentieth of what a small feed takes; here the answer is kept.

numpy's BLAS starts a thread per core that waits for matrices, which no audit has.

A block's texts and arrays come and go.  Texts lie in pyarrow's memory pool: jemalloc, told to give back soon what is
free, holds a third less than the other pools with Parquet feeds, and half of it with CSV.  The Parquet reader takes its
pages from the pool that Arrow itself was started with, which is another one unless the environment names it.  Arrays
lie in glibc's, which would keep an arena per thread and give back nothing: two arenas and fixed limits save another
fifth.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from importlib.machinery import ModuleSpec
from importlib.util import find_spec
from types import ModuleType

_ARENA_MAX, _MMAP_THRESHOLD, _TRIM_THRESHOLD = -8, -3, -1  # glibc's numbers for the settings (malloc.h)
_ARENAS = 2
_OBJECTS = 50_000  # made between two searches for garbage; a block makes few objects, and hardly any in cycles
_GIVEN_BACK_BYTES = 4 << 20  # larger pieces go back to the system at once; a column of numbers is smaller
_KEPT_MS = 50  # how long free memory is kept while reports are written
_KEPT_BYTES = 32 << 20  # at the end of an arena: taking fresh memory for each column would cost more than its sums


class _NoPandas:
    @staticmethod
    def find_spec(name: str, path: Sequence[str] | None = None, target: ModuleType | None = None) -> ModuleSpec | None:
        if name == "pandas":
            raise ModuleNotFoundError("No module named 'pandas'", name="pandas")
        return None


def trim_memory() -> None:
    """Gives freed memory back to the system, between parts of the work; does nothing where that cannot be asked."""
    trim = _allocator("malloc_trim")
    if trim is not None:
        trim(0)


def keep_memory_a_moment() -> None:
    """Keeps freed memory for a moment before it is given back, once the auditing, which takes most, is done.

    Columns of the same length are then made again and again; fresh pages for each would take a tenth of the time.
    Does nothing in programs that embed the auditor.
    """
    if _limited:
        import pyarrow as pa

        pa.jemalloc_set_decay_ms(_KEPT_MS)


_limited: list[bool] = []  # filled where the process is the auditor's own and its pool is the one that can be told


@cache
def _allocator(name: str) -> Callable[..., int] | None:
    """A function of glibc's allocator; None where there is another one."""
    if sys.platform != "linux":
        return None
    import ctypes

    return getattr(ctypes.CDLL(None), name, None)


def _keep_few_pages() -> None:
    mallopt = _allocator("mallopt")
    if mallopt is not None:
        mallopt(_ARENA_MAX, _ARENAS)
        mallopt(_MMAP_THRESHOLD, _GIVEN_BACK_BYTES)
        mallopt(_TRIM_THRESHOLD, _KEPT_BYTES)


@contextmanager
def _one_blas_thread() -> Iterator[None]:
    """While numpy is loaded.  What the user set stays as it is, and the processes that we start hear nothing of it."""
    name = "OPENBLAS_NUM_THREADS"
    if name in os.environ:
        yield
        return
    os.environ[name] = "1"
    try:
        yield
    finally:
        del os.environ[name]


@contextmanager
def loading() -> Iterator[None]:
    """While the modules of a command are loaded: they stay, so nobody looks through them for garbage, now or later."""
    import gc

    before = len(sys.modules)
    gc.disable()
    try:
        yield
        if len(sys.modules) > before:
            gc.freeze()
    finally:
        gc.enable()


def limit_memory(kept_ms: int = 0) -> None:
    """To be called before the first table is built, in a process that is the auditor's own.

    `kept_ms` is how long the pool keeps free memory: 0 holds a tenth less than 50, which is a tenth quicker.
    """
    import gc

    if sys.platform in ("linux", "darwin"):  # where Arrow is built with it
        os.environ.setdefault("ARROW_DEFAULT_MEMORY_POOL", "jemalloc")
    gc.set_threshold(_OBJECTS)
    with _one_blas_thread():
        import pyarrow as pa
    if "jemalloc" in pa.supported_memory_backends():
        pa.set_memory_pool(pa.jemalloc_memory_pool())
        pa.jemalloc_set_decay_ms(kept_ms)
        _limited.append(True)
    _keep_few_pages()
    if find_spec("dateutil") is None:
        sys.modules["dateutil"] = None  # type: ignore[assignment]  # which is how Python keeps that there is none
    if "pandas" in sys.modules:
        return
    finder = _NoPandas()
    sys.meta_path.insert(0, finder)
    try:
        pa.array([""])  # of the list, and of the value in it
    finally:
        sys.meta_path.remove(finder)
