"""Compiled templates are kept for the next run, and believed only where nobody else can have written them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import jinja2
import pytest

from auditor.outputs.templates import templates_in


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of one template, and a cache of its own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    folder = tmp_path / "templates"
    folder.mkdir()
    (folder / "page.html").write_text("<b>{{ said }}</b>")
    return folder


def _rendered(folder: Path) -> tuple[str, bool]:
    """What the template gives, and whether it had to be compiled."""
    compiled = []
    environment = templates_in(folder)
    generate = environment._generate

    def counted(*given: Any, **named: Any) -> str:
        compiled.append(1)
        return generate(*given, **named)

    environment._generate = counted  # type: ignore[method-assign]
    return environment.get_template("page.html").render(said="<15 kg>"), bool(compiled)


def _kept(folder: Path) -> Path:
    (path,) = (folder.parent / "cache" / "tire-listing-auditor").glob("*.template")
    return path


def test_a_template_is_compiled_once(folder: Path) -> None:
    assert _rendered(folder) == ("<b>&lt;15 kg&gt;</b>", True)
    assert _rendered(folder) == ("<b>&lt;15 kg&gt;</b>", False)
    assert _kept(folder).stat().st_mode & 0o777 == 0o600


def test_a_template_that_was_changed_is_compiled_anew(folder: Path) -> None:
    _rendered(folder)
    (folder / "page.html").write_text("<i>{{ said }}</i>")
    assert _rendered(folder) == ("<i>&lt;15 kg&gt;</i>", True)
    assert _rendered(folder) == ("<i>&lt;15 kg&gt;</i>", False)


def test_what_others_may_have_written_is_not_run(folder: Path) -> None:
    _rendered(folder)
    _kept(folder).chmod(0o662)
    assert _rendered(folder)[1]


def test_what_was_changed_or_cut_short_is_not_run(folder: Path) -> None:
    _rendered(folder)
    path = _kept(folder)
    whole = path.read_bytes()
    path.write_bytes(whole[:-3])
    assert _rendered(folder)[1]
    path.write_bytes(whole.replace(b"<b>", b"<a>"))
    assert _rendered(folder) == ("<b>&lt;15 kg&gt;</b>", True)


def test_a_home_that_cannot_be_written_is_no_fault(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder.parent / "file").write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(folder.parent / "file"))
    assert _rendered(folder)[1]
    assert _rendered(folder)[1]


def test_a_missing_value_is_an_error(folder: Path) -> None:
    _rendered(folder)
    with pytest.raises(jinja2.UndefinedError):
        templates_in(folder).get_template("page.html").render()
