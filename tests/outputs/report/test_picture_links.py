"""Pieces of the pictures lead to the findings that they stand for."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import expect

from auditor.outputs.audit_result import FinishedAudit
from tests.conftest import Opened

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def test_a_ring_leads_to_one_subject_of_one_supplier(browser: Any, audit: FinishedAudit) -> None:
    (row,) = (
        row
        for row in audit.summary["by_subject_supplier"]
        if (row["supplier"], row["subject"]) == ("Bluewater Tire & Tube", "speed")
    )
    with Opened(browser, audit.folder) as opened:
        opened.page.locator(".rings a[data-value^=Bluewater][data-and='subject=speed']").click()
        expect(opened.page.locator("#count")).to_contain_text(f"{row['findings']} findings in ")
        assert "Bluewater Tire & Tube · speed" in opened.page.locator("#chosen").inner_text()
        assert "subject=speed" in opened.page.url


def test_a_bar_leads_to_loads_that_far_off(browser: Any, audit: FinishedAudit) -> None:
    (step,) = (step for step in audit.summary["load_deviation"] if step["from"] == 1.2)
    with Opened(browser, audit.folder) as opened:
        opened.page.locator(".bars a[data-value='120']").click()
        expect(opened.page.locator("#count")).to_contain_text(f"{step['count']} findings in ")
        assert "loads off by 120 to 125 %" in opened.page.locator("#chosen").inner_text()


def test_a_curve_leads_to_one_mix_up_of_indices(browser: Any, audit: FinishedAudit) -> None:
    pair = audit.summary["index_confusions"][0]
    with Opened(browser, audit.folder) as opened:
        opened.page.locator("figure", has=opened.page.locator(".curves")).locator("summary").click()
        opened.page.locator(f"td a[data-value='{pair['derived']}>{pair['stated']}']").click()
        expect(opened.page.locator("#count")).to_contain_text(f"{pair['count']} findings in ")
