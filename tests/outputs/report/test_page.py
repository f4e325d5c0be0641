"""The report in a real browser: what a merchandiser does with it, and what a hostile feed must not do to it."""

from __future__ import annotations

import dataclasses
import json
import re
import time
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pyarrow.parquet as pq
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.languages import load_wordings
from auditor.outputs.report.first_screen import dangerous, groups_shown, next_step
from auditor.outputs.report.page import write_report
from auditor.outputs.worst_findings import doubted, worst_findings
from auditor.rules_folder import rules_folder
from tests.conftest import Opened
from tests.outputs.invented import HOSTILE, invented_audit, repeat

pytestmark = pytest.mark.filterwarnings("ignore::ResourceWarning")


def visible_lines(page: Any) -> int:
    return page.locator(".slip-line").count()


def count_says(page: Any, text: str | re.Pattern[str]) -> None:
    """Waits until the line above the list says so."""
    expect(page.locator("#count")).to_contain_text(text)


def test_first_screen_tells_what_is_dangerous_whose_and_what_to_do(browser: Any, audit: FinishedAudit) -> None:
    totals, (group, *_) = audit.summary["totals"], audit.summary["repeated"]
    with Opened(browser, audit.folder) as opened:
        for selector in (".night", ".verdicts", ".repeated"):
            box = opened.page.locator(selector).first.bounding_box()
            assert box is not None
            assert box["y"] + box["height"] <= 768, selector
        assert f"{totals['held']:,} held" in opened.page.locator(".sentence").inner_text()
        assert "28 November 2026" in opened.page.locator(".night h2").inner_text()
        first = opened.page.locator(".repeated li.group").first
        said = first.inner_text()
        for part in (
            "Kestrel Wholesale Rubber, Max Load Kg: pounds written as kilograms",
            f"{group['count']} listings",
        ):
            assert part in said, part
        assert first.locator(".three li").count() == 3
        links = first.locator(".send a").evaluate_all("all => all.map(one => one.getAttribute('href'))")
        stem = "corrections/Kestrel-Wholesale-Rubber"
        assert links == [f"{stem}.en.html", f"{stem}.de.html", f"{stem}.csv"]
        assert all((audit.folder / link).is_file() for link in links)
        assert opened.page.locator(".danger li:visible").count() == 5
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
        count_says(opened.page, re.compile(f"^{fits:,} finding"))
        listings = {(row["feed"], row["record"]) for row in findings if row[expected[0]] == expected[1]}
        assert visible_lines(opened.page) == min(len(listings), 100)


@pytest.mark.parametrize("asked", ["2055516", "205 55 16", "205/55 R16", "205/55r16", "205-55-16"])
def test_a_size_is_found_in_any_notation(browser: Any, audit: FinishedAudit, asked: str) -> None:
    with Opened(browser, audit.folder) as opened:
        opened.page.fill("input[name=text]", asked)
        opened.page.wait_for_timeout(250)
        assert set(opened.page.locator(".slip-line .mark").all_inner_texts()) == {"205/55R16 91V"}


def test_words_on_screen_and_skus_are_found(browser: Any, audit: FinishedAudit) -> None:
    with Opened(browser, audit.folder) as opened:
        page = opened.page
        sku = pq.read_table(audit.findings)["sku"][7].as_py()
        page.fill("input[name=text]", sku.lower())
        page.wait_for_timeout(250)
        assert set(page.locator(".slip-line .who .sku").all_inner_texts()) == {sku}
        page.fill("input[name=text]", "maximum load (kg) wrong unit")
        page.wait_for_timeout(250)
        assert 0 < visible_lines(page) < 100
        page.fill("input[name=text]", "no such thing")
        count_says(page, "No finding fits")
        assert visible_lines(page) == 0


def test_filters_combine_and_live_in_the_address(browser: Any, audit: FinishedAudit) -> None:
    findings = pq.read_table(audit.findings).to_pylist()
    fits = [row for row in findings if row["supplier"] == "Odermatt Reifenkontor" and row["grade"] == "critical"]
    with Opened(browser, audit.folder) as opened:
        page = opened.page
        page.locator("a[data-pick=supplier]", has_text="Odermatt").first.click()
        whole = page.locator("#count").inner_text()
        page.select_option("select[name=grade]", "critical")
        count_says(page, f"{len(fits)} findings")
        assert "Chosen: critical · Odermatt Reifenkontor" in page.locator("#chosen").inner_text()
        page.reload()
        count_says(page, f"{len(fits)} findings")
        address = page.url
        page.go_back()
        count_says(page, whole)
        page.goto("about:blank")
        page.goto(address)
        count_says(page, f"{len(fits)} findings")


