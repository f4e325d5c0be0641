"""What a service is told when it starts; kept as text so that every process of it can be told the same."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

ENVIRONMENT = "AUDITOR_SERVICE"  # of the processes of one service
TOKEN = "AUDITOR_TOKEN"  # what a caller has to show, where it is set


@dataclass(frozen=True, slots=True)
class ServiceSettings:
    """The rule book in force and the limits."""

    rules: str | None = None  # a folder of own rules
    policy: str | None = None  # a policy file
    hold_from: str | None = None
    market: str | None = None
    body_bytes: int = 1_000_000  # of a listing, a marking or a pair
    seconds: float = 20.0  # that nothing may come of a body
    queue: int = 64  # requests at work at once; one more is told to come back

    def as_text(self) -> str:
        """As one line, for `from_text`."""
        return json.dumps(asdict(self))

    @classmethod
    def from_text(cls, text: str) -> ServiceSettings:
        """What `as_text` wrote; the usual settings for an empty text."""
        return cls(**json.loads(text)) if text else cls()
