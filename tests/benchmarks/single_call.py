"""`python -m tests.benchmarks.single_call`: what a listing costs a warm program, beside decoding and encoding its JSON.

Medians of processor time in one process, in turns; only the ratios mean anything.
"""

from __future__ import annotations

import itertools
import json
import statistics
import time
from collections.abc import Callable

import auditor

RELEASED = {
    "supplier": "Harrowgate Lots",
    "sku": "H-1",
    "brand": "Fenmarch",
    "model": "Vale 3",
    "marking": "225/65R17 102H",
    "load_index": "102",
    "speed_symbol": "H",
    "section_width_mm": "225",
    "aspect_ratio": "65",
    "rim_diameter_in": "17",
    "max_load_kg": "850",
    "max_load_lb": "1,874",
    "max_speed_kmh": "210",
    "max_speed_mph": "130",
    "max_pressure_psi": "51",
    "max_pressure_kpa": "350",
    "season": "all-season",
    "title": "Fenmarch Vale 3 225/65R17 102H all-season tire",
    "description": "The Fenmarch Vale 3 carries up to 850 kg (1,874 lb) at speeds up to 210 km/h. Fits 17-inch rims.",
}
HELD = {**RELEASED, "max_load_kg": "950"}
ROUNDS, CALLS = 15, 100


def main() -> None:
    """Prints microseconds and ratios for a released and a held listing, with the same and with new texts."""
    book = auditor.load_book()
    number = itertools.count()

    def unseen(listing: dict[str, str]) -> dict[str, str]:
        new = f"Vale {next(number)}"
        return {name: text.replace("Vale 3", new) for name, text in listing.items()}

    for word, listing in (("released", RELEASED), ("held", HELD)):
        text = json.dumps(listing)
        assert auditor.audit_listing(listing, book=book).released == (word == "released")
        calls: dict[str, Callable[[], object]] = {
            "json": lambda text=text: json.dumps(json.loads(text)),  # type: ignore[misc]
            "the same again": lambda listing=listing: auditor.audit_listing(listing, book=book),  # type: ignore[misc]
            "with new texts": lambda listing=listing: auditor.audit_listing(unseen(listing), book=book),  # type: ignore[misc]
        }
        seconds: dict[str, list[float]] = {name: [] for name in calls}
        for _ in range(ROUNDS):
            for name, call in calls.items():
                begun = time.process_time()
                for _ in range(CALLS):
                    call()
                seconds[name].append((time.process_time() - begun) / CALLS)
        base = statistics.median(seconds["json"])
        for name, taken in seconds.items():
            middle = statistics.median(taken)
            print(f"{word:8} {name:15} {1e6 * middle:7.1f} us {middle / base:6.1f} x json")


if __name__ == "__main__":
    main()