def test_a_repeated_mistake_opens_on_its_listings_and_names_its_file(browser: Any, audit: FinishedAudit) -> None:
    group, *_ = audit.summary["repeated"]
    with Opened(browser, audit.folder) as opened:
        opened.page.locator(".repeated a.pick").first.click()
        count_says(opened.page, f"{group['count']} findings")
        link = opened.page.locator("#chosen a")
        assert link.get_attribute("href") == "corrections/Kestrel-Wholesale-Rubber.csv"


def test_decisions_are_kept_until_they_are_saved_as_one_file(browser: Any, audit: FinishedAudit) -> None:
    schema = json.loads((rules_folder() / "schemas" / "decisions.json").read_text(encoding="utf-8"))
    group, *_ = audit.summary["repeated"]
    with Opened(browser, audit.folder) as opened:
        page = opened.page
        page.locator(".slip-line > summary").first.click()
        box = page.locator(".slip-line[open] .decide").first
        box.get_by_role("button", name="accept").click()
        box.get_by_label("Because").fill("measured in the yard")
        box.get_by_label("By").fill("Arnoldsen")
        box.get_by_label("Until").fill("2026-12-31")
        page.locator(".repeated a.pick").first.click()
        page.locator("#chosen").get_by_role("button", name="ask").click()
        assert "2 decisions, not saved yet" in page.locator("#decided-count").inner_text()
        warns = (
            "() => { const leaving = new Event('beforeunload', {cancelable: true}); return !dispatchEvent(leaving); }"
        )
        assert page.evaluate(warns)
        with page.expect_download() as waiting:
            page.get_by_role("button", name="Save decisions.json").click()
        assert waiting.value.suggested_filename == "decisions.json"
        saved = json.loads(Path(waiting.value.path()).read_text(encoding="utf-8"))
        assert not page.evaluate(warns)
        assert opened.complaints == []
    jsonschema.validate(saved, schema)
    one, other = saved["decisions"]
    assert (one["decision"], one["note"], one["by"], one["until"]) == (
        "accept", "measured in the yard", "Arnoldsen", "2026-12-31",
    )  # fmt: skip
    assert (other["key"], other["decision"], other["group"]) == (group["key"], "ask", True)


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
        slip = opened.page.locator(".slip-line[open]")
        assert slip.get_attribute("open") is not None
        molded = "".join(slip.locator(".molded .cut").all_inner_texts())
        assert molded.replace(" ", "") == finding["marking"].replace(" ", "")
        wrong = slip.locator(".statements tr.differs", has_text="Maximum load (kg)").inner_text()
        assert re.search(rf"{finding['stated']}\s+{finding['derived']}\s+✗ differs", wrong)
        assert slip.locator(".statements tr").count() > 6
        said = slip.locator(f"[id='cell-{finding['key']}']")
        assert "Likely cause: the value stands in the wrong unit." in said.inner_text()
        assert f"Put {finding['suggestion']} in {finding['column']}" in said.inner_text()
        assert not said.locator(".it .facts").is_visible()  # technical keys are folded
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
        opened.page.locator(f"[id='cell-{finding['key']}']").get_by_role("button", name="Copy as text").click()
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
        assert page.evaluate("document.activeElement.textContent") == "accept"


def test_supplier_and_rule_links_choose_their_findings(browser: Any, audit: FinishedAudit) -> None:
    with Opened(browser, audit.folder) as opened:
        opened.page.locator("a[data-pick=supplier]", has_text="Kestrel").first.click()
        shown = set(opened.page.locator(".slip-line .who .whose").all_inner_texts())
        assert shown == {"Kestrel Wholesale Rubber"}
        opened.page.locator("a[data-pick=rule][data-value=rim-mismatch]").first.click()
        fields = set(opened.page.locator(".slip-line .what b").all_inner_texts())
        assert fields == {"Rim diameter (in)"}


@pytest.mark.parametrize(
    ("scheme", "size"),
    [
        ("light", (1366, 768)),
        ("light", (390, 844)),
        ("dark", (390, 844)),
        ("dark", (1366, 768)),
        ("forced", (1366, 768)),
    ],
)
def test_no_accessibility_rule_is_broken(
    browser: Any, audit: FinishedAudit, scheme: str, size: tuple[int, int]
) -> None:
    viewport = {"width": size[0], "height": size[1]}
    look = {"forced_colors": "active"} if scheme == "forced" else {"color_scheme": scheme}
    key = worst_findings(audit.findings).table["key"][0].as_py()
    with Opened(browser, audit.folder, f"#finding-{key}", viewport=viewport, bypass_csp=True, **look) as opened:
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
        listings = {(row["feed"], row["record"]) for row in pq.read_table(audit.findings).to_pylist()}
        assert visible_lines(opened.page) == len(listings)  # 100 before


