"""`python -m tests.quality`: how much of what is wrong the audit finds, how often it accuses what is right.

Makes a large catalog of right listings and of listings with one known mistake each, audits it with the
command that everybody uses, and prints recall, named-field rate, cause rate and false alarms by kind and by
family as Markdown.  The same is then done with the hand-written listings of `tests/reference/listings.jsonl`,
which no generator made.
"""

from __future__ import annotations

import argparse
import json
import random
import subprocess
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import pyarrow.parquet as pq

from tests.catalog import write
from tests.catalog.cases import Expect
from tests.catalog.columns import ColumnCase, column_feeds
from tests.catalog.faults import cases
from tests.catalog.judge import ALARMS, Finding, Tally, Verdict, judge
from tests.catalog.layout import Answer, Laid, lay_out
from tests.catalog.tires import TIRES, Tire
from tests.catalog.valid import Listing, Maker, Style, valid

REFERENCE = Path(__file__).with_name("reference") / "listings.jsonl"


@dataclass(frozen=True, slots=True)
class Figures:
    """What a quality run measured: right listings, mistakes, wrong columns, hand-written listings."""

    right: Verdict
    right_laid: Laid
    faults: Verdict
    faults_laid: Laid
    columns: tuple[tuple[ColumnCase, bool, int], ...]  # case, all its columns named, findings beside
    written: Verdict
    written_laid: Laid


def audit(feeds: Sequence[Path], out: Path) -> list[Finding]:
    """Run the audit command on the feeds and return its findings."""
    command = [sys.executable, "-m", "auditor", "audit", *map(str, feeds), "--out", str(out), "--quiet"]
    done = subprocess.run(command, capture_output=True, text=True, cwd=Path(__file__).parents[1], check=False)
    if done.returncode not in (0, 1):
        raise RuntimeError(f"the audit ended with {done.returncode}: {done.stderr[-2000:]}")
    return pq.read_table(out / "findings.parquet").to_pylist()


def written_listings(path: Path = REFERENCE) -> tuple[Laid, list[dict[str, object]]]:
    """The hand-written listings as a feed, with their answers."""
    entries = [json.loads(line) for line in path.read_text("utf-8").splitlines() if line.strip()]
    tire = TIRES["metric"][0]
    listings, answers, kinds, may = [], [], {}, {}
    for record, entry in enumerate(entries, 1):
        listings.append(_written(entry["listing"], tire))
        if entry.get("may"):
            may[record] = frozenset(entry["may"])
        for wanted in entry["expect"]:
            kinds[record] = entry["title"]
            answers.append(Answer("listings", record, entry["title"], _expectation(wanted)))
    return Laid("listings", tuple(listings), tuple(answers), kinds, may), entries


def _written(cells: dict[str, str], tire: Tire) -> Listing:
    return Listing(tire, dict(cells), Style(), "marking")


def _expectation(wanted: dict[str, object]) -> Expect:
    def words(name: str) -> frozenset[str]:
        return frozenset(str(wanted.get(name, "")).split())

    derived = wanted.get("derived")
    assert derived is None or isinstance(derived, str | float | int)
    return Expect(words("rule"), words("field"), words("grade"), words("cause"), derived)


def measure(right: int, each: int, seed: int, folder: Path) -> Figures:
    """Make the catalogs in `folder`, audit them in two runs and count.

    What is wrong on purpose is audited apart from what is right, so that neither is the other's peer.
    """
    maker = Maker(seed)
    calm = lay_out("right", valid(maker, right), (), random.Random(seed))
    made = cases(maker, each)
    noisy = lay_out("faults", valid(maker, len(made)), made, random.Random(seed + 1))
    written, _ = written_listings()
    columns = column_feeds(maker)
    rows = {laid.name: laid.rows for laid in (calm, noisy, written)}
    rows |= {f"column_{position}": [made.cells for made in case.listings] for position, case in enumerate(columns)}
    for name, cells in rows.items():
        write.parquet(folder / f"{name}.parquet", cells)
    apart = [folder / f"{name}.parquet" for name in rows if name != "faults"]
    found = by_feed([*audit(apart, folder / "out"), *audit([folder / "faults.parquet"], folder / "out_faults")])
    right_verdict, faults, written_verdict = (judge(laid, found[laid.name]) for laid in (calm, noisy, written))
    suspects = tuple(_column(case, found[f"column_{position}"]) for position, case in enumerate(columns))
    return Figures(right_verdict, calm, faults, noisy, suspects, written_verdict, written)


def by_feed(findings: Iterable[Finding]) -> dict[str, list[Finding]]:
    """Findings by the name of their feed, without its ending."""
    feeds: dict[str, list[Finding]] = defaultdict(list)
    for finding in findings:
        feeds[Path(str(finding["feed"])).stem].append(finding)
    return feeds


def _column(case: ColumnCase, findings: list[Finding]) -> tuple[ColumnCase, bool, int]:
    suspects = {
        finding["field"]
        for finding in findings
        if finding["rule"] == "column-suspect" and finding["likely_cause"] in case.causes
    }
    other = sum(finding["rule"] != "column-suspect" and finding["grade"] in ALARMS for finding in findings)
    return case, suspects == case.fields, other


