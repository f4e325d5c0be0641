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
from tests.catalog.valid import Maker, Style, valid

FOLDER = Path(__file__).resolve().parents[2] / "sample_catalogs"
ANSWERS = "answers.csv"
RIGHT = 430
SEED = 20240219

# Headers as each supplier spells them; a field that is not named keeps its own name.
TIDY = {
    "supplier": "Supplier", "sku": "SKU", "part_number": "Part Number", "gtin": "UPC", "brand": "Brand",
    "model": "Model", "title": "Title", "description": "Description", "marking": "Tire Marking",
    "size": "Tire Size", "service_description": "Service Description", "load_index": "Load Index",
    "load_index_dual": "Load Index Dual", "speed_symbol": "Speed Rating", "load_range": "Load Range",
    "ply_rating": "Ply Rating", "max_load_kg": "Max Load (kg)", "max_load_lb": "Max Load (lb)",
    "max_load_dual_kg": "Max Load Dual (kg)", "max_load_dual_lb": "Max Load Dual (lb)",
    "max_speed_kmh": "Max Speed (km/h)", "max_speed_mph": "Max Speed (mph)",
    "rim_diameter_in": "Rim Diameter (in)", "aspect_ratio": "Aspect Ratio",
    "section_width_mm": "Section Width (mm)",
}  # fmt: skip
MESSY = {
    "supplier": "VENDOR", "sku": "ITEM NO.", "part_number": "Mfr Part #", "gtin": "EAN", "brand": "MAKE",
    "model": "Tread Pattern", "title": "product_name", "description": "Long Description",
    "marking": "Full Size", "size": "Tyre Size", "service_description": "LOAD/SPEED", "load_index": "L.I.",
    "load_index_dual": "Dual Load Index", "speed_symbol": "SPEED RATING", "load_range": "LR",
    "ply_rating": "Ply", "load_version": "SL/XL", "construction": "Construction Type",
    "section_width_mm": "section width mm", "aspect_ratio": "Series",
    "rim_diameter_in": "Wheel Dia. (inch)", "overall_diameter_mm": "OD mm",
    "overall_diameter_in": "O.D. (in.)", "max_load_kg": "MAX LOAD KGS", "max_load_lb": "Max. Load LBS",
    "max_load_dual_kg": "dual max load kg", "max_load_dual_lb": "dual max load lbs",
    "max_speed_kmh": "Top Speed KPH", "max_speed_mph": "top speed mph",
    "max_pressure_psi": "Max. Inflation (PSI)", "max_pressure_kpa": "Max. Inflation (kPa)",
    "mud_and_snow": "M+S", "severe_snow": "3PMSF", "treadwear": "UTQG Treadwear",
    "traction": "UTQG Traction", "temperature": "UTQG Temperature",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Sample:
    """One sample feed: file name, supplier, how it writes numbers, its headers."""

    file: str
    supplier: str
    styles: tuple[Style, ...]
    headers: dict[str, str]
    shares: frozenset[int]  # which thirds of the kinds of mistakes it makes
    line_end: str = "\n"


SAMPLES = (
    Sample("tannery_row.csv", "Tannery Row Supply", (Style(tidy=True),), TIDY, frozenset({0, 1})),
    Sample(
        "bexhollow.csv",
        "Bexhollow Wholesale",
        (Style(), Style(units=True), Style(thousands=True)),
        MESSY,
        frozenset({1, 2}),
        "\r\n",
    ),
    Sample("quillfeather.parquet", "Quillfeather Imports", (Style(units=True),), {}, frozenset({2, 0})),
)
ACROSS = ("two suppliers disagree on one GTIN",)


def laid_out() -> tuple[Laid, ...]:
    """The records and answers of every sample feed."""
    return tuple(_one(place, sample) for place, sample in enumerate(SAMPLES))


def _one(place: int, sample: Sample) -> Laid:
    maker = Maker(SEED + place, (sample.supplier,), sample.styles, first_serial=1 + 100_000 * place)
    right = valid(maker, RIGHT)
    kinds = [kind for turn, kind in enumerate(FAULTS) if turn % 3 in sample.shares and kind not in ACROSS]
    made = [FAULTS[kind].case(maker) for kind in kinds] + _halves(sample)
    return lay_out(sample.file, right, made, random.Random(SEED - place))


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


def write_feed(sample: Sample, laid: Laid, folder: Path) -> None:
    """Write one feed in its own format."""
    path = folder / sample.file
    if path.suffix == ".parquet":
        write.parquet(path, laid.rows, sample.headers)
    else:
        write.csv_file(path, laid.rows, sample.headers, line_end=sample.line_end)


def answer_text(feeds: tuple[Laid, ...]) -> str:
    """The answer sheet: one line for each expected finding, and one for each record that may have another."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["feed", "record", "kind", "rules", "fields", "grades", "causes", "derived", "may_also"])
    for laid in feeds:
        for answer in sorted(laid.answers, key=lambda answer: answer.record):
            wanted = answer.expect
            words = (wanted.rules, wanted.fields, wanted.grades, wanted.causes)
            derived = "" if wanted.derived is None else f"{wanted.derived}"
            also = "|".join(sorted(laid.may.get(answer.record, ())))
            writer.writerow(
                [
                    laid.name,
                    answer.record,
                    answer.kind,
                    *("|".join(sorted(word)) for word in words),
                    derived,
                    also,
                ]
            )
    return out.getvalue()


def write_all(folder: Path = FOLDER) -> None:
    """Write every sample feed and the answer sheet, the same bytes every time."""
    folder.mkdir(parents=True, exist_ok=True)
    feeds = laid_out()
    for sample, laid in zip(SAMPLES, feeds, strict=True):
        write_feed(sample, laid, folder)
    (folder / ANSWERS).write_text(answer_text(feeds), "utf-8")
