"""A report with a ledger leads with what is new, and says of the rest since when it stands."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.report.page import write_report
from auditor.outputs.worst_findings import worst_findings
from tests.conftest import Opened

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def states_shown(page: Any) -> set[str]:
    return {text.split(" since ")[0] for text in page.locator(".slip-line > summary .state").all_inner_texts()}


def test_the_page_opens_on_what_is_new_and_a_switch_shows_all(browser: Any, third_night: FinishedAudit) -> None:
    states = third_night.summary["states"]
    with Opened(browser, third_night.folder) as opened:
        page = opened.page
        assert f"{states['new']:,} findings new" in page.locator(".states").inner_text()
        expect(page.locator("#count")).to_contain_text(f"{states['new']} findings in ")
        assert states_shown(page) == {"new"}
        new, every = page.locator("button[data-show]").all()
        assert (new.get_attribute("aria-pressed"), every.get_attribute("aria-pressed")) == ("true", "false")
        assert not page.locator("details.standing li.group").first.is_visible()
        every.click()
        assert states_shown(page) == {"new", "standing", "accepted", "asked"}
        assert page.locator("details.standing li.group").first.is_visible()
        assert every.get_attribute("aria-pressed") == "true"
        page.reload()
        assert states_shown(page) == {"new", "standing", "accepted", "asked"}
        page.go_back()
        expect(page.locator("#chosen")).to_contain_text("new only")
        assert opened.complaints == []


def test_a_search_tells_of_what_is_not_new(browser: Any, third_night: FinishedAudit) -> None:
    old = next(
        row
        for row in worst_findings(third_night.findings).table.to_pylist()
        if row["state"] == "standing" and row["sku"]
    )
    with Opened(browser, third_night.folder) as opened:
        opened.page.fill("input[name=text]", old["sku"])
        expect(opened.page.locator("#chosen")).to_contain_text("more in other states")
        opened.page.get_by_role("button", name="Show them too").click()
        assert old["sku"] in opened.page.locator(".slip-line .sku").all_inner_texts()
        assert opened.complaints == []


def test_a_changed_delivery_leads_the_page(browser: Any, third_night: FinishedAudit, tmp_path: Path) -> None:
    changed = {"supplier": "Odermatt Reifenkontor", "feed": "artikel", "said": "has 213 listings instead of about 427"}
    summary = {**third_night.summary, "delivery_changed": [{**changed, "sets_exit_code": True}]}
    write_report(dataclasses.replace(third_night, folder=tmp_path, summary=summary))
    for width in (1366, 390):
        with Opened(browser, tmp_path, viewport={"width": width, "height": 800}) as opened:
            said = opened.page.locator(".night .changed")
            told = "DELIVERY CHANGED: artikel (Odermatt Reifenkontor) has 213 listings instead of about 427."
            assert said.inner_text() == told
            head, sentence = said.bounding_box(), opened.page.locator(".night .sentence").first.bounding_box()
            assert head is not None and sentence is not None and head["y"] < sentence["y"] < 800


def test_the_state_is_a_filter_that_combines_and_lives_in_the_address(browser: Any, third_night: FinishedAudit) -> None:
    with Opened(browser, third_night.folder, "#findings&grade=critical&state=asked") as opened:
        assert states_shown(opened.page) == {"asked"}
        assert set(opened.page.locator(".slip-line > summary .tag").all_inner_texts()) == {"critical"}
        assert "critical · asked only" in opened.page.locator("#chosen").inner_text()


def test_new_figures_of_suppliers_lead_to_exactly_those(browser: Any, third_night: FinishedAudit) -> None:
    counts = third_night.summary["by_supplier"]["Odermatt Reifenkontor"]["states"]
    with Opened(browser, third_night.folder) as opened:
        link = opened.page.locator("a[data-pick=supplier][data-value^=Odermatt][data-and='state=new']")
        assert link.inner_text().startswith(str(counts["new"]))
        link.click()
        expect(opened.page.locator("#count")).to_contain_text(f"{counts['new']} findings in ")
        assert set(opened.page.locator(".slip-line .whose").all_inner_texts()) == {"Odermatt Reifenkontor"}
        assert "state=new" in opened.page.url


def test_slips_and_groups_say_since_when(browser: Any, third_night: FinishedAudit) -> None:
    table = worst_findings(third_night.findings).table.to_pylist()
    asked = next(row for row in table if row["state"] == "asked")
    with Opened(browser, third_night.folder, f"#finding-{asked['key']}") as opened:
        said = opened.page.locator(f"#cell-{asked['key']}").inner_text()
        assert "It is asked about; first seen in the night of 27 November 2026." in said
        first = opened.page.locator(".repeated li.group").first.inner_text()
        assert "2 new, " in first
        assert "standing since 26 November 2026" in first


def test_what_is_new_is_listed_however_much_worse_stands(third_night: FinishedAudit) -> None:
    shown = worst_findings(third_night.findings, limit=40).table
    assert shown["state"].to_pylist().count("new") >= 20


@pytest.mark.parametrize("scheme", ["light", "dark", "forced"])
def test_no_accessibility_rule_is_broken_with_states(browser: Any, third_night: FinishedAudit, scheme: str) -> None:
    look = {"forced_colors": "active"} if scheme == "forced" else {"color_scheme": scheme}
    with Opened(browser, third_night.folder, "#findings", bypass_csp=True, **look) as opened:
        result = Axe().run(opened.page)
        assert result.response["violations"] == [], result.generate_report()
