"""What a start costs, and what one more listing costs once started."""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks.generator import FeedPlan, chunks, write_csv
from tests.benchmarks.measure import HOUSE, with_byte_code
from tests.benchmarks.report import Section, table
from tests.benchmarks.settings import Settings

STARTS = 20
WARM_LISTINGS = 2_000
HEAVY = ("numpy", "pyarrow", "pandas", "jsonschema", "rich", "jinja2")

BARE = "python -c pass"
LIBRARIES = "numpy, pyarrow.compute, pyarrow.csv, pyarrow.parquet, jinja2, xlsxwriter"  # what no audit does without
# What the installed `auditor` script does.
AUDITOR = ("-c", "import sys; from auditor.shell.cli import main; sys.exit(main())")
COMMANDS: dict[str, tuple[tuple[str, ...], str]] = {
    BARE: (("-c", "pass"), ""),
    "auditor --help": ((*AUDITOR, "--help"), "6"),
    "auditor listing": (
        (*AUDITOR, "listing", "--set", "marking=225/65R17 102H", "--set", "max_load_kg=850"),
        "15",
    ),
}
_LOADED = """
import sys
from auditor.shell.cli import main
sys.argv = ["auditor", *sys.argv[1:]]
try:
    code = main()
except SystemExit as ended:
    code = ended.code
print(code or 0, *(name for name in {heavy!r} if name in sys.modules), file=sys.stderr)
"""


def startup(settings: Settings) -> list[Section]:
    """Starts in turns, an audit that is little more than its start, then warm listings."""
    return [_starts(settings), _ten_rows(settings), _warm(settings)]


def _starts(settings: Settings) -> Section:
    section = Section(f"Start: medians of {STARTS} starts in turns")
    seconds: dict[str, list[float]] = {name: [] for name in COMMANDS}
    with tempfile.TemporaryDirectory() as cache:
        environment = _with_byte_code(cache)
        for occurrence in range(STARTS + 1):
            for name, (arguments, _) in COMMANDS.items():
                start = time.perf_counter()
                words = [sys.executable, *arguments]
                ended = subprocess.run(words, cwd=HOUSE, env=environment, capture_output=True, text=True)
                if ended.returncode:
                    last = (ended.stderr.strip() or "no output").splitlines()[-1]
                    section.problems += [] if occurrence else [f"{name} ended with code {ended.returncode}: {last}"]
                elif occurrence:  # the first turn writes byte code and fills the page cache
                    seconds[name].append(time.perf_counter() - start)
    settings.say("starts measured")
    floor = statistics.median(seconds[BARE])
    rows = []
    for name, (arguments, most) in COMMANDS.items():
        if seconds[name]:
            median = statistics.median(seconds[name])
            row = [f"`{name}`", f"{median * 1000:.0f}", f"{median / floor:.1f}", most]
            rows.append([*row, "" if name == BARE else heavy_modules(arguments[2:])])
    section.lines = table(["", "ms", f"x `{BARE}`", "at most", "heavy modules loaded"], rows)
    return section


def _ten_rows(settings: Settings) -> Section:
    section = Section(f"An audit of ten listings with all outputs: processor time, medians of {STARTS} in turns")
    spent: dict[str, list[float]] = {BARE: [], LIBRARIES: [], "auditor audit": []}
    with tempfile.TemporaryDirectory() as folder:
        feed, out = Path(folder) / "ten.csv", Path(folder) / "out"
        listings, _ = next(chunks(FeedPlan(records=10, free_texts=True)))
        write_csv(listings, feed)
        commands = {
            BARE: ("-c", "pass"),
            LIBRARIES: ("-c", f"import {LIBRARIES}"),
            "auditor audit": (*AUDITOR, "audit", str(feed), "--out", str(out), "--quiet"),
        }
        environment = _with_byte_code(str(Path(folder) / "code"))
        for occurrence in range(STARTS + 1):
            for name, arguments in commands.items():
                before = os.times()
                ended = subprocess.run([sys.executable, *arguments], cwd=HOUSE, env=environment, capture_output=True)
                after = os.times()
                if ended.returncode > 1:
                    section.problems.append(f"{name} ended with code {ended.returncode}")
                elif occurrence:
                    spent[name].append(after[2] + after[3] - before[2] - before[3])
    settings.say("audits of ten listings measured")
    most = {"auditor audit": "600"}
    rows = [
        [f"`{name}`", f"{statistics.median(one) * 1000:.0f}", f"{min(one) * 1000:.0f}", most.get(name, "")]
        for name, one in spent.items()
    ]
    section.lines = table(["", "ms", "least ms", "at most"], rows)
    return section


