"""What is kept of a rule book is believed only where nobody else can have written it, and nothing of it changed."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from auditor.rulebook.kept import FORMAT, keep_book, kept_book, sealed

DATA = {"digest": "d" * 64, "format": FORMAT, "rules": [{"id": "shop-rule"}]}


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A book in the cache."""
    path = tmp_path / "cache" / "x.book"
    keep_book(path, DATA)
    return path


def test_what_was_kept_is_found_again(kept: Path) -> None:
    assert kept_book(kept, "d" * 64) == DATA


def test_it_is_the_users_own_and_nobody_elses(kept: Path) -> None:
    assert kept.stat().st_mode & 0o777 == 0o600
    assert kept.parent.stat().st_mode & 0o777 == 0o700


def test_it_is_passed_over_for_other_sources(kept: Path) -> None:
    assert kept_book(kept, "e" * 64) is None


def test_it_is_passed_over_where_a_byte_changed(kept: Path) -> None:
    content = kept.read_bytes()
    kept.write_bytes(content.replace(b"shop-rule", b"shop-role"))
    assert kept_book(kept, "d" * 64) is None


def test_it_is_passed_over_where_it_is_cut_short(kept: Path) -> None:
    kept.write_bytes(kept.read_bytes()[:-4])
    assert kept_book(kept, "d" * 64) is None


@pytest.mark.parametrize("mode", [0o620, 0o602])
def test_it_is_passed_over_where_others_may_write_it(kept: Path, mode: int) -> None:
    kept.chmod(mode)
    assert kept_book(kept, "d" * 64) is None


def test_it_is_passed_over_where_others_may_write_its_folder(kept: Path) -> None:
    kept.parent.chmod(0o777)
    assert kept_book(kept, "d" * 64) is None


def test_a_folder_that_others_may_write_is_closed_when_something_is_kept(kept: Path) -> None:
    kept.parent.chmod(0o775)
    keep_book(kept, DATA)
    assert kept.parent.stat().st_mode & 0o777 == 0o700
    assert kept_book(kept, "d" * 64) == DATA


def test_it_is_passed_over_where_somebody_else_owns_it(kept: Path) -> None:
    assert kept_book(kept, "d" * 64, owner=os.geteuid() + 1) is None


def test_it_is_passed_over_where_another_user_asks(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: kept.stat().st_uid + 1)
    assert kept_book(kept, "d" * 64) is None


def test_it_is_passed_over_where_the_name_only_points_to_it(kept: Path) -> None:
    other = kept.with_name("y.book")
    other.symlink_to(kept)
    assert kept_book(other, "d" * 64) is None


def test_a_sealed_book_begins_with_the_digest_of_the_rest() -> None:
    seal, _, body = sealed(DATA).partition(b"\n")
    assert seal.decode() == hashlib.sha256(body).hexdigest()
