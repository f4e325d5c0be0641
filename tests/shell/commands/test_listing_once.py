"""What is given to `auditor listing` is decoded once, however it comes."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from auditor.programs import stream
from auditor.shell.commands import listing as command
from tests.shell.running import InProcess

GOOD = {"id": "A-1", "marking": "225/65R17 102H", "max_load_kg": 850}


def _counted(decode: Callable[..., Any], seen: list[str]) -> Callable[..., Any]:
    def counting(text: str, *more: Any, **named: Any) -> Any:
        seen.append(text if isinstance(text, str) else "")
        return decode(text, *more, **named)

    return counting


@pytest.mark.parametrize("options", [(), ("--json",)])
@pytest.mark.parametrize("form", ["lines", "array", "object", "blanks"])
def test_every_listing_is_decoded_once(
    form: str, options: tuple[str, ...], auditor: InProcess, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[str] = []

    class Strict:
        decode = staticmethod(_counted(stream.strict_json.decode, seen))

    monkeypatch.setattr(stream, "strict_json", Strict)
    monkeypatch.setattr(command.json, "loads", _counted(json.loads, seen))
    texts = {
        "lines": "\n".join(json.dumps({**GOOD, "id": f"A-{number}"}) for number in range(5)),
        "array": json.dumps([GOOD, GOOD]),
        "object": json.dumps(GOOD),
        "blanks": f"\n\n{json.dumps(GOOD)}\n\n\n{json.dumps(GOOD)}\n\n",
    }
    ended = auditor("listing", *options, stdin=texts[form])
    assert ended.code == 0
    decoded = [text for text in seen if '"A-' in text]
    listings = {"lines": 5, "array": 1, "object": 1, "blanks": 2}[form]
    # The first line is looked at to tell lines from one text; a text of lines is then read as lines.
    assert len(decoded) == listings + (form in ("lines", "blanks"))
