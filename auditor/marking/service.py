"""Service descriptions: load index, or single/dual, plus speed symbol; a second one in brackets or joined.

Source of the form: UN Regulation No. 30, paragraphs 2.28 and 3.1; UN Regulation No. 54, paragraphs 2.26 and 3.1.
"""

from __future__ import annotations

import re

from auditor.trade.marking_model import ServiceDescription

SYMBOL = r"A[1-8]|[B-HJ-NP-WY]"
# The symbol ends the description: `102 M+S` is an index and a mark, `58 M/C` likewise.
DESCRIPTION = re.compile(
    rf"(?P<single>[1-9]\d{{1,2}})(?: ?(?P<bar>[/\\-]) ?(?P<dual>[1-9]\d{{1,2}}))?(?P<gap> ?[/-]?)"
    rf"(?P<symbol>{SYMBOL})(?!(?!XL(?![A-Z]))[A-Z0-9]|[&+]S|[/.-][CS](?![A-Z0-9])|\.[A-Z]| ?PLY| ?P\.?R)"
)
OPEN = re.compile(r"\( ?(?P<single>[1-9]\d{1,2}) ?(?P<symbol>[A-Y]\d?) ?\)")
OPEN_SYMBOL = re.compile(r"(?P<single>[1-9]\d{1,2}) ?\( ?(?P<symbol>[WY]) ?\)")
BARE = re.compile(
    r"(?P<single>[1-9]\d{1,2})(?: ?/ ?(?P<dual>[1-9]\d{1,2}))?"
    r"(?![0-9A-Z.,]| ?(?:KG|LBS?|KPA|PSI|MM|KM|MPH|-?PLY|-?P\.?R)\b)"
)

HIGHEST_INDEX = 279


def description(match: re.Match[str]) -> ServiceDescription | None:
    """The service description of a match of `DESCRIPTION`; None where the index is in no table."""
    single = int(match["single"])
    dual = int(match["dual"]) if match["dual"] else None
    if single > HIGHEST_INDEX or (dual is not None and dual > HIGHEST_INDEX):
        return None
    return ServiceDescription(single, dual, match["symbol"])


def text_of(service: ServiceDescription) -> str:
    """Canonical text of one service description; empty when nothing is stated."""
    if service.load_index is None:
        return service.speed_symbol or ""
    single = str(service.load_index)
    if service.load_index_dual is not None:
        single = f"{single}/{service.load_index_dual}"
    text = single + (service.speed_symbol or "")
    return f"({text})" if service.speed_open else text


def additional_text(main: ServiceDescription, additional: tuple[ServiceDescription, ...]) -> str:
    """Canonical text of what follows the governing description.

    Slow machines' tires carry `155A8/152B`; all others have the second description in brackets, `(122/119N)`.
    """
    text = ""
    for position, extra in enumerate(additional):
        joined = (
            position == 0
            and main.load_index is not None
            and main.speed_symbol is not None
            and main.speed_symbol[0] in "ABCDE"
            and main.load_index_dual is None
            and extra.load_index_dual is None
        )
        text += f"/{text_of(extra)}" if joined else f" ({text_of(extra)})"
    return text
