"""The report in a real browser: what a merchandiser does with it, and what a hostile feed must not do to it."""

from __future__ import annotations

import json
import re
import time
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.languages import load_wordings
from auditor.outputs.report.page import dangerous, next_step, write_report
from auditor.outputs.worst_findings import worst_findings
from tests.conftest import Opened
from tests.outputs.invented import HOSTILE, invented_audit, repeat

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def visible_lines(page: Any) -> int:
    return page.locator(".slip-line").count()


def count_says(page: Any, text: str | re.Pattern[str]) -> None:
    """Waits until the line above the list says so."""
    expect(page.locator("#count")).to_contain_text(text)


def test_first_screen_tells_what_is_dangerous_whose_and_what_to_do(browser: Any, audit: FinishedAudit) -> None:
    totals = audit.summary["totals"]
    with Opened(browser, audit.folder) as opened:
        for selector in (".night", ".verdicts", ".danger", ".columns", ".untold"):
            box = opened.page.locator(selector).bounding_box()
            assert box is not None
            assert box["y"] + box["height"] <= 768, selector
        assert f"{totals['held']:,} held" in opened.page.locator(".sentence").inner_text()
        assert opened.page.locator(".danger li:visible").count() == 5
        assert "Traglast 2" in opened.page.locator(".columns").inner_text()
        assert opened.complaints == []


def test_nothing_leaves_the_page(browser: Any, audit: FinishedAudit) -> None:
    with Opened(browser, audit.folder) as opened:
        opened.page.locator(".slip-line > summary").first.click()
        outside = [url for url in opened.requests if url not in (opened.address, "data:,")]
        assert outside == []


@pytest.mark.parametrize(
    ("filters", "expected"),
    [
        ({"grade": "critical"}, ("grade", "critical")),
        ({"supplier": "Odermatt Reifenkontor"}, ("supplier", "Odermatt Reifenkontor")),
        ({"rule": "Another rim than the marking's"}, ("rule", "rim-mismatch")),
        ({"field": "Load index"}, ("field", "load_index")),
    ],
)
def test_choosing_shows_exactly_what_fits(
    browser: Any, audit: FinishedAudit, filters: dict[str, str], expected: tuple[str, str]
) -> None:
    findings = pq.read_table(audit.findings).to_pylist()
    fits = sum(1 for finding in findings if finding[expected[0]] == expected[1])
    with Opened(browser, audit.folder) as opened:
        for name, label in filters.items():
            opened.page.locator(f"select[name={name}]").select_option(label=label)
        count_says(opened.page, re.compile(f"^{fits:,} of {len(findings):,} "))
        assert visible_lines(opened.page) == min(fits, 100)


def test_brand_size_and_text_are_searched(browser: Any, audit: FinishedAudit) -> None:
    brands = {detail.record: detail.brand for detail in audit.details}
    assert "Caldera" in brands.values()
    with Opened(browser, audit.folder) as opened:
        page = opened.page
        page.fill("input[name=brand]", "caldera")
        page.fill("input[name=size]", "205/55 R16")
        count_says(page, " fit")
        for marking in page.locator(".slip-line .mark").all_inner_texts():
            assert marking == "205/55R16 91V"
        page.locator(".slip-line > summary").first.click()
        assert "Caldera" in page.locator(".slip-line[open] .facts").inner_text()
        page.click("button[type=reset]")
        sku = pq.read_table(audit.findings)["sku"][7].as_py()
        page.fill("input[name=text]", sku.lower())
        count_says(page, " fit")
        assert set(page.locator(".slip-line .who bdi:last-child").all_inner_texts()) == {sku}
        page.fill("input[name=text]", "no such thing")
        count_says(page, "No listed finding fits")
        assert visible_lines(page) == 0


def test_order_by_deviation_puts_the_furthest_off_first(browser: Any, audit: FinishedAudit) -> None:
    with Opened(browser, audit.folder) as opened:
        opened.page.select_option("select[name=order]", "deviation")
        opened.page.wait_for_timeout(250)
        keys = [
            slip.removeprefix("finding-")
            for slip in opened.page.locator(".slip-line").evaluate_all("all => all.map(one => one.id)")
        ]
    deviation = {
        finding["key"]: abs(finding["deviation"] or 0) for finding in pq.read_table(audit.findings).to_pylist()
    }
    shown = [deviation[key] for key in keys]
    assert shown == sorted(shown, reverse=True)
    assert shown[0] == max(deviation.values())


