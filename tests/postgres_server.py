"""A PostgreSQL server of the tests' own, in a temporary folder."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest


def postgres_programs() -> Path | None:
    """The folder of the newest installed PostgreSQL."""
    found = shutil.which("initdb")
    if found:
        return Path(found).parent
    versions = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return versions[-1].parent if versions else None


@contextlib.contextmanager
def running_postgres() -> Iterator[str]:
    """The URL of a server of its own.  Where CI has none that is a failure, elsewhere the test is left out."""
    programs = postgres_programs()
    if programs is None:
        if os.environ.get("CI"):
            pytest.fail("no PostgreSQL is installed")
        pytest.skip("no PostgreSQL is installed")
    with tempfile.TemporaryDirectory(prefix="auditor-pg-") as name:  # short, for the socket's path
        folder = Path(name)
        owner = None
        if os.geteuid() == 0:  # the server refuses to run as root
            owner = "postgres"
            user = pwd.getpwnam(owner)
            os.chown(folder, user.pw_uid, user.pw_gid)
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]

        def run(*words: str) -> None:
            done = subprocess.run(words, user=owner, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT)
            assert done.returncode == 0, done.stdout.decode()

        data, control = str(folder / "data"), str(programs / "pg_ctl")
        run(str(programs / "initdb"), "-D", data, "-U", "auditor", "-A", "trust", "-N")
        options = f"-p {port} -k {folder} -c listen_addresses=127.0.0.1 -c fsync=off"
        log = folder / "log"
        subprocess.run(
            [control, "-D", data, "-o", options, "-w", "-l", str(log), "start"],
            user=owner,
            cwd=folder,
            check=True,
            stdout=subprocess.DEVNULL,
        )
        try:
            yield f"postgresql+psycopg://auditor@127.0.0.1:{port}/postgres"
        finally:
            run(control, "-D", data, "-m", "immediate", "-w", "stop")
