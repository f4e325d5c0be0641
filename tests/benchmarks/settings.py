"""What one run of the benchmarks is asked to do, and the feeds it measures on."""

from __future__ import annotations

import hashlib
import sys
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from tests.benchmarks import columns, free_texts, generator, markings, planted, small_files, tables
from tests.benchmarks.generator import FeedPlan, write_feeds
from tests.benchmarks.small_files import write_small_files


@dataclass(frozen=True, slots=True)
class Settings:
    """Options of `python -m tests.benchmarks`."""

    folder: Path  # where feeds and answers are kept between runs
    plan: FeedPlan
    records: tuple[int, ...]
    formats: tuple[str, ...]  # parquet, csv
    runs: int
    threads: int
    rivals: tuple[str, ...]
    slow_up_to: int  # records up to which the slow rivals are run
    largest: int  # records of the largest feed in the growth section
    files: int  # small files in the section of many
    plots: Path

    def say(self, text: str) -> None:
        """Progress goes to standard error; the report alone goes to standard output."""
        print(text, file=sys.stderr, flush=True)

    def feed(self, plan: FeedPlan, form: str) -> Path:
        """The feed of a plan, written if it is not there yet."""
        path = self.folder / generation() / f"{plan.stem}.{form}"
        if not path.exists():
            self.say(f"writing {path}")
            path.parent.mkdir(parents=True, exist_ok=True)
            write_feeds(plan, [path], self.answer(plan))
        return path

    def small_files(self, files: int) -> Path:
        """A folder of small files, written if it is not there yet."""
        plan = replace(self.plan, free_texts=True)
        folder = self.folder / generation() / f"small{files}-{plan.stem}"
        if not folder.exists():
            self.say(f"writing {folder}")
            write_small_files(plan, folder, files)
        return folder

    def answer(self, plan: FeedPlan) -> Path:
        """The planted answer of a plan; it exists once one of its feeds does."""
        return self.folder / generation() / f"{plan.stem}.answer.parquet"


@cache
def generation() -> str:
    """A short digest of the generator's code, so that feeds kept from an older one are not measured on."""
    digest = hashlib.sha256()
    for module in (columns, free_texts, generator, markings, planted, small_files, tables):
        digest.update(Path(str(module.__file__)).read_bytes())
    return digest.hexdigest()[:8]