def rate(part: int, whole: int) -> str:
    """A share as text, "-" when there is nothing to share."""
    return f"{100 * part / whole:.2f} %" if whole else "-"


def _row(name: str, tally: Tally) -> str:
    cells = (
        name,
        f"{tally.wanted}",
        rate(tally.found, tally.wanted),
        rate(tally.named, tally.wanted),
        rate(tally.ruled, tally.wanted),
        rate(tally.graded, tally.wanted),
        rate(tally.valued, tally.valued_of),
        rate(tally.caused, tally.asked),
        f"{tally.stray}",
    )
    return "| " + " | ".join(cells) + " |"


HEAD = (
    "| kind | expected | found | field named | rule | grade | derived | cause | stray above minor |\n"
    "| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |"
)


def family_lines(verdict: Verdict, laid: Laid) -> list[str]:
    """False alarms on right listings, by family."""
    listings = Counter(made.tire.variant for made in laid.listings)
    above: dict[str, int] = defaultdict(int)
    minor: dict[str, int] = defaultdict(int)
    for counts, found in ((above, verdict.alarms), (minor, verdict.whispers)):
        for record, _ in found:
            counts[laid.listings[record - 1].tire.variant] += 1
    lines = ["| family | right listings | findings above minor | minor findings not to be expected |"]
    lines.append("| --- | ---: | ---: | ---: |")
    lines += [f"| {name} | {count} | {above[name]} | {minor[name]} |" for name, count in sorted(listings.items())]
    lines.append(f"| **all** | {len(laid.listings)} | {sum(above.values())} | {sum(minor.values())} |")
    return lines


def report(figures: Figures) -> str:
    """The figures as Markdown."""
    lines = ["## Mistakes", "", HEAD]
    lines += [_row(kind, tally) for kind, tally in figures.faults.kinds.items()]
    lines.append(_row("**all**", figures.faults.total))
    lines += ["", "## Right listings", "", *family_lines(figures.right, figures.right_laid)]
    lines += [
        "",
        "## Whole columns",
        "",
        "| kind | columns named | findings beside |",
        "| --- | --- | ---: |",
    ]
    lines += [f"| {case.kind} | {'yes' if named else 'no'} | {other} |" for case, named, other in figures.columns]
    written = figures.written
    lines += ["", "## Hand-written listings", "", HEAD, _row("**all**", written.total)]
    right = len(figures.written_laid.listings) - len(figures.written_laid.kinds)
    lines += ["", f"{right} of them are right: {len(written.alarms)} findings above minor on these."]
    return "\n".join(lines) + "\n"


def details(figures: Figures, limit: int) -> str:
    """What was missed and who was accused wrongly, at most `limit` listings of each sort."""
    lines = []
    for verdict, laid in (
        (figures.right, figures.right_laid),
        (figures.faults, figures.faults_laid),
        (figures.written, figures.written_laid),
    ):
        lines += _miss_lines(verdict, laid, limit)
        strays = [(record, finding) for record, _, finding in verdict.strays]
        for name, found in (("false alarm", verdict.alarms), ("minor", verdict.whispers), ("stray", strays)):
            lines += _finding_lines(f"{laid.name}: {name}", found, laid, limit)
    return "\n".join(lines) + "\n"


def _miss_lines(verdict: Verdict, laid: Laid, limit: int) -> list[str]:
    lines, counts = [], Counter[str]()
    for answer, lack, there in verdict.misses:
        counts[answer.kind] += 1
        if counts[answer.kind] <= limit:
            got = [(f["rule"], f["field"], f["grade"], f["likely_cause"], f["derived"]) for f in there]
            lines += [f"{laid.name}: {answer.kind}: {lack}", f"  wanted {answer.expect}", f"  got {got}"]
            lines.append(f"  {laid.listings[answer.record - 1].cells}")
    return lines


def _finding_lines(name: str, found: list[tuple[int, Finding]], laid: Laid, limit: int) -> list[str]:
    lines, counts = [], Counter[tuple[object, object]]()
    for record, finding in found:
        what = (finding["rule"], finding["field"])
        counts[what] += 1
        if counts[what] <= limit:
            lines.append(f"{name} {laid.kinds.get(record, '')}: {what}: {finding['message']}")
            lines.append(f"  {laid.listings[record - 1].cells}")
    return lines + [f"{name}: {what} x {count}" for what, count in counts.most_common()]


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m tests.quality", description=__doc__)
    parser.add_argument("--right", type=int, default=100_000, help="how many right listings (default 100,000)")
    parser.add_argument("--listings", type=int, default=100, help="how many of each kind of mistake (100)")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--details", type=int, default=0, metavar="N", help="show N listings of each disagreement")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="quality-") as folder:
        figures = measure(options.right, options.listings, options.seed, Path(folder))
    print(report(figures))
    if options.details:
        print(details(figures, options.details))


if __name__ == "__main__":
    main()
