"""Puts the compiled rule book into the wheel, so that an installed auditor never parses TOML to start.

Named in pyproject.toml; only a build imports it.
"""

from __future__ import annotations

import sys
from pathlib import Path

from setuptools.command.build_py import build_py

_CHECKOUT = Path(__file__).resolve().parents[2]


class BuildWithBook(build_py):
    """Builds as usual, then compiles the rule files that were copied."""

    def run(self) -> None:
        """An editable install copies nothing; there the user's cache serves."""
        super().run()
        folder = Path(self.build_lib) / "auditor" / "rules"
        if not self.editable_mode and folder.is_dir():
            sys.path.insert(0, str(_CHECKOUT))
            # Only now that the checkout is on the path: a build installs nothing first.
            from auditor.claims.terms.lexicon import cut
            from auditor.rulebook.built_in import write_shipped
            from auditor.rulebook.texts import write_shipped_texts

            write_shipped(folder)
            write_shipped_texts(folder, cut)
