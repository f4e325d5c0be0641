"""`--job FILE`: everything that an audit needs, in one checked file; options beside it win."""

from __future__ import annotations

import argparse
import os
import re
import shlex
import shutil
import subprocess
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from auditor.errors import UsageError
from auditor.feeds.urls import folder_or_url, is_url

_DATE = "{date}"
_ENVIRONMENT = re.compile(r"\$\{([A-Za-z_][A-Za-z0-9_]*)\}")
_PATHS = ("maps", "rules", "policy", "pairs")
_PLAIN = ("market", "hold_from", "workers", "cluster", "apply", "log")
_PLACES = ("cluster_folder",)  # a path or a URL
TELL_SECONDS = 300


@dataclass(frozen=True, slots=True)
class Job:
    """A job file, with its paths where they lead to."""

    path: Path
    feeds: tuple[str, ...]
    out: str
    keep: int | None = None
    ledger: str | None = None
    tell: tuple[str, ...] = ()
    every_days: Mapping[str, float] = field(default_factory=dict)
    limits: Mapping[str, int] = field(default_factory=dict)
    others: Mapping[str, Any] = field(default_factory=dict)  # options of the command line, by their names there

    def out_of(self, night: str) -> str | Path:
        """The folder of a night, or its URL."""
        return folder_or_url(self.out.replace(_DATE, night))


def load_job(path: Path) -> Job:
    """Reads and checks a job file.  Raises RuleBookError, naming file, key and reason; UsageError for a variable."""
    # Start-up: most audits have no job file.
    from auditor.rulebook.built_in import published_schema
    from auditor.rulebook.files import check, read_toml

    data = read_toml(path)
    check(data, published_schema("job"), path)
    folder = path.resolve().parent
    if data.get("keep") is not None and (_DATE not in Path(data["out"]).name or is_url(data["out"])):
        raise UsageError(
            f"{path}: keep: there are folders to keep only where out lies here and ends in a name with {{date}}."
        )
    ledger = data.get("ledger")
    return Job(
        path,
        tuple(_placed(folder, _filled(path, one)) for one in data["feeds"]),
        _placed(folder, data["out"]),
        data.get("keep"),
        None if ledger is None else _placed(folder, _filled(path, ledger)),
        tuple(data.get("tell", ())),
        dict(data.get("every", {})),
        dict(data.get("limits", {})),
        {
            **{name: folder / data[name] for name in _PATHS if name in data},
            **{name: data[name] for name in _PLAIN if name in data},
            **{name: _placed(folder, data[name]) for name in _PLACES if name in data},
        },
    )


def _filled(path: Path, text: str) -> str:
    """The text with its environment variables, so that a file need not hold a secret."""

    def value(found: re.Match[str]) -> str:
        if found[1] not in os.environ:
            raise UsageError(f"{path}: the environment has no variable {found[1]}.")
        return os.environ[found[1]]

    return _ENVIRONMENT.sub(value, text)


def _placed(folder: Path, text: str) -> str:
    return text if is_url(text) else str(folder / text)


def apply_job(options: argparse.Namespace, night: str) -> Job:
    """Fills in what the command line left open."""
    job = load_job(options.job)
    options.feeds = options.feeds or list(job.feeds)
    options.out = options.out or job.out_of(night)
    options.ledger = options.ledger or job.ledger
    options.night = options.night or night
    options.every_days = job.every_days
    options.limit = [*(f"{name}={number}" for name, number in job.limits.items()), *options.limit]
    for name, value in job.others.items():
        if getattr(options, name) is None:
            setattr(options, name, value)
    return job


def would_run(options: argparse.Namespace, job: Job, ledger: str) -> str:
    """What a job would do, as text."""
    lines = [f"night    {options.night}", *(f"feed     {feed}" for feed in options.feeds), f"out      {options.out}"]
    if job.keep is not None:
        lines.append(f"keep     {job.keep} folders like {job.out}")
    lines += [f"{name:<8} {getattr(options, name)}" for name in _PATHS if getattr(options, name) is not None]
    if ledger:
        lines.append(f"ledger   {ledger}")
    lines += [f"every    {name}: {days:g} days" for name, days in job.every_days.items()]
    if job.tell:
        lines.append(f"tell     {shlex.join(job.tell)}")
    return "\n".join(lines) + "\n"


def remove_older(job: Job, out: str | Path) -> list[Path]:
    """Removes folders of earlier nights beyond those to keep: finished audits whose name is a night's, no others."""
    # Start-up: most audits keep what is there.
    from auditor.outputs.output_folder import is_audit

    if job.keep is None or _DATE not in Path(job.out).name:
        return []
    before, _, after = Path(job.out).name.partition(_DATE)
    named = re.compile(re.escape(before) + r"\d{4}-\d{2}-\d{2}" + re.escape(after))
    parent = Path(job.out).parent
    if Path(out).resolve().parent != parent.resolve():
        return []
    nights = sorted(path for path in parent.iterdir() if named.fullmatch(path.name) and is_audit(path))
    older = [path for path in nights[: -job.keep] if path.resolve() != Path(out).resolve()]
    for path in older:
        shutil.rmtree(path, ignore_errors=True)
    return older


def tell(job: Job, given: bytes, exit_code: int) -> str:
    """Runs the job's command with the summary on its standard input; why it failed, or nothing."""
    if not job.tell:
        return ""
    command = shlex.join(job.tell)
    try:
        done = subprocess.run(
            list(job.tell),
            input=given,
            stdout=2,  # the error stream: what a program reads of ours stays its own
            cwd=job.path.resolve().parent,
            env={**os.environ, "AUDITOR_EXIT_CODE": str(exit_code)},
            timeout=TELL_SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return f"tell: {command} did not end within {TELL_SECONDS} seconds."
    except OSError as error:
        return f"tell: {command} could not be run ({error.strerror})."
    return f"tell: {command} ended with {done.returncode}." if done.returncode else ""
