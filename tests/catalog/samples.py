"""The committed sample catalogs: invented suppliers, every kind of mistake, one answer sheet."""

from __future__ import annotations

import csv
import dataclasses
import io
import random
from dataclasses import dataclass
from pathlib import Path

from tests.catalog import write
from tests.catalog.faults import FAULTS, Case
from tests.catalog.layout import Laid, lay_out
from tests.catalog.offers import with_offers
from tests.catalog.suppliers import GERMAN, MESSY, TIDY, in_german
from tests.catalog.tires import VARIANTS
from tests.catalog.valid import Maker, Style, dressed

FOLDER = Path(__file__).resolve().parents[2] / "sample_catalogs"
ANSWERS = Path(__file__).with_name("answers.csv")
RIGHT = 330
SEED = 20240219


@dataclass(frozen=True, slots=True)
class Sample:
    """One feed, or one sheet of a workbook: file name, supplier, how it writes numbers, its headers.

    `shares` says which thirds of the kinds of mistakes it makes; `kinds` names them instead.
    """

    file: str
    supplier: str
    styles: tuple[Style, ...]
    headers: dict[str, str]
    shares: frozenset[int] = frozenset()
    kinds: tuple[str, ...] = ()
    sheet: str = ""
    variants: tuple[str, ...] = VARIANTS
    line_end: str = "\n"
    offers: str = ""  # the field in which it names tires beside its own


HEAVY = (
    "commercial",
    "commercial-two",
    "truck-metric",
    "truck-metric-two",
    "truck-numeric",
    "numeric",
    "agricultural",
)
LIGHT = tuple(variant for variant in VARIANTS if variant not in HEAVY)
METRIC_KINDS = (
    "single and dual load exchanged", "load digits transposed", "load digit missing", "load digit added",
    "load decimal slip", "load of a pair as one tire's", "load cell holds the load index",
    "load above the table beyond rounding", "load index in its field higher", "load index digits transposed",
    "load that cannot be read", "speed of the next symbol", "speed digits transposed",
    "speed symbol in its field faster", "rim of another diameter", "rim off by half an inch",
    "aspect ratio of another size", "nominal width far off", "overall diameter far beyond its envelope",
    "overall diameter beyond its envelope by a little", "load version contradicts the marking",
    "marking that cannot be read", "load index of the marking against two votes", "title names another rim",
    "summer tire with the mountain snowflake", "winter tire without a snow mark",
    "tire class of another kind of tire", "label class that does not exist", "noise class unlike the noise",
    "GTIN with a wrong check digit",
    "listing repeated",
)  # fmt: skip
SHEET_KINDS = {
    "Passenger": (
        "kg cell holds the lb value", "km/h cell holds the mph value", "rim of another diameter",
        "psi against kPa", "treadwear no multiple of 20", "title promises more speed", "GTIN on two different tires",
    ),
    "Commercial": (
        "single and dual load exchanged", "ply rating unlike the load range", "load range field higher",
        "lb of the next load index", "description promises more load",
    ),
}  # fmt: skip

SAMPLES = (
    Sample("tannery_row.csv", "Tannery Row Supply", (Style(tidy=True),), TIDY, frozenset({0, 1}), offers="substitutes"),
    Sample(
        "bexhollow.csv",
        "Bexhollow Wholesale",
        (Style(), Style(units=True), Style(thousands=True)),
        MESSY,
        frozenset({1, 2}),
        line_end="\r\n",
    ),
    Sample(
        "quillfeather.parquet", "Quillfeather Imports", (Style(units=True),), {}, frozenset({2, 0}), offers="replaces"
    ),
    Sample(
        "grauwinkel.csv", "Grauwinkel Reifenhandel", (Style(),), GERMAN, kinds=METRIC_KINDS, line_end="\r\n"
    ),
    Sample(
        "pellmont.xlsx", "Pellmont Distribution", (Style(tidy=True),), TIDY,
        kinds=SHEET_KINDS["Passenger"], sheet="Passenger", variants=LIGHT,
    ),
    Sample(
        "pellmont.xlsx", "Pellmont Distribution", (Style(tidy=True),), TIDY,
        kinds=SHEET_KINDS["Commercial"], sheet="Commercial", variants=HEAVY,
    ),
    Sample("ondrel.csv.gz", "Ondrel and Daughters", (Style(thousands=True),), {}, frozenset({1})),
)  # fmt: skip
ACROSS = ("two suppliers disagree on one GTIN",)