def test_opened_finding_shows_marking_statements_cause_and_suggestion(browser: Any, audit: FinishedAudit) -> None:
    finding = next(row for row in pq.read_table(audit.findings).to_pylist() if row["likely_cause"] == "unit-swapped")
    with Opened(browser, audit.folder, f"#finding-{finding['key']}") as opened:
        slip = opened.page.locator(f"[id='finding-{finding['key']}']")
        assert slip.get_attribute("open") is not None
        molded = "".join(slip.locator(".molded .cut").all_inner_texts())
        assert molded.replace(" ", "") == finding["marking"].replace(" ", "")
        wrong = slip.locator(".statements tr.differs", has_text="Maximum load (kg)").inner_text()
        assert re.search(rf"{finding['stated']}\s+{finding['derived']}\s+✗ differs", wrong)
        assert slip.locator(".statements tr").count() > 6
        facts = slip.locator(".facts").inner_text()
        assert "the value stands in the wrong unit" in facts
        assert f"put {finding['suggestion']} in {finding['column']}" in facts
        expect(slip.locator("> summary")).to_be_focused()


def test_deep_link_opens_a_finding_far_down_and_one_that_is_not_listed(browser: Any, audit: FinishedAudit) -> None:
    last = worst_findings(audit.findings).table["key"].to_pylist()[-1]
    with Opened(browser, audit.folder, f"#finding-{last}") as opened:
        slip = opened.page.locator(f"[id='finding-{last}']")
        assert slip.get_attribute("open") is not None
        expect(slip).to_be_in_viewport()
        opened.page.evaluate("() => { location.hash = '#finding-0000' }")
        count_says(opened.page, "is not listed")
        assert opened.complaints == []


def test_opening_a_finding_makes_its_link_the_address(browser: Any, audit: FinishedAudit) -> None:
    with Opened(browser, audit.folder) as opened:
        first = opened.page.locator(".slip-line").first
        first.locator("summary").click()
        expect(opened.page).to_have_url(opened.address + "#" + str(first.get_attribute("id")))


def test_copied_text_holds_what_a_supplier_needs(browser: Any, audit: FinishedAudit) -> None:
    finding = worst_findings(audit.findings).table.slice(0, 1).to_pylist()[0]
    permissions = ["clipboard-read", "clipboard-write"]
    with Opened(browser, audit.folder, f"#finding-{finding['key']}", permissions=permissions) as opened:
        opened.page.get_by_role("button", name="Copy as text").click()
        opened.page.get_by_text("Copied.").wait_for()
        copied = opened.page.evaluate("navigator.clipboard.readText()")
    for part in ("message", "sku", "marking", "stated", "derived", "suggestion", "rule", "key"):
        assert finding[part] in copied, part


def test_keyboard_alone_reaches_a_finding_and_opens_it(browser: Any, audit: FinishedAudit) -> None:
    with Opened(browser, audit.folder) as opened:
        page = opened.page
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Go to the findings"
        page.keyboard.press("Enter")
        assert page.evaluate("document.activeElement.id") == "findings"
        for _ in range(20):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.tagName") == "SUMMARY":
                break
        page.keyboard.press("Enter")
        page.locator(".slip-line[open] .inside").wait_for()
        page.keyboard.press("Tab")
        assert str(page.evaluate("document.activeElement.textContent")).startswith("What else the listing says")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Copy as text"


def test_supplier_and_rule_links_choose_their_findings(browser: Any, audit: FinishedAudit) -> None:
    with Opened(browser, audit.folder) as opened:
        opened.page.locator("a[data-pick=supplier]", has_text="Kestrel").first.click()
        shown = set(opened.page.locator(".slip-line .who bdi:first-child").all_inner_texts())
        assert shown == {"Kestrel Wholesale Rubber"}
        opened.page.locator("a[data-pick=rule][data-value=rim-mismatch]").first.click()
        fields = set(opened.page.locator(".slip-line .what b").all_inner_texts())
        assert fields == {"Rim diameter (in)"}


