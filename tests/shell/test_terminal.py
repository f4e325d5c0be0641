"""The end of a run at 80 columns, without color."""

from __future__ import annotations

import copy
from pathlib import Path

from auditor.outputs.audit_result import FinishedAudit
from auditor.outputs.headline import in_one_sentence
from auditor.shell.terminal import end_of_run


def test_end_of_run_fits_80_columns_and_names_the_report(audit: FinishedAudit) -> None:
    text = end_of_run(audit.summary, audit.rules, Path("night"))
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "\x1b" not in text
    for part in (
        "Kestrel Wholesale Rubber",
        "load-overstated",
        "Traglast 2",
        "extra/old.csv",
        "night/report.html",
    ):
        assert part in text, part
    first = text.index("Kestrel Wholesale Rubber")
    assert first < text.index("Pneumatique du Vallon")  # more dangerous first


def test_color_adds_nothing_but_color(audit: FinishedAudit) -> None:
    import re

    plain = end_of_run(audit.summary, audit.rules, Path("night"))
    colored = end_of_run(audit.summary, audit.rules, Path("night"), color=True)
    assert colored != plain
    assert re.sub(r"\x1b\[[0-9;]*m", "", colored) == plain


def test_a_supplier_cannot_steer_the_terminal(audit: FinishedAudit) -> None:
    summary = copy.deepcopy(audit.summary)
    summary["by_supplier"]["\x1b[2J[bold]evil[/]\x07\nnew line"] = summary["by_supplier"].pop("Odermatt Reifenkontor")
    text = end_of_run(summary, audit.rules, Path("night"))
    assert not any(char != "\n" and not char.isprintable() for char in text)
    assert "[2J[bold]evil[/]  new line" in text


def test_many_suppliers_are_capped_and_the_cap_is_said(audit: FinishedAudit) -> None:
    summary = copy.deepcopy(audit.summary)
    for number in range(30):
        summary["by_supplier"][f"Small {number}"] = summary["by_supplier"]["Odermatt Reifenkontor"] | {"critical": 0}
    assert "(22 more suppliers in the report)" in end_of_run(summary, audit.rules, Path("night"))


def test_a_clean_night_in_one_sentence(audit: FinishedAudit) -> None:
    summary = copy.deepcopy(audit.summary)
    summary["feeds"], summary["unreadable_feeds"] = summary["feeds"][:1], []
    summary["totals"] |= {"records": 1, "released": 1, "held": 0, "rejected": 0}
    summary["totals"]["listings_with"]["critical"] = 0
    assert in_one_sentence(summary) == "1 feed, 1 listing: 1 released, 0 held; none of them dangerous."
