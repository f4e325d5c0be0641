"""What a file is known by from night to night: its name without dates and counters."""

from __future__ import annotations

import re

from auditor.feeds.model import Feed, Mapping

_SUFFIXES = re.compile(r"(?:\.[A-Za-z][A-Za-z0-9]{0,7}){1,2}$")
_COMPRESSED = re.compile(r"\.(?:gz|bz2|xz|zst|zip|7z)$", re.IGNORECASE)
# Dates as people put them into names, a time of day behind them or not; then months in words and numbered weeks.
_MONTHS = (
    "jan(?:uary|uar)?|feb(?:ruary|ruar)?|mar(?:ch)?|märz|apr(?:il)?|may|mai|june?|juni|july?|juli|aug(?:ust)?"
    "|sept?(?:ember)?|o[ck]t(?:ober)?|nov(?:ember)?|de[cz](?:ember)?"
)
_DATES = re.compile(
    r"(?<!\d)(?:"
    r"(?:19|20)\d\d[-_. ]?(?:0[1-9]|1[0-2])(?:[-_. ]?(?:0[1-9]|[12]\d|3[01]))?"
    r"(?:[-_. T]?[0-2]\d(?:[-_.:h ]?[0-5]\d){1,2}Z?)?"
    r"|(?:0?[1-9]|[12]\d|3[01])[-_. ](?:0?[1-9]|1[0-2])[-_. ](?:(?:19|20)\d\d|\d\d)"
    r"|(?:0?[1-9]|1[0-2])[-_. ](?:0?[1-9]|[12]\d|3[01])[-_. ](?:19|20)\d\d"
    rf"|(?<![a-zä])(?:\d{{1,2}}[-_. ]?)?(?:{_MONTHS})[-_. ]?(?:\d{{1,2}}[-_., ]+)?(?:(?:19|20)\d\d|\d\d)(?![a-z])"
    r"|(?:(?:19|20)\d\d[-_. ]?)?(?<![a-z])(?:w|kw|wk|week)[-_. ]?[0-5]?\d(?:[-_. ]?(?:19|20)\d\d)?"
    r"|(?:0[1-9]|[12]\d|3[01])(?:0[1-9]|1[0-2])(?:19|20)\d\d"
    r"|(?:19|20)\d\d"
    r")(?!\d)",
    re.IGNORECASE,
)
_COUNTERS = re.compile(
    r"\s*\(\d+\)|(?<![a-z\d])(?:part|pt|teil|no|nr|v|ver|version|rev|copy|run|batch|lot|file)?[-_. ]?\d+(?![a-z\d])",
    re.IGNORECASE,
)
_SEPARATORS = re.compile(r"[-_.\s]+")


def known_name(name: str) -> str:
    """A file's name without its folders, suffixes, dates and counters, in lower case; empty where nothing is left.

    >>> known_name("in/North_Tires_2026-03-01 (2).csv.gz")
    'north-tires'
    >>> known_name("shop24.csv")
    'shop24'
    """
    last = name.replace("\\", "/").rstrip("/").rsplit("/", 1)[-1]
    bare = _COMPRESSED.sub("", last)
    bare = _SUFFIXES.sub("", bare) or bare
    return _joined(_COUNTERS.sub(" ", _DATES.sub(" ", bare)))


def known_supplier(feed: Feed) -> str:
    """Who a feed's listings are from, for keys that stay the same from night to night, where no cell says so."""
    return feed.supplier or map_name(feed.mapping) or known_name(feed.name) or known_folder(feed.name) or "feed"


def map_name(mapping: Mapping) -> str:
    """What a written map calls its feed: its own word for it, else the name of the map's file; empty without one."""
    return mapping.feed or mapping.name.removesuffix(".toml") if mapping.name.endswith(".toml") else ""


def without_dates(stem: str) -> str:
    """A file's bare name as it is written, but for its dates; as it is where it has none or is nothing else."""
    if not _DATES.search(stem):
        return stem
    left = re.sub(r"([-_.\s])[-_.\s]+", r"\1", _DATES.sub("", stem))
    return re.sub(r"^[-_.\s]+|[-_.\s]+$", "", left) or stem


def known_folder(name: str) -> str:
    """The folders a file lies in, without dates and counters."""
    folders = name.replace("\\", "/").split("/")[:-1]
    return "/".join(part for part in (_joined(_COUNTERS.sub(" ", _DATES.sub(" ", one))) for one in folders) if part)


def _joined(text: str) -> str:
    return _SEPARATORS.sub("-", text.strip().casefold()).strip("-")
