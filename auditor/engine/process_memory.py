"""Keeps memory and start-up small in the auditor's own processes; programs that embed it are left as they are.

pyarrow imports pandas, where it is installed, the first time that it is shown a list, only to ask whether the list or
a value in it is one of pandas' own.  That would be a third of the start-up time of an audit.  pyarrow asks once; told
then that there is no pandas, it never asks again.

pyarrow.compute describes its 300 functions when it is loaded, and numpy's BLAS starts a thread per core that waits
for matrices: half a tenth of a second each, for what no audit looks at.

A block's texts and arrays come and go.  Texts lie in pyarrow's memory pool: jemalloc, told to give back soon what is
free, holds a third less than the other pools with Parquet feeds, and half of it with CSV.  The Parquet reader takes its
pages from the pool that Arrow itself was started with, which is another one unless the environment names it.  Arrays
lie in glibc's, which would keep an arena per thread and give back nothing: two arenas and fixed limits save another
fifth.
"""

from __future__ import annotations

import importlib
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from importlib.machinery import ModuleSpec
from types import ModuleType

_ARENA_MAX, _MMAP_THRESHOLD, _TRIM_THRESHOLD = -8, -3, -1  # glibc's numbers for the settings (malloc.h)
_ARENAS = 2
_OBJECTS = 50_000  # made between two searches for garbage; a block makes few objects, and hardly any in cycles
_GIVEN_BACK_BYTES = 4 << 20  # larger pieces go back to the system at once; a column of numbers is smaller
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


class _NoMasks(ModuleType):
    """Stands for numpy.ma, which pyarrow and numpy load only to ask whether an array is masked: as yet, none can be."""

    def __getattr__(self, name: str) -> object:
        """Asked for anything else, the real module is loaded, and from then on answers in its place."""
        if sys.modules.get("numpy.ma") is self:
            if name in _MASK_QUESTIONS:
                return _MASK_QUESTIONS[name]
            import numpy

            del sys.modules["numpy.ma"]
            numpy.ma = importlib.import_module("numpy.ma")
        return getattr(sys.modules["numpy.ma"], name)


_MASK_QUESTIONS = {
    "MaskedArray": type("MaskedArray", (), {}),
    "isMaskedArray": lambda _: False,
    "is_masked": lambda _: False,
}


def _leave_masks_out() -> None:
    if "numpy.ma" not in sys.modules:
        import numpy

        numpy.ma = sys.modules["numpy.ma"] = _NoMasks("numpy.ma")


def _load_compute() -> None:
    """Loads pyarrow.compute with bare functions: no signature for help(), no text made from their options' texts."""
    if "pyarrow.compute" in sys.modules:
        return
    import inspect
    import textwrap

    from pyarrow.vendored import docscrape

    kept = inspect.signature, textwrap.dedent, docscrape.NumpyDocString
    no_signature = inspect.Signature()
    inspect.signature = lambda *_, **__: no_signature
    textwrap.dedent = lambda text: text
    docscrape.NumpyDocString = lambda _: {"Parameters": ()}
    try:
        import pyarrow.compute  # noqa: F401
    finally:
        inspect.signature, textwrap.dedent, docscrape.NumpyDocString = kept


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
    _leave_masks_out()
    _load_compute()
    if "jemalloc" in pa.supported_memory_backends():
        pa.set_memory_pool(pa.jemalloc_memory_pool())
        pa.jemalloc_set_decay_ms(kept_ms)
    _keep_few_pages()
    if "pandas" in sys.modules:
        return
    finder = _NoPandas()
    sys.meta_path.insert(0, finder)
    try:
        pa.array([""])  # of the list, and of the value in it
    finally:
        sys.meta_path.remove(finder)
