"""What a merchandiser wants to know in the morning, in clicks of a real mouse: three or fewer for each."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pyarrow.parquet as pq
import pytest
from playwright.sync_api import expect

from auditor.outputs.audit_result import FinishedAudit
from tests.conftest import Opened

MOST = 3
_COUNTS_CLICKS = """
    addEventListener("click", (event) => {
      if (event.isTrusted) sessionStorage.clicks = Number(sessionStorage.clicks || 0) + 1;
    }, true);
"""
LAPTOP, PHONE = {"width": 1366, "height": 768}, {"width": 390, "height": 844}

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


@contextmanager
def counted(browser: Any, audit: FinishedAudit, viewport: dict[str, int]) -> Iterator[tuple[Any, Any]]:
    """(page, what tells how often it was clicked until now), with the report freshly opened."""
    with Opened(browser, audit.folder, viewport=viewport) as opened:
        opened.page.add_init_script(_COUNTS_CLICKS)
        opened.page.goto(opened.address)
        yield opened.page, lambda: int(opened.page.evaluate("Number(sessionStorage.clicks || 0)"))
        assert opened.complaints == []


@pytest.mark.parametrize("viewport", [LAPTOP, PHONE], ids=["laptop", "phone"])
def test_whom_to_write_to_first_and_what(browser: Any, audit: FinishedAudit, viewport: dict[str, int]) -> None:
    group, *_ = audit.summary["repeated"]
    with counted(browser, audit, viewport) as (page, clicks):
        first = page.locator(".repeated li.group").first
        assert group["supplier"] in first.inner_text()  # told before anything is clicked
        assert clicks() == 0
        first.locator(".send a").first.click()
        page.wait_for_url("**/corrections/*.en.html")
        letter = page.locator("body").inner_text()
        assert group["supplier"] in letter
        assert f"{group['count']:,}" in letter


@pytest.mark.parametrize("viewport", [LAPTOP, PHONE], ids=["laptop", "phone"])
def test_what_the_worst_mistake_is(browser: Any, audit: FinishedAudit, viewport: dict[str, int]) -> None:
    group, *_ = audit.summary["repeated"]
    with counted(browser, audit, viewport) as (page, clicks):
        page.locator(".repeated a.pick").first.click()
        expect(page.locator("#count")).to_contain_text(f"{group['count']} findings")
        page.locator(".slip-line > summary").first.click()
        expect(page.locator(".slip-line[open]").first).to_contain_text("should be")
        assert 0 < clicks() <= MOST


@pytest.mark.parametrize("viewport", [LAPTOP, PHONE], ids=["laptop", "phone"])
def test_whether_a_listing_is_affected_by_its_size(
    browser: Any, audit: FinishedAudit, viewport: dict[str, int]
) -> None:
    marking = pq.read_table(audit.findings)["marking"][0].as_py()
    size = marking.split()[0]
    with counted(browser, audit, viewport) as (page, clicks):
        page.locator("input[name=text]").click()
        page.keyboard.type(size.lower().replace("/", " "))
        expect(page.locator("#chosen")).to_contain_text("Chosen")
        expect(page.locator(".slip-line .mark").first).to_contain_text(size)
        assert all(size in text for text in page.locator(".slip-line .mark").all_inner_texts())
        page.locator(".slip-line > summary").first.click()
        expect(page.locator(".slip-line[open]").first).to_be_visible()
        assert 0 < clicks() <= MOST
        page.locator("input[name=text]").fill("999/99R99")
        expect(page.locator("#count")).to_contain_text("No finding fits")  # none of this size is affected
        assert clicks() <= MOST
