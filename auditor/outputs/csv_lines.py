"""Lines of CSV as every reader takes them: also a bare carriage return is quoted, which many read as a line's end."""

from __future__ import annotations

import re
from collections.abc import Iterable

_QUOTED = re.compile('[,"\r\n]')


def csv_line(cells: Iterable[object]) -> str:
    """One record with its line end; what is missing is an empty cell."""
    return ",".join(_cell("" if cell is None else str(cell)) for cell in cells) + "\n"


def _cell(text: str) -> str:
    doubled = text.replace('"', '""')
    return f'"{doubled}"' if _QUOTED.search(text) else text
