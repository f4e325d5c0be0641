"""An open-source server that speaks the protocol of object stores, for tests: nothing of it outlives them."""

from __future__ import annotations

import contextlib
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pyarrow.fs as fs
import pytest

BUCKET = "s3://shop"
_STARTS_S = 60.0


@contextmanager
def object_store() -> Iterator[str]:
    """The address of an empty bucket, which this process and those that it starts reach by their environment."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "moto.server", "-H", "127.0.0.1", "-p", str(port)]
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    patch = pytest.MonkeyPatch()
    try:
        patch.setenv("AWS_ENDPOINT_URL", f"http://127.0.0.1:{port}")
        patch.setenv("AWS_REGION", "us-east-1")
        patch.setenv("AWS_EC2_METADATA_DISABLED", "true")
        for name in ("AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"):
            patch.setenv(name, "of-a-test")
        _make_bucket(server)
        yield BUCKET
    finally:
        patch.undo()
        server.kill()
        server.wait()


def _make_bucket(server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + _STARTS_S
    while True:
        assert server.poll() is None and time.monotonic() < until
        try:
            store, _ = fs.FileSystem.from_uri(f"{BUCKET}?allow_bucket_creation=true")
            store.create_dir(BUCKET.removeprefix("s3://"))
            return
        except OSError:
            time.sleep(0.2)


def objects(under: str) -> dict[str, bytes]:
    """All objects below an address, by their names there."""
    store, root = fs.FileSystem.from_uri(under)
    found = store.get_file_info(fs.FileSelector(root, recursive=True, allow_not_found=True))
    there: dict[str, bytes] = {}
    for path in sorted(one.path for one in found if one.type == fs.FileType.File):
        with contextlib.suppress(FileNotFoundError):  # others may remove it meanwhile
            there[path[len(root) + 1 :]] = store.open_input_stream(path, compression=None).read()
    return there


def put(folder: Path, under: str) -> None:
    """Copies a folder of this machine to an address."""
    for path in folder.rglob("*"):
        if path.is_file():
            put_bytes(f"{under}/{path.relative_to(folder).as_posix()}", path.read_bytes())


def put_bytes(address: str, content: bytes) -> None:
    """Makes an object."""
    store, path = fs.FileSystem.from_uri(address)
    with store.open_output_stream(path, compression=None) as out:
        out.write(content)
