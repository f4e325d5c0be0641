"""JSON as all requests are read and all answers written: by the standard, compact, in the letters of the listing."""

from __future__ import annotations

import json


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no JSON value")


compact_json = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode
strict_json = json.JSONDecoder(parse_constant=_no_constant)  # NaN and Infinity are Python's, not JSON's