def test_three_quarters_of_a_million_findings_stay_small_and_quick(
    browser: Any, audit: FinishedAudit, tmp_path: Path
) -> None:
    million = repeat(audit, tmp_path, 750_000)
    path = write_report(million)
    assert path.stat().st_size < 3_000_000
    with Opened(browser, tmp_path) as opened:
        started = time.perf_counter()
        opened.page.reload()
        opened.page.locator(".slip-line").first.wait_for()
        opened.page.fill("input[name=text]", "kestrel 225/65r17")
        count_says(opened.page, re.compile("^[0-9]{1,3} findings"))
        count_says(opened.page, " listed")
        assert time.perf_counter() - started < 2.0
        assert re.search(
            r"findings listed here of [0-9]{3},[0-9]{3}", opened.page.locator("#findings .cap").inner_text()
        )
        for rule in (
            "depth-units-disagree",
            "load-unverified",
        ):  # every line of the tables opens on something
            opened.page.locator(f"a[data-pick=rule][data-value={rule}]").first.click()
            assert visible_lines(opened.page) > 0


def test_thousands_of_suppliers_stay_small_and_each_can_be_written_to(audit: FinishedAudit, tmp_path: Path) -> None:
    (row, *_) = audit.summary["by_supplier"].values()
    by_supplier = {f"Harrowgate Lots {number:04} عجلات": row for number in range(2_500)}
    by_subject = [{"subject": "load", "supplier": supplier, "findings": 3} for supplier in by_supplier]
    summary = {**audit.summary, "by_supplier": by_supplier, "by_subject_supplier": by_subject}
    letters = {supplier: supplier.replace(" ", "-") for supplier in by_supplier}
    path = write_report(dataclasses.replace(audit, folder=tmp_path, summary=summary), letters)
    page = path.read_text(encoding="utf-8")
    assert path.stat().st_size < 3_000_000
    assert "all 2,500 are in" in page
    assert '<a href="corrections/index.html">the index of letters</a>' in page


def test_same_audit_gives_the_same_bytes(audit: FinishedAudit, tmp_path: Path) -> None:
    beside = tmp_path / "beside"  # the folder of the audit is everybody's
    beside.mkdir()
    first, second = write_report(invented_audit(tmp_path)), write_report(dataclasses.replace(audit, folder=beside))
    assert first != second and first.read_bytes() == second.read_bytes()


def test_report_of_a_clean_night(browser: Any, tmp_path: Path) -> None:
    clean = invented_audit(tmp_path, listings=0)
    write_report(clean)
    with Opened(browser, tmp_path) as opened:
        assert "Nothing dangerous in what was read." in opened.page.locator(".danger").inner_text()
        assert opened.complaints == []


def test_single_dangerous_listings_are_ranked_by_how_easily_they_are_believed(audit: FinishedAudit) -> None:
    groups = groups_shown(audit.summary, load_wordings("en"), audit.rules, {})
    rows = dangerous(worst_findings(audit.findings), load_wordings("en"), groups)
    positions = [(row["feed"], row["record"]) for row in rows]
    assert len(positions) == len(set(positions))
    far = [row["deviation"] or 0.0 for row in rows]
    assert doubted(np.array(far)).tolist() == sorted(doubted(np.array(far)).tolist())
    assert doubted(np.array([150 / 800, 964 / 800, 5900 / 615])).tolist() == [0, 1, 2]
    assert not any(row["likely_cause"] == "unit-swapped" and row["supplier"].startswith("Kestrel") for row in rows)


def test_next_step_is_right_for_a_group_for_one_supplier_and_for_many(audit: FinishedAudit) -> None:
    groups = groups_shown(audit.summary, load_wordings("en"), audit.rules, {})
    said = next_step(audit.summary, groups)
    assert said.startswith("Begin with Kestrel Wholesale Rubber, Max Load Kg: pounds written as kilograms")
    many = {"by_supplier": {f"S{number}": {"critical": 1} for number in range(300)}, "totals": {"held": 300}}
    assert next_step(many, []).startswith("The critical findings come from 300 suppliers")
    one = {"by_supplier": {"Kestrel": {"critical": 7}}, "totals": {"held": 7}}
    assert next_step(one, []).startswith("All critical findings come from Kestrel")
    assert next_step({"by_supplier": {}, "totals": {"held": 0}}, []) == "Nothing waits for a decision."
