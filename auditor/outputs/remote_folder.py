"""An output folder in an object store: built here, then copied there, `summary.json` last.

While an audit is being copied there is no `summary.json`, so that whoever waits for it never sees half of one.
"""

from __future__ import annotations

import contextlib
import json
import secrets
from collections.abc import Callable, Iterator
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from auditor.errors import OutputError
from auditor.feeds.spool import spool_folder
from auditor.feeds.urls import is_url

if TYPE_CHECKING:
    from auditor.feeds.object_store import ObjectStore

_LAST = "summary.json"
_ASIDE = "summary.earlier.json"  # what it is called while another audit is copied over its own
_EARLIER = ("run.json", "report.xlsx")  # of an earlier audit, beside its summary: what the next one has to look at


@contextlib.contextmanager
def built_here(out: str | Path, stage: Callable[[str], None]) -> Iterator[Path]:
    """The folder to build an audit in: `out` itself, or one of this machine that is copied to its URL afterwards."""
    if not is_url(out):
        yield Path(out)
        return
    with remote_folder(str(out)) as folder:
        yield folder
        stage(f"copying to {out}")


@contextlib.contextmanager
def remote_folder(url: str) -> Iterator[Path]:
    """A folder of this machine, for as long as this process lives, whose audit is copied to `url` when all went well.

    Raises OutputError where the store cannot be reached or written, or holds something else there.
    """
    folder = spool_folder() / f"out-{secrets.token_hex(4)}" / (PurePosixPath(url).name or "audit")
    with _said(url):
        # Start-up: few runs write to a store.
        from auditor.feeds.object_store import ObjectStore

        store = ObjectStore(url)
        earlier = _brought(store, folder)
    yield folder
    with _said(url):
        _copied(store, folder, earlier)


@contextlib.contextmanager
def _said(url: str) -> Iterator[None]:
    try:
        yield
    except OutputError:
        raise
    except Exception as error:
        reason = (str(error).strip().splitlines() or [type(error).__name__])[0][:300].rstrip(".")
        raise OutputError(f"{url} cannot be written ({reason}); check the address and the access to it.") from error


def _brought(store: ObjectStore, folder: Path) -> list[str]:
    """Brings what the next audit has to look at of an earlier one; the names of all its files."""
    names = store.names("")
    summary = next((name for name in (_LAST, _ASIDE) if name in names), None)
    if names and summary is None:
        raise OutputError(
            f"{store.address} is not empty and not the folder of an earlier audit, so it is left as it is; choose "
            "another --out."
        )
    folder.mkdir(parents=True)
    for name, here in [(summary, _LAST), *((name, name) for name in _EARLIER)]:
        if name in names:
            store.fetch(name, folder / here)
    try:
        files = json.loads((folder / "run.json").read_bytes())["files"]
        return [name for name in names if name in files or name in (_LAST, _ASIDE)]
    except (OSError, ValueError, KeyError, TypeError):
        return [name for name in names if name in (_LAST, _ASIDE)]


def _copied(store: ObjectStore, folder: Path, earlier: list[str]) -> None:
    names = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    if _LAST in earlier:
        store.move(_LAST, _ASIDE)
        earlier = [*earlier, _ASIDE]
    for name in [*(one for one in names if one != _LAST), _LAST]:
        store.put(name, folder / name)
    for name in set(earlier) - set(names):
        store.remove(name)
