"""Every test of a ledger runs on a file and on a real PostgreSQL server."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from tests.postgres_server import running_postgres

_numbers = itertools.count()


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The URL of a server of its own."""
    with running_postgres() as url:
        yield url.replace("+psycopg", "")


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where an empty ledger is."""
    if request.param == "sqlite":
        return str(tmp_path / "nights.db")
    url: str = request.getfixturevalue("server")
    name = f"ledger_{next(_numbers)}"
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    return url.rsplit("/", 1)[0] + f"/{name}"
