"""What must hold whatever is fed: no internal error, one feed lost at most, accounts, both paths equal, same bytes."""

from __future__ import annotations

import resource
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq

from auditor.engine.progress import progress
from auditor.engine.run import Settings, run_audit
from auditor.errors import AuditorError
from auditor.feeds.locate import find_feeds
from auditor.feeds.model import Limits
from auditor.mapping.maps import load_maps
from auditor.rulebook.book import load_book
from tests.trials.both_paths import differing

GOOD = "sku,marking,max_load_kg\n1,225/65R17 102H,850\n2,225/65R17 102H,950\n"
CLOCK = "run.json"
MOST_SECONDS_PER_FEED, MOST_SECONDS_PER_MIB = 3.0, 4.0
MOST_RESIDENT_KIB = 2 << 20
LIMITS = Limits(unpacked_bytes=256 << 20, workbook_memory_bytes=1 << 30, workbook_seconds=20)
BOOK = load_book()


class BrokenInvariantError(AssertionError):
    """Something that must hold does not; the text says what."""


def check_feeds(folder: Path, names: Sequence[str], both: bool = False) -> tuple[int, int]:
    """Audits files of `folder` beside a good one; how many feeds were read and lost.

    With `both`, once more with two workers, which must give the same bytes.
    """
    (folder / "good.csv").write_text(GOOD)
    args = [str(folder / "good.csv"), *(_as_argument(folder / name) for name in names)]
    size = sum((folder / name).stat().st_size for name in names)
    before = time.process_time()
    summary = _run(args, folder / "one", 1)
    seconds = time.process_time() - before
    _check_summary(summary, args, folder / "one")
    if seconds > 2 + MOST_SECONDS_PER_FEED * len(names) + MOST_SECONDS_PER_MIB * size / (1 << 20):
        raise BrokenInvariantError(f"{size:,} bytes took {seconds:.1f} s")
    resident = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    if resident > MOST_RESIDENT_KIB:
        raise BrokenInvariantError(f"the process took {resident:,} KiB")
    if both:
        _run(args, folder / "two", 2)
        _check_same(folder / "one", folder / "two")
    return len(summary["feeds"]) - 1, len(summary["unreadable_feeds"])


def _as_argument(path: Path) -> str:
    return f"sql+sqlite:///{path}#feed" if path.suffix == ".db" else str(path)


def _run(args: Sequence[str], out: Path, workers: int) -> Mapping[str, Any]:
    with progress("none") as silent:
        try:
            settings = Settings(BOOK, workers=workers, limits=LIMITS, apply="certain", workbook=True)
            return run_audit(args, out, settings, silent).summary
        except AuditorError as error:
            raise BrokenInvariantError(f"the whole run ended: {error}") from error


def _check_summary(summary: Mapping[str, Any], args: Sequence[str], out: Path) -> None:
    named = {entry["feed"] for entry in summary["feeds"]}
    for lost in summary["unreadable_feeds"]:
        if "nobody foresaw" in lost["reason"] or "please report" in lost["reason"] or "\n" in lost["reason"]:
            raise BrokenInvariantError(f"{lost['feed']}: {lost['reason']}")
    good = next((entry for entry in summary["feeds"] if entry["feed"] == "good.csv"), None)
    if good is None or (good["records"], good["released"], good["held"]) != (2, 1, 1):
        raise BrokenInvariantError("the good feed was not audited")
    located = find_feeds([arg for arg in args if not arg.startswith("sql+")])
    lost_names = {entry["feed"].split(" (")[0] for entry in summary["unreadable_feeds"]}
    for found in located:
        if found.name not in named | lost_names:
            raise BrokenInvariantError(f"{found.name} is neither audited nor lost")
    for entry in summary["feeds"]:
        _check_parts(entry, out)


def _check_parts(entry: Mapping[str, Any], out: Path) -> None:
    """The released and held files of some formats hold as many records as the summary says."""
    if entry["format"] not in ("jsonl", "parquet") or entry["feed"].endswith((".gz", ".bz2", ".zst")):
        return
    for part in ("released", "held"):
        path = out / part / entry["feed"]
        if not entry[part] or not path.exists():
            continue
        if entry["format"] == "parquet":
            records = pq.read_metadata(path).num_rows
        else:
            records = len([line for line in path.read_bytes().split(b"\n") if line.strip()])
        if records != entry[part]:
            raise BrokenInvariantError(f"{part}/{entry['feed']} holds {records} records, not {entry[part]}")


def _check_same(one: Path, other: Path) -> None:
    files = [{path.relative_to(root) for path in root.rglob("*") if path.is_file()} for root in (one, other)]
    if files[0] != files[1]:
        raise BrokenInvariantError(f"two workers write other files: {sorted(map(str, files[0] ^ files[1]))[:5]}")
    for name in sorted(files[0]):
        if name.name != CLOCK and (one / name).read_bytes() != (other / name).read_bytes():
            raise BrokenInvariantError(f"two workers write another {name}")


def check_listings(listings: Sequence[dict[str, str]]) -> None:
    """Each listing alone and all of them as a block must give the same findings."""
    try:
        unlike = differing(listings)
    except Exception as error:
        raise BrokenInvariantError(f"{type(error).__name__}: {error}") from error
    if unlike:
        raise BrokenInvariantError(f"the two paths differ on {[listings[number] for number in unlike[:3]]!r}")


def check_map(text: bytes, folder: Path) -> bool:
    """A map is one, or an error of one sentence; with one that is, a feed is audited or lost.  Whether it was one."""
    maps = folder / "maps"
    maps.mkdir(exist_ok=True)
    (maps / "north.toml").write_bytes(text)
    (folder / "north.csv").write_text(GOOD)
    try:
        book = load_maps(maps)
    except AuditorError as error:
        if "\n" in str(error):
            raise BrokenInvariantError(f"more than one line: {error}") from error
        return False
    (folder / "good.csv").write_text(GOOD)
    with progress("none") as silent:
        settings = Settings(BOOK, workers=1, maps=book, workbook=False)
        summary = run_audit(
            [str(folder / "north.csv"), str(folder / "good.csv")], folder / "out", settings, silent
        ).summary
    for lost in summary["unreadable_feeds"]:
        if "nobody foresaw" in lost["reason"]:
            raise BrokenInvariantError(lost["reason"])
    return True


def check_policy(text: bytes, folder: Path) -> bool:
    """A policy is one, or an error of one sentence.  Whether it was one."""
    path = folder / "policy.toml"
    path.write_bytes(text)
    try:
        load_book(policy=path)
    except AuditorError as error:
        if "\n" in str(error):
            raise BrokenInvariantError(f"more than one line: {error}") from error
        return False
    return True
