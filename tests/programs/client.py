"""What a program may rely on, as type checkers see it: checked by mypy and pyright, never run."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Literal, assert_type

import pandas as pd
import polars as pl
import pyarrow as pa

import auditor

verdict = auditor.audit_listing({"marking": "225/65R17 102H", "max_load_kg": 850})
assert_type(verdict.verdict, Literal["release", "hold"])
assert_type(verdict.marking, str | None)
assert_type(verdict.suggestions, Mapping[str, str])
for finding in verdict.findings:
    assert_type(finding.grade, Literal["critical", "major", "minor"])
    assert_type(finding.deviation, float | None)
    assert_type(finding.to_json(), str)
    if finding.likely_cause == "unit-swapped":
        assert_type(finding.field, str)

assert_type(auditor.audit_listings([{"marking": "225/65R17"}]), Iterator[auditor.Verdict])

frame = pd.DataFrame({"marking": ["225/65R17 102H"]})
of_pandas = auditor.audit(frame, workers=2, market="EU")
assert_type(of_pandas.findings, pd.DataFrame)
assert_type(of_pandas.held, pd.DataFrame | None)
assert_type(of_pandas.exit_code, Literal[0, 1, 3, 5])

assert_type(auditor.audit(pl.DataFrame({"marking": ["x"]})).findings, pl.DataFrame)
assert_type(auditor.audit("feeds", "out").summary["totals"], Any)
assert_type(auditor.audit(pa.table({"marking": ["x"]}), maps="maps").findings, pa.Table)

decoded = auditor.decode("225/65R17 102H")
if isinstance(decoded, auditor.Marking):
    assert_type(decoded.service.load_index, int | None)
else:
    assert_type(decoded, auditor.Unreadable)

assert_type(auditor.substitute("225/65R17 102H", "225/65R17 100V").answer, Literal["yes", "no", "cannot tell"])
assert_type(auditor.load_book(market="US"), auditor.RuleBook)
