"""An output folder in an object store: built here, then copied there, `summary.json` last.

While an audit is being copied there is no `summary.json`, so that whoever waits for it never sees half of one.
"""

from __future__ import annotations

import contextlib
import json
import secrets
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path, PurePosixPath
from typing import Any

from auditor.errors import OutputError
from auditor.feeds.spool import spool_folder

_LAST = "summary.json"
_ASIDE = "summary.earlier.json"  # what it is called while another audit is copied over its own
_EARLIER = ("run.json", "report.xlsx")  # of an earlier audit, beside its summary: what the next one has to look at
_CHUNK_BYTES = 1 << 20


def is_remote(out: str | Path) -> bool:
    """Whether an output folder is a URL."""
    return "://" in str(out)


@contextlib.contextmanager
def built_here(out: str | Path, stage: Callable[[str], None]) -> Iterator[Path]:
    """The folder to build an audit in: `out` itself, or one of this machine that is copied to its URL afterwards."""
    if not is_remote(out):
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
        store, root = _opened(url)
        earlier = _brought(store, root, folder, url)
    yield folder
    with _said(url):
        _copied(store, root, folder, earlier)


@contextlib.contextmanager
def _said(url: str) -> Iterator[None]:
    try:
        yield
    except OutputError:
        raise
    except Exception as error:
        reason = (str(error).strip().splitlines() or [type(error).__name__])[0][:300].rstrip(".")
        raise OutputError(f"{url} cannot be written ({reason}); check the address and the access to it.") from error


def _opened(url: str) -> tuple[Any, str]:
    # Start-up: few runs write to a store.
    from pyarrow import fs

    store, root = fs.FileSystem.from_uri(url.rstrip("/"))
    return store, root


def _names(store: Any, root: str) -> list[str]:
    # Start-up: few runs write to a store.
    from pyarrow import fs

    found = store.get_file_info(fs.FileSelector(root, recursive=True, allow_not_found=True))
    return sorted(one.path[len(root) + 1 :] for one in found if one.type == fs.FileType.File)


def _brought(store: Any, root: str, folder: Path, url: str) -> list[str]:
    """Brings what the next audit has to look at of an earlier one; the names of all its files."""
    names = _names(store, root)
    summary = next((name for name in (_LAST, _ASIDE) if name in names), None)
    if names and summary is None:
        raise OutputError(
            f"{url} is not empty and not the folder of an earlier audit, so it is left as it is; choose another --out."
        )
    folder.mkdir(parents=True)
    for name, here in [(summary, _LAST), *((name, name) for name in _EARLIER)]:
        if name in names:
            with store.open_input_stream(f"{root}/{name}", compression=None) as stream:
                (folder / here).write_bytes(stream.read())
    try:
        files = json.loads((folder / "run.json").read_bytes())["files"]
        return [name for name in names if name in files or name in (_LAST, _ASIDE)]
    except (OSError, ValueError, KeyError, TypeError):
        return [name for name in names if name in (_LAST, _ASIDE)]


def _copied(store: Any, root: str, folder: Path, earlier: list[str]) -> None:
    names = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    if _LAST in earlier:
        store.move(f"{root}/{_LAST}", f"{root}/{_ASIDE}")
        earlier = [*earlier, _ASIDE]
    for name in [*(one for one in names if one != _LAST), _LAST]:
        with (
            (folder / name).open("rb") as file,
            store.open_output_stream(f"{root}/{name}", compression=None) as out,
        ):
            shutil.copyfileobj(file, out, _CHUNK_BYTES)
    for name in set(earlier) - set(names):
        store.delete_file(f"{root}/{name}")
