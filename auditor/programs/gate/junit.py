"""The gate's findings as JUnit XML: a suite for each file, a case for each listing with findings."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from auditor.programs.gate.checking import Checked

_NO_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def junit(checked: Sequence[Checked]) -> str:
    """Held listings are failures, what could not be read errors; minor findings stand in the output of their case."""
    root = Element("testsuites")
    for file, group in groupby(checked, key=lambda one: one.file):
        cases = list(group)
        suite = SubElement(
            root,
            "testsuite",
            name=_clean(file),
            tests=str(len(cases)),
            failures=str(sum(one.verdict == "hold" for one in cases)),
            errors=str(sum(one.verdict == "unreadable" for one in cases)),
        )
        for one in cases:
            _case(suite, one)
    indent(root, " ")
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode") + "\n"


def _case(suite: Element, one: Checked) -> None:
    name = f"line {one.line}" + (f": {one.name}" if one.name else "")
    case = SubElement(suite, "testcase", name=_clean(name), classname=_clean(one.file), file=_clean(one.file))
    case.set("line", str(one.line))
    if one.verdict == "unreadable":
        SubElement(case, "error", message=_clean(one.wrong), type="unreadable").text = _clean(one.wrong)
        return
    said = "\n".join(
        f"{found['grade']} {found['rule']} in {found['field']}: {found['message']}" for found in one.findings
    )
    if one.verdict == "hold":
        worst = min(one.findings, key=lambda found: ("critical", "major", "minor").index(found["grade"]))
        SubElement(case, "failure", message=_clean(worst["message"]), type=worst["rule"]).text = _clean(said)
    elif said:
        SubElement(case, "system-out").text = _clean(said)


def _clean(text: str) -> str:
    """Without what XML 1.0 cannot hold."""
    return _NO_XML.sub("\ufffd", text)
