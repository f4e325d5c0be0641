"""How pages and letters are filled in: one way for all of them."""

from __future__ import annotations

import sys
from pathlib import Path

import jinja2

from auditor.rulebook.kept import in_cache, keep_bytes, kept_bytes
from auditor.version import __version__

_BRIEF = 120  # characters
_MADE_BY = f"{__version__}-{jinja2.__version__}-{sys.implementation.cache_tag}"


class _KeptTemplates(jinja2.BytecodeCache):
    """Keeps what templates are compiled to in the user's cache: compiling those of a report takes longer than ten rows.

    It is believed where nobody else can have written it, and where it fits the template's own text.
    """

    def load_bytecode(self, bucket: jinja2.bccache.Bucket) -> None:
        """Fills the bucket, where there is something to be believed."""
        found = kept_bytes(_kept_at(bucket))
        if found is not None:
            bucket.bytecode_from_string(found)

    def dump_bytecode(self, bucket: jinja2.bccache.Bucket) -> None:
        """Keeps what is in the bucket."""
        keep_bytes(_kept_at(bucket), bucket.bytecode_to_string())


def _kept_at(bucket: jinja2.bccache.Bucket) -> Path | None:
    return in_cache(f"{_MADE_BY}-{bucket.key[:24]}.template")


def templates_in(folder: Path) -> jinja2.Environment:
    """The templates of a folder: markup in values is escaped, and a value that is missing is an error."""
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(folder),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        bytecode_cache=_KeptTemplates(),
    )
    environment.filters["count"] = lambda number: f"{number:,}"
    environment.filters["brief"] = lambda text: text if len(text) <= _BRIEF else f"{text[: _BRIEF - 1]}…"
    return environment
