"""How property tests run, one invented audit with all its outputs, and a real browser to open it in."""

from __future__ import annotations

import gc
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from auditor.engine import reports
from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.corrections.writer import write_corrections
from auditor.outputs.report.page import write_report
from auditor.outputs.workbook.writer import write_workbook
from tests.outputs.invented import invented_audit, remembered
from tests.outputs.summary_schema import write_summary_by_schema

# No deadlines: a busy machine is no fault of the program.  In CI the same examples every time; elsewhere new ones, so
# that whoever works on the program goes on looking.
settings.register_profile("anywhere", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "anywhere")


# By file, in seconds of processor time from 130 to 20.  Begun last, one of them would run while the other cores wait.
LONGEST = (
    *("trials/test_levels.py", "engine/workers/cluster/test_faults.py", "engine/test_determinism.py"),
    *("edges/test_ladders.py", "mutants/test_mutants.py", "engine/workers/test_processes.py", "edges/test_numbers.py"),
    *("shell/commands/test_audit.py", "engine/workers/cluster/test_same_bytes.py", "outputs/report/test_page.py"),
    *("engine/test_accounts.py", "attack/test_kill.py", "test_readme.py", "feeds/test_traps.py"),
    *("engine/test_nights.py", "test_benchmarks.py", "claims/batch/test_columns.py", "test_recipes.py"),
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """What takes longest comes first, and all else stays in its order."""
    first = {Path(__file__).parent / name: place for place, name in enumerate(LONGEST)}
    items.sort(key=lambda item: first.get(item.path, len(first)))


def pytest_collection_finish() -> None:
    """The tests themselves stay to the end, so nobody looks through them for garbage again and again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000)


def write_everything(audit: FinishedAudit) -> FinishedAudit:
    """All outputs that do not need the feeds."""
    write_summary_by_schema(audit.folder, audit.summary)
    write_report(audit, write_corrections(audit))
    write_workbook(audit)
    return audit


@pytest.fixture(scope="session", autouse=True)
def summaries_by_their_schema() -> Iterator[None]:
    """Every audit that a test makes in this process writes a summary that keeps to its schema."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(reports, "write_summary", write_summary_by_schema)
        yield


@pytest.fixture(scope="session")
def audit(tmp_path_factory: pytest.TempPathFactory) -> FinishedAudit:
    return write_everything(invented_audit(tmp_path_factory.mktemp("audit")))


@pytest.fixture(scope="session")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> FinishedAudit:
    return write_everything(invented_audit(tmp_path_factory.mktemp("hostile"), listings=600, hostile=True))


@pytest.fixture(scope="session")
def third_night(audit: FinishedAudit, tmp_path_factory: pytest.TempPathFactory) -> FinishedAudit:
    """The same audit with what a ledger knows of it."""
    return write_everything(remembered(audit, tmp_path_factory.mktemp("third_night")))


def needed_program(*names: str) -> str:
    """The path of the first of these programs.  Where none is there the test fails in CI and is left out elsewhere."""
    for name in names:
        path = shutil.which(name)
        if path:
            return path
    if os.environ.get("CI"):
        pytest.fail(f"{' or '.join(names)} is not installed; .ci/run has to bring it")
    pytest.skip(f"{' or '.join(names)} is not installed")


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    path = needed_program("chromium", "chromium-browser", "google-chrome")
    flags = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=flags)
        yield browser
        browser.close()


class Opened:
    """A report opened in the browser, with everything it did that it should not."""

    def __init__(self, browser: Any, folder: Path, fragment: str = "", **context: Any) -> None:
        self.context = browser.new_context(**{"viewport": {"width": 1366, "height": 768}, **context})
        self.page = self.context.new_page()
        self.complaints: list[str] = []
        self.requests: list[str] = []
        self.page.on("console", lambda message: self.complaints.append(message.text))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.address = (folder / "report.html").as_uri()
        self.page.goto(self.address + fragment)

    def __enter__(self) -> Opened:
        return self

    def __exit__(self, *_: object) -> None:
        self.context.close()