def laid_out() -> tuple[Laid, ...]:
    """The records and answers of every sample feed."""
    return tuple(_one(position, sample) for position, sample in enumerate(SAMPLES))


def _one(position: int, sample: Sample) -> Laid:
    maker = Maker(SEED + position, (sample.supplier,), sample.styles, first_serial=1 + 100_000 * position)
    right = [dressed(maker.listing(variants=sample.variants), maker.rng) for _ in range(RIGHT)]
    kinds = sample.kinds or [kind for occurrence, kind in enumerate(FAULTS) if occurrence % 3 in sample.shares]
    made = [FAULTS[kind].case(maker) for kind in kinds if kind not in ACROSS] + _halves(sample)
    if sample.headers is GERMAN:
        for listing in (*right, *(listing for case in made for listing in case.listings)):
            listing.cells = in_german(listing.cells)
    laid = lay_out(sample.file, right, made, random.Random(SEED - position))
    return with_offers(laid, sample.offers, random.Random(SEED + position)) if sample.offers else laid


def _halves(sample: Sample) -> list[Case]:
    """The parts of the cases across suppliers that this supplier sends."""
    out = []
    for kind in ACROSS:
        case = FAULTS[kind].case(Maker(SEED, first_serial=900_000))
        for at, made in enumerate(case.listings):
            if made.cells["supplier"] == sample.supplier:
                made.cells["sku"] = f"X{at}900000"
                wanted = tuple(dataclasses.replace(one, at=0) for one in case.expects if one.at == at)
                out.append(Case(kind, case.subject, (made,), wanted, case.may))
    return out


def feed_bytes(sample: Sample, laid: Laid) -> bytes:
    """A delimited text feed as bytes, before compression."""
    if sample.headers is GERMAN:
        return write.csv_text(laid.rows, sample.headers, ";", sample.line_end).encode("cp1252")
    return write.csv_text(laid.rows, sample.headers, line_end=sample.line_end).encode("utf-8")


def answer_text(feeds: tuple[Laid, ...]) -> str:
    """The answer sheet: one line for each expected finding."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["feed", "sheet", "record", "kind", "rules", "fields", "grades", "causes", "derived"])
    for sample, laid in zip(SAMPLES, feeds, strict=True):
        for answer in sorted(laid.answers, key=lambda answer: answer.record):
            wanted = answer.expect
            words = ("|".join(sorted(word)) for word in (wanted.rules, wanted.fields, wanted.grades, wanted.causes))
            derived = "" if wanted.derived is None else f"{wanted.derived}"
            writer.writerow([laid.name, sample.sheet, answer.record, answer.kind, *words, derived])
    return out.getvalue()


def write_all(folder: Path = FOLDER, answers: Path = ANSWERS) -> None:
    """Write every sample feed and the answer sheet, the same bytes every time."""
    folder.mkdir(parents=True, exist_ok=True)
    feeds = laid_out()
    sheets: dict[str, list[tuple[str, list[dict[str, str]], dict[str, str]]]] = {}
    for sample, laid in zip(SAMPLES, feeds, strict=True):
        path = folder / sample.file
        if sample.sheet:
            sheets.setdefault(sample.file, []).append((sample.sheet, laid.rows, sample.headers))
        elif path.suffix == ".parquet":
            write.parquet(path, laid.rows, sample.headers)
        else:
            write.text_file(path, feed_bytes(sample, laid))
    for file, parts in sheets.items():
        write.workbook(folder / file, parts)
    answers.write_text(answer_text(feeds), "utf-8")
