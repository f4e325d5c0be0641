"""How pages and letters are filled in: one way for all of them."""

from __future__ import annotations

from pathlib import Path

import jinja2

_BRIEF = 120  # characters


def templates_in(folder: Path) -> jinja2.Environment:
    """The templates of a folder: markup in values is escaped, and a value that is missing is an error."""
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(folder),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["count"] = lambda number: f"{number:,}"
    environment.filters["brief"] = lambda text: text if len(text) <= _BRIEF else f"{text[: _BRIEF - 1]}…"
    return environment
