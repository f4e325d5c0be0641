"""Makes and checks batches of hostile inputs, one after the other; each batch follows from the seed and its number."""

from __future__ import annotations

import random
import shutil
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

from tests.attack.invariants import BOOK, BrokenInvariantError, check_feeds, check_listings, check_map, check_policy
from tests.attack.mutations import hostile, odd_text
from tests.attack.seeds import LISTINGS, sound_feeds
from tests.judging.test_same_verdict import FIELDS, TEXTS

HOUSE = Path(__file__).resolve().parents[2]
FEEDS_AT_ONCE, LISTINGS_AT_ONCE = 20, 40
KINDS = ("feeds", "feeds", "feeds", "listings", "maps", "policies")


class FailureError(Exception):
    """An input that breaks what must hold."""

    def __init__(self, kind: str, inputs: dict[str, bytes], why: str) -> None:
        super().__init__(f"{kind}: {why}")
        self.inputs = inputs


@cache
def _sound() -> dict[str, bytes]:
    return sound_feeds()


def hostile_feeds(chance: random.Random) -> dict[str, bytes]:
    """Files of one batch, their names numbered; some have the name of another format."""
    made: dict[str, bytes] = {}
    for number in range(FEEDS_AT_ONCE):
        name, content = chance.choice(list(_sound().items()))
        if chance.random() < 0.05:
            name = chance.choice(list(_sound()))
        made[f"{number:02}_{name}"] = hostile(content, chance)
    return made


def check_batch(seed: int, number: int) -> Counter[str]:
    """Makes and checks one batch; what was tried and what became of it.  Raises FailureError."""
    chance = random.Random(f"{seed}/{number}")
    kind = KINDS[number % len(KINDS)]
    with tempfile.TemporaryDirectory(prefix="attack-") as place:
        folder = Path(place)
        if kind == "feeds":
            return _feeds(folder, hostile_feeds(chance), both=number % 4 == 0)
        if kind == "listings":
            return _listings(chance)
        paths, check = _texts(kind)
        found: Counter[str] = Counter()
        for _ in range(6 if kind == "maps" else 2):
            text = hostile(chance.choice(paths).read_bytes(), chance)
            taken = _guarded(kind, {f"{kind}.toml": text}, lambda text=text: check(text, folder))  # type: ignore[misc]
            found[kind] += 1
            found[f"{kind} taken"] += bool(taken)
        return found


def _texts(kind: str) -> tuple[list[Path], Callable[[bytes, Path], bool]]:
    if kind == "maps":
        return sorted((HOUSE / "sample_catalogs" / "maps").glob("*.toml")), check_map
    return [HOUSE / "rules" / "policy.toml"], check_policy


def _guarded(kind: str, inputs: dict[str, bytes], check: Callable[[], object]) -> object:
    try:
        return check()
    except BrokenInvariantError as broken:
        raise FailureError(kind, inputs, str(broken)) from broken
    except Exception as error:
        where = traceback.extract_tb(error.__traceback__)[-1]
        why = f"{type(error).__name__}: {error} ({Path(where.filename).name}, line {where.lineno})"
        raise FailureError(kind, inputs, why) from error


def check_files(folder: Path, files: dict[str, bytes], both: bool) -> tuple[int, int]:
    """Checks feed files together, in a folder of their own; how many were read and lost."""
    shutil.rmtree(folder / "feeds", ignore_errors=True)
    place = folder / "feeds"
    place.mkdir()
    for name, content in files.items():
        (place / name).write_bytes(content)
    return check_feeds(place, list(files), both)


def _feeds(folder: Path, files: dict[str, bytes], both: bool) -> Counter[str]:
    try:
        read, lost = check_files(folder, files, both)
    except Exception:
        for name, content in files.items():  # which of them was it?
            one = {name: content}
            _guarded("feeds", one, lambda one=one: check_files(folder, one, both))  # type: ignore[misc]
        _guarded("feeds together", files, lambda: check_files(folder, files, both))
        return Counter({"feeds": len(files)})  # it does not come again
    return Counter({"feeds": len(files), "feeds read": read, "feeds lost": lost})


def hostile_listings(chance: random.Random) -> Iterator[dict[str, str]]:
    """Listings with odd texts in some of their fields."""
    for _ in range(LISTINGS_AT_ONCE):
        listing = dict(chance.choice(LISTINGS))
        for name in chance.sample(FIELDS, chance.randrange(4)):
            listing[name] = chance.choice(TEXTS[name])
        for name in chance.sample(sorted(listing), chance.choice([1, 1, 2])):
            listing[name] = odd_text(listing[name], chance)
        yield listing


def _listings(chance: random.Random) -> Counter[str]:
    listings = list(hostile_listings(chance))
    try:
        check_listings(listings)
    except BrokenInvariantError:
        for listing in listings:
            _guarded("listings", {"listing.json": repr(listing).encode()}, lambda one=listing: check_listings([one]))  # type: ignore[misc]
        raise
    return Counter({"listings": len(listings)})


def warm_up() -> None:
    """Loads what every batch needs, so that the first is not blamed for it."""
    assert BOOK.rules
    _sound()
