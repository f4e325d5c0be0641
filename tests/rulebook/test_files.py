"""The compiled rule book: taken where it fits its sources byte for byte, made anew everywhere else."""

from __future__ import annotations

import json
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest

from auditor.errors import RuleBookError
from auditor.rulebook import built_in
from auditor.rulebook.built_in import compiled, write_shipped
from auditor.rulebook.files import digest, sources
from auditor.rulebook.kept import SHIPPED
from auditor.rules_folder import rules_folder
from tests.shell.running import HOUSE


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the rule book, with a cache of its own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    copy = tmp_path / "rules"
    shutil.copytree(rules_folder(), copy, ignore=shutil.ignore_patterns("__pycache__", SHIPPED))
    return copy


def load(folder: Path) -> dict[str, Any]:
    return compiled(folder, digest(sources(folder)))


def no_toml(path: Path) -> dict[str, Any]:
    raise AssertionError(f"{path} was parsed anew")


def plain(data: dict[str, Any]) -> Any:
    return json.loads(json.dumps(data))


def test_the_second_start_parses_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first = load(folder)
    monkeypatch.setattr(built_in, "read_toml", no_toml)
    assert load(folder) == plain(first)


def test_what_a_wheel_carries_is_what_the_sources_say(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    fresh = load(folder)
    shutil.rmtree(folder.parent / "cache")
    write_shipped(folder)
    monkeypatch.setattr(built_in, "read_toml", no_toml)
    assert load(folder) == plain(fresh)
    assert not (folder.parent / "cache").exists()


def test_a_changed_rule_file_is_read_anew(folder: Path) -> None:
    write_shipped(folder)
    policy = folder / "policy.toml"
    policy.write_text(policy.read_text(encoding="utf-8").replace('hold_from = "major"', 'hold_from = "minor"'), "utf-8")
    assert load(folder)["policy"]["hold_from"] == "minor"


@pytest.mark.parametrize("content", ["", "[]", "null", "{", '{"digest": 5}', "\x00"])
def test_a_spoiled_cache_is_passed_over(folder: Path, content: str) -> None:
    fresh = load(folder)
    (kept,) = (folder.parent / "cache").rglob("*.book")
    before = kept.read_bytes()
    kept.write_text(content, encoding="utf-8")
    assert load(folder) == fresh
    assert kept.read_bytes() == before


@pytest.mark.parametrize("home", ["/proc/none", "relative"])
def test_without_a_place_to_keep_it_the_book_is_read_all_the_same(
    folder: Path, monkeypatch: pytest.MonkeyPatch, home: str
) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", home)
    assert load(folder)["rules"]
    assert not Path("relative").exists()


def test_a_bad_rule_is_named_with_file_rule_and_key(folder: Path) -> None:
    path = folder / "load.toml"
    path.write_text(path.read_text(encoding="utf-8").replace('grade = "critical"', 'grade = "severe"', 1), "utf-8")
    with pytest.raises(RuleBookError) as raised:
        load(folder)
    assert str(raised.value).startswith(f"{path}: rule 'load-overstated': grade: 'severe' is not one of ")


def test_the_wheel_holds_every_package() -> None:
    listed = set(
        tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["packages"]
    )
    own = {".".join(path.relative_to(HOUSE).parent.parts) for path in (HOUSE / "auditor").rglob("__init__.py")}
    rules = {
        ".".join(("auditor", *path.relative_to(HOUSE).parent.parts)) for path in (HOUSE / "rules").rglob("__init__.py")
    }
    assert listed == own | rules
