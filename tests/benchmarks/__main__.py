"""Measures the auditor against the bare read, its rivals and its own ceilings, and prints Markdown.

    python -m tests.benchmarks                              everything (hours)
    python -m tests.benchmarks core --records 1000000       one section on one size
    python -m tests.benchmarks mixed habit clean wide small what does not flatter: texts that combine freely
    python -m tests.benchmarks small --files 20000 --runs 1 what one more small file costs, in time and memory
    python -m tests.benchmarks growth --largest 1000000     small feeds only

It needs the `bench` extra.  Every run is a process of its own; jobs take turns; figures are medians.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections.abc import Callable
from compileall import compile_dir
from pathlib import Path

from tests.benchmarks import claim_cost, growth, repeated, sections, startup, workers
from tests.benchmarks.generator import FeedPlan
from tests.benchmarks.measure import HOUSE
from tests.benchmarks.report import Section, machine
from tests.benchmarks.rivals import RIVALS
from tests.benchmarks.settings import Settings

SECTIONS: dict[str, Callable[[Settings], list[Section]]] = {
    "core": sections.core,
    "within": sections.within,
    "claims": sections.claims,
    "cross": sections.cross,
    "full": sections.full,
    "mixed": sections.mixed,
    "repeated": repeated.repeated,
    "claim-cost": claim_cost.claim_cost,
    "habit": sections.habit,
    "clean": sections.clean,
    "wide": sections.wide,
    "small": sections.small,
    "workers": workers.workers,
    "growth": growth.growth,
    "startup": startup.startup,
}


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m tests.benchmarks", description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("section", nargs="*", help=f"which to run (default all): {', '.join(SECTIONS)}")
    parser.add_argument("--records", type=int, nargs="+", default=[1_000_000, 5_000_000])
    parser.add_argument("--format", nargs="+", choices=("parquet", "csv"), default=["parquet", "csv"])
    parser.add_argument("--runs", type=int, default=5, help="runs of each job; fewer for slow ones")
    parser.add_argument("--threads", type=int, default=2)
    parser.add_argument("--rivals", nargs="*", choices=tuple(RIVALS), default=list(RIVALS))
    parser.add_argument("--slow-up-to", type=int, default=1_000_000, help="records up to which the slow rivals are run")
    parser.add_argument("--largest", type=int, default=20_000_000, help="records of the largest growth feed")
    parser.add_argument("--files", type=int, default=2_000, help="files in the section of many small ones")
    parser.add_argument("--markings", type=int, default=30_000, help="distinct markings")
    parser.add_argument("--findings", type=float, default=4.0, help="percent of listings with a wrong cell")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--feeds",
        type=Path,
        default=Path(tempfile.gettempdir()) / "auditor-benchmark-feeds",
        help="where generated feeds are kept for the next run",
    )
    parser.add_argument("--plots", type=Path, default=Path(__file__).parent / "plots")
    parser.add_argument("--out", type=Path, help="also write the report to this file")
    return parser


def main() -> int:
    """Runs the chosen sections; ends with 1 if anything could not be measured or answered differently."""
    parser = _parser()
    given = parser.parse_args()
    unknown = [name for name in given.section if name not in SECTIONS]
    if unknown:
        parser.error(f"no section named {unknown[0]}; there are {', '.join(SECTIONS)}")
    settings = Settings(
        folder=given.feeds,
        plan=FeedPlan(distinct_markings=given.markings, findings_percent=given.findings, seed=given.seed),
        records=tuple(given.records),
        formats=tuple(given.format),
        runs=given.runs,
        threads=given.threads,
        rivals=tuple(given.rivals),
        slow_up_to=given.slow_up_to,
        largest=given.largest,
        files=given.files,
        plots=given.plots,
    )
    compile_dir(HOUSE / "auditor", quiet=1)  # as installing it does: rivals' packages are compiled, too
    compile_dir(HOUSE / "tests" / "benchmarks", quiet=1)
    text, problems = [machine() + "\n"], []
    for name in given.section or SECTIONS:
        for section in SECTIONS[name](settings):
            text.append(section.markdown())
            problems += [f"{section.title}: {problem}" for problem in section.problems]
    report = "\n".join(text)
    print(report)
    if given.out:
        given.out.write_text(report)
    for problem in problems:
        settings.say(problem)
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