@pytest.mark.parametrize(("scheme", "size"), [("light", (1366, 768)), ("dark", (390, 844))])
def test_no_accessibility_rule_is_broken(
    browser: Any, audit: FinishedAudit, scheme: str, size: tuple[int, int]
) -> None:
    viewport = {"width": size[0], "height": size[1]}
    key = worst_findings(audit.findings).table["key"][0].as_py()
    with Opened(
        browser, audit.folder, f"#finding-{key}", color_scheme=scheme, viewport=viewport, bypass_csp=True
    ) as opened:
        result = Axe().run(opened.page)
        assert result.response["violations"] == [], result.generate_report()
        assert opened.page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_hostile_texts_stay_texts(browser: Any, hostile: FinishedAudit) -> None:
    with Opened(browser, hostile.folder) as opened:
        page = opened.page
        for summary in page.locator(".slip-line > summary").all()[:12]:
            summary.click()
        page.locator(".inside").nth(11).wait_for()
        assert page.evaluate("window.hurt") is None
        assert opened.complaints == []
        assert page.locator("main img, main script").count() == 0
        body = page.locator("main").inner_text()
        assert HOSTILE[0] in body
        assert "{{ 7 * 7 }} ${7*7}" in body
        assert "(10,0" in body  # a cell of 10,000 characters says how long it is
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        isolated = "all => all.every(one => getComputedStyle(one).unicodeBidi === 'isolate')"
        assert page.locator("bdi").evaluate_all(isolated)


def test_hostile_text_cannot_end_the_data(hostile: FinishedAudit) -> None:
    html = (hostile.folder / "report.html").read_text(encoding="utf-8")
    assert html.count("</script>") == 2
    data = re.search(r'<script type="application/json" id="data">(.*?)</script>', html, re.DOTALL)
    assert data is not None
    assert not re.search("[<>\u2028\u2029]", data[1])
    assert HOSTILE[0] in json.loads(data[1])["texts"]


def test_prints_on_paper_with_all_that_matters(browser: Any, audit: FinishedAudit, tmp_path: Path) -> None:
    with Opened(browser, audit.folder) as opened:
        opened.page.emulate_media(media="print")
        assert not opened.page.locator("#filters").is_visible()
        assert opened.page.locator(".sentence").is_visible()
        paper = opened.page.pdf(format="A4")
        assert paper.startswith(b"%PDF")
        assert visible_lines(opened.page) == len(pq.read_table(audit.findings))  # 100 before


def test_a_million_findings_stay_small_and_quick(browser: Any, audit: FinishedAudit, tmp_path: Path) -> None:
    million = repeat(audit, tmp_path, 1_000_000)
    path = write_report(million)
    assert path.stat().st_size < 10_000_000
    with Opened(browser, tmp_path) as opened:
        started = time.perf_counter()
        opened.page.reload()
        opened.page.locator(".slip-line").first.wait_for()
        opened.page.fill("input[name=text]", "kestrel 225/65r17")
        count_says(opened.page, " fit")
        assert time.perf_counter() - started < 2.0
        assert "4,000 of 1,000,000 findings" in opened.page.locator(".cap").first.inner_text()
        for rule in (
            "depth-units-disagree",
            "load-unverified",
        ):  # every line of the tables opens on something
            opened.page.locator(f"a[data-pick=rule][data-value={rule}]").first.click()
            assert visible_lines(opened.page) > 0


def test_same_audit_gives_the_same_bytes(audit: FinishedAudit, tmp_path: Path) -> None:
    again = invented_audit(tmp_path)
    write_report(again)
    write_report(audit)
    assert (tmp_path / "report.html").read_bytes() == (audit.folder / "report.html").read_bytes()


def test_report_of_a_clean_night(browser: Any, tmp_path: Path) -> None:
    clean = invented_audit(tmp_path, listings=0)
    write_report(clean)
    with Opened(browser, tmp_path) as opened:
        assert "No listing promises more" in opened.page.locator(".danger").inner_text()
        assert opened.complaints == []


def test_dangerous_listings_show_every_critical_rule_before_repeating_one(audit: FinishedAudit) -> None:
    rows = dangerous(worst_findings(audit.findings), load_wordings("en"))
    kinds = {row["rule"] for row in rows}
    assert {row["rule"] for row in rows[: len(kinds)]} == kinds
    positions = [(row["feed"], row["record"]) for row in rows]
    assert len(positions) == len(set(positions))


def test_next_step_names_the_feed_with_most_of_the_danger(audit: FinishedAudit) -> None:
    assert next_step(audit.summary).startswith("The largest share of the critical findings, 42 %, comes from Kestrel")
    totals = {"held": 0}
    assert next_step({"by_supplier": {}, "totals": totals}) == "Nothing waits for a decision."