def _with_byte_code(cache: str) -> dict[str, str]:
    """An environment in which byte code is kept, as an installed package has it, whatever is set here."""
    return {**with_byte_code(), "PYTHONPYCACHEPREFIX": cache}


def heavy_modules(arguments: Sequence[str]) -> str:
    """Which modules that take long to import a command loads."""
    code = _LOADED.format(heavy=HEAVY)
    ended = subprocess.run([sys.executable, "-c", code, *arguments], cwd=HOUSE, capture_output=True, text=True)
    _, *loaded = ended.stderr.strip().splitlines()[-1].split()
    return ", ".join(loaded) or "none"


def distinct_listings(count: int) -> list[dict[str, str]]:
    """Listings that differ in marking, values and texts, without their blank cells."""
    table, _ = next(chunks(FeedPlan(records=count, distinct_markings=count)))
    return [{name: text for name, text in row.items() if text is not None} for row in table.to_pylist()]


def _warm(settings: Settings) -> Section:
    section = Section(f"Warm: one of {WARM_LISTINGS:,} distinct listings, all rules on")
    lines = [json.dumps(listing) for listing in distinct_listings(WARM_LISTINGS)]
    rows: list[list[str]] = []
    try:
        floor, called = _per_call(lines)
        rows.append(["`json.loads` and `json.dumps`", f"{floor * 1e6:.1f}", "1.0", ""])
        rows.append(["`audit_listing`", f"{called * 1e6:.1f}", f"{called / floor:.1f}", "40"])
        streamed = _per_line(lines)
        rows.append(["`auditor listing --follow`", f"{streamed * 1e6:.1f}", f"{streamed / floor:.1f}", "40"])
    except (AttributeError, ImportError, RuntimeError) as wrong:
        section.problems.append(str(wrong))
    settings.say("warm listings measured")
    section.lines = table(["", "microseconds", "ratio", "at most"], rows)
    return section


def _per_call(lines: Sequence[str]) -> tuple[float, float]:
    """Seconds per listing of the JSON round trip and of `audit_listing`, in turns of 200 listings."""
    import auditor

    listings = [json.loads(line) for line in lines]
    auditor.audit_listing(listings[0])
    floors, calls = [], []
    for start in range(0, len(lines), 200):
        began = time.perf_counter()
        for line in lines[start : start + 200]:
            json.dumps(json.loads(line))
        between = time.perf_counter()
        for listing in listings[start : start + 200]:
            auditor.audit_listing(listing)
        floors.append((between - began) / 200)
        calls.append((time.perf_counter() - between) / 200)
    return statistics.median(floors), statistics.median(calls)


def _per_line(lines: Sequence[str]) -> float:
    """Seconds per line of the stream, its start taken off."""

    def seconds(sent: Sequence[str]) -> float:
        start = time.perf_counter()
        ended = subprocess.run(
            [sys.executable, *AUDITOR, "listing", "--follow"],
            cwd=HOUSE,
            input="\n".join(sent) + "\n",
            capture_output=True,
            text=True,
        )
        if len(ended.stdout.splitlines()) != len(sent):
            last = (ended.stderr.strip() or "no output").splitlines()[-1]
            raise RuntimeError(f"auditor listing --follow did not answer every line: {last}")
        return time.perf_counter() - start

    one = statistics.median(seconds(lines[:1]) for _ in range(3))
    every = statistics.median(seconds(lines) for _ in range(3))
    return (every - one) / (len(lines) - 1)
