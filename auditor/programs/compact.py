"""JSON as all answers write it: compact, and in the letters of the listing."""

from __future__ import annotations

import json

compact_json = json.JSONEncoder(ensure_ascii=False, separators=(",", ":")).encode
