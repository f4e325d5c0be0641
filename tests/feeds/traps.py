"""Small feed files, one per trap, named after the trap; `python -m tests.feeds.traps` writes them again.

All brands and suppliers are invented.
"""

from __future__ import annotations

import bz2
import gzip
import io
import json
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

FOLDER = Path(__file__).parent / "trap_feeds"
HEADER = ["sku", "marking", "max_load_kg", "title"]
ROWS = [
    ["A-1", "225/65R17 102H", "850", "Nordhall Weg 2"],
    ["A-2", "205/55R16 91V", "615", "Nordhall Gipfel, winter"],
    ["A-3", "LT265/70R17 121/118S E", "1450", "Ellermoor Pfad"],
    ["A-4", "195/65R15 91H", "615", "Nordhall Weg 1"],
]


@dataclass(frozen=True)
class Trap:
    """One feed file and what reading it must give."""

    file: str
    build: Callable[[], bytes]
    records: int = 4
    rejected: dict[int, str] = field(default_factory=dict)  # record number -> words of the reason
    placed: dict[str, str] = field(default_factory=dict)  # header -> primary field
    cells: dict[tuple[int, str], str] = field(default_factory=dict)  # record number, header -> text
    left_out: tuple[str, ...] = ()  # headers
    byte_equal: bool = True  # releasing everything gives the file back
    error: str | None = None  # words of the FeedError that opening raises

    @property
    def name(self) -> str:
        """The trap, in words."""
        return self.file.split(".")[0]


def table(rows: list[list[str]] = ROWS, header: list[str] = HEADER, mark: str = ",", end: str = "\n") -> str:
    """A delimited text; cells with the delimiter, quotes or line breaks are quoted."""

    def cell(text: str) -> str:
        return '"' + text.replace('"', '""') + '"' if any(char in text for char in f'{mark}"\n\r') else text

    return "".join(mark.join(map(cell, row)) + end for row in [header, *rows])


def raw(text: str, encoding: str = "utf-8") -> Callable[[], bytes]:
    """A builder of exactly this text."""
    return lambda: text.encode(encoding)


def zipped(members: dict[str, bytes]) -> bytes:
    """A zip archive without time stamps."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()


def lines(*objects: dict[str, object]) -> str:
    """One JSON object per line."""
    return "".join(json.dumps(item, ensure_ascii=False) + "\n" for item in objects)


OBJECTS = [dict(zip(HEADER, row, strict=True)) for row in ROWS]
GERMAN = ["Artikelnr.", "Reifengröße", "LI/SI", "Traglast (kg)", "Profiltiefe (mm)", "Saison"]
GERMAN_ROWS = [
    ["1001", "225/65R17", "102H", "850", "8,5", "Sommerreifen"],
    ["1002", "205/55R16", "91V", "615", "7,9", "Winterreifen"],
    ["1003", "LT265/70R17", "121/118S", "1.450", "11,0", "Ganzjahresreifen"],
]
GERMAN_PLACED = {
    "Artikelnr.": "sku",
    "Reifengröße": "size",
    "LI/SI": "service_description",
    "Traglast (kg)": "max_load_kg",
    "Profiltiefe (mm)": "tread_depth_mm",
    "Saison": "season",
}
HEAD = "sku,marking,max_load_kg,title\n"
PLAIN = {(1, "marking"): "225/65R17 102H", (4, "sku"): "A-4"}


def two_words(header: str, row: str) -> Callable[[], bytes]:
    """A header and three equal records."""
    return raw(header + "\n" + (row + "\n") * 3)


TEXT_TRAPS = [
    Trap("comma_utf8.csv", raw(table()), cells=PLAIN, placed={"max_load_kg": "max_load_kg", "title": "title"}),
    Trap("tab_delimited.tsv", raw(table(mark="\t")), cells=PLAIN),
    Trap("pipe_delimited.txt", raw(table(mark="|")), cells=PLAIN),
    Trap(
        "semicolon_decimal_comma_windows_1252.csv",
        raw(table(GERMAN_ROWS, GERMAN, ";", "\r\n"), "windows-1252"),
        3,
        placed=GERMAN_PLACED,
        cells={(3, "Traglast (kg)"): "1.450", (1, "Profiltiefe (mm)"): "8,5"},
    ),
    Trap("utf8_byte_order_mark.csv", raw("\ufeff" + table()), cells=PLAIN, placed={"sku": "sku"}),
    Trap(
        "utf16_little_endian.csv", raw("\ufeff" + table(GERMAN_ROWS, GERMAN, ";"), "utf-16-le"), 3, placed=GERMAN_PLACED
    ),
    Trap("utf16_big_endian_unmarked.csv", raw(table(), "utf-16-be"), cells=PLAIN),
    Trap("latin_1_accents.csv", raw(table(GERMAN_ROWS, GERMAN, ";"), "iso-8859-1"), 3, placed=GERMAN_PLACED),
    Trap(
        "latin_2_polish.csv",
        raw("Indeks;Rozmiar opony;Nośność (kg);Nazwa\nP1;225/65R17;850;Opona całoroczna Żaba\n", "iso-8859-2"),
        1,
        placed={"Nośność (kg)": "max_load_kg", "Rozmiar opony": "size"},
        cells={(1, "Nazwa"): "Opona całoroczna Żaba"},
    ),
    Trap("windows_line_ends.csv", raw(table(end="\r\n")), cells=PLAIN),
    Trap("lone_carriage_return_line_ends.csv", raw(table(end="\r")), cells=PLAIN),
    Trap(
        "line_breaks_inside_quotes.csv",
        raw(table([[*row[:3], f'{row[3]}\nsecond line, "quoted"\r\nthird'] for row in ROWS])),
        cells={(4, "title"): 'Nordhall Weg 1\nsecond line, "quoted"\r\nthird', (4, "sku"): "A-4"},
    ),
    Trap(
        "inch_marks_unquoted.csv",
        raw(HEAD + '1,225/65R17 102H,850,17" rim\n2,205/55R16 91V,615,16" and 17"\n3,195/65R15 91H,615,"15"" rim"\n'),
        3,
        cells={(1, "title"): '17" rim', (2, "title"): '16" and 17"', (3, "title"): '15" rim'},
    ),
    Trap(
        "text_after_closing_quote.csv",
        raw(HEAD + '1,225/65R17 102H,850,ok\n2,205/55R16 91V,615,"16" rim\n3,195/65R15 91H,615,ok\n'),
        3,
        {2: "closing quote"},
        cells={(3, "sku"): "3"},
    ),
    Trap(
        "quote_never_closed_in_the_middle.csv",
        raw(
            HEAD
            + '1,225/65R17 102H,850,ok\n2,205/55R16 91V,615,"lost\n'
            + '3,195/65R15 91H,615,"a, b"\n4,225/65R17 102H,850,ok\n'
        ),
        4,
        {2: "not closed"},
        cells={(3, "title"): "a, b", (4, "sku"): "4"},
    ),
    Trap(
        "quote_never_closed_before_the_end.csv",
        raw(HEAD + '1,225/65R17 102H,850,"lost\n2,205/55R16 91V,615,b\n3,195/65R15 91H,615,c\n'),
        3,
        {1: "not closed"},
        cells={(2, "sku"): "2", (3, "title"): "c"},
    ),
    Trap(
        "short_record.csv",
        raw(HEAD + "1,225/65R17 102H,850,a\n2,205/55R16 91V\n3,195/65R15 91H,615,c\n"),
        3,
        {2: "2 cells where the header has 4"},
        cells={(3, "sku"): "3"},
    ),
    Trap(
        "long_record.csv",
        raw(HEAD + "1,225/65R17 102H,850,a\n2,205/55R16 91V,615,b,too,many\n3,195/65R15 91H,615,c\n"),
        3,
        {2: "6 cells where the header has 4"},
        cells={(3, "sku"): "3"},
    ),
    Trap(
        "blank_lines_between_records.csv",
        raw(HEAD + "1,225/65R17 102H,850,a\n\n3,195/65R15 91H,615,c\n"),
        3,
        {2: "blank"},
        cells={(3, "sku"): "3"},
    ),
    Trap("blank_lines_at_the_end.csv", raw(table() + "\n\n\n"), cells=PLAIN, byte_equal=False),
    Trap("no_line_end_at_the_end.csv", raw(table()[:-1]), cells=PLAIN),
    Trap(
        "nul_byte_in_a_record.csv",
        raw(HEAD + "1,225/65R17 102H,850,a\n2,205/55R16\0 91V,615,b\n3,195/65R15 91H,615,c\n"),
        3,
        {2: "NUL"},
        cells={(3, "sku"): "3"},
    ),
    Trap(
        "undecodable_byte_in_utf8.csv",
        lambda: (
            HEAD.encode() + "1,225/65R17 102H,850,é\n".encode() + b"2,205/55R16 91V,615,\xff\n3,195/65R15 91H,615,c\n"
        ),
        3,
        {2: "not utf-8"},
        cells={(1, "title"): "é", (3, "sku"): "3"},
    ),
    Trap(
        "stray_carriage_return.csv",
        raw(HEAD + "1,225/65R17 102H,850,a\n2,205/55R16 91V,615,b\rc\n3,195/65R15 91H,615,c\n"),
        3,
        {2: "carriage return"},
        cells={(3, "sku"): "3"},
    ),
    Trap(
        "title_rows_above_the_header.csv",
        raw("Price list of Ellermoor Tire Supply,,,\nvalid from January,,,\n,,,\n" + table()),
        cells=PLAIN,
        placed={"marking": "marking"},
    ),
    Trap(
        "duplicate_headers.csv",
        raw("sku,marking,title,title\n1,225/65R17 102H,first,second\n"),
        1,
        cells={(1, "title"): "first"},
        left_out=("title",),
    ),
    Trap(
        "five_thousand_columns.csv",
        raw(
            ",".join([*HEADER, *[f"extra {position}" for position in range(5000)]])
            + "\n"
            + ",".join([*ROWS[0], *["x"] * 5000])
            + "\n"
        ),
        1,
        cells={(1, "extra 4999"): "x"},
        placed={"marking": "marking"},
    ),
    Trap("header_without_records.csv", raw(HEAD), 0),
    Trap(
        "leading_zeros_and_long_gtins.csv",
        raw("sku,gtin,marking\n000123,00012345678905,225/65R17 102H\n007,4012345678901,205/55R16 91V\n"),
        2,
        cells={(1, "sku"): "000123", (1, "gtin"): "00012345678905"},
    ),
    Trap(
        "formulas_as_text.csv",
        raw(HEAD + '=1+1,225/65R17 102H,850,"=HYPERLINK(""x"")"\n@b,205/55R16 91V,615,-2\n'),
        2,
        cells={(1, "sku"): "=1+1"},
    ),
    Trap(
        "thousands_separators.csv",
        raw('sku,marking,Max Load (lb)\n1,225/65R17 102H,"1,874"\n2,LT265/70R17 121/118S E,"3,197"\n'),
        2,
        placed={"Max Load (lb)": "max_load_lb"},
        cells={(1, "Max Load (lb)"): "1,874"},
    ),
    Trap(
        "combined_load_column.csv",
        raw(
            "sku,marking,Max Load (kg)\n1,LT265/70R17 121/118S E,1450/1320 kg\n2,LT245/75R16 120/116S E,1400/1250 kg\n"
        ),
        2,
        placed={"Max Load (kg)": "max_load_kg"},
    ),
    Trap(
        "service_description_in_the_load_index_column.csv",
        raw("sku,size,Load Index\n1,LT265/70R17,121/118S\n2,225/65R17,102H\n"),
        2,
        placed={"Load Index": "service_description"},
    ),
    Trap(
        "service_description_in_the_size_column.csv",
        raw("sku,Size,Brand\n1,LT265/70R17 121/118S E,Nordhall\n2,225/65R17 102H,Nordhall\n"),
        2,
        placed={"Size": "marking"},
    ),
    Trap("load_without_a_unit.csv", raw("sku,marking,Max Load\n1,225/65R17 102H,850\n"), 1, left_out=("Max Load",)),
    Trap(
        "load_units_in_the_cells.csv",
        raw("sku,marking,Max Load\n1,225/65R17 102H,1874 lbs\n2,205/55R16 91V,1356 lbs\n"),
        2,
        placed={"Max Load": "max_load_lb"},
    ),
    Trap(
        "measured_width_under_a_plain_header.csv",
        raw("sku,marking,Width\n1,225/65R17 102H,228\n2,205/55R16 91V,214\n3,195/65R15 91H,201\n"),
        3,
        placed={"Width": "measured_width_mm"},
    ),
    Trap(
        "inch_width_of_metric_sizes.csv",
        raw("sku,marking,Section Width\n1,225/65R17 102H,9.0\n2,205/55R16 91V,8.4\n3,195/65R15 91H,7.9\n"),
        3,
        placed={"Section Width": "measured_width_in"},
    ),
    Trap(
        "unknown_headers_known_values.csv",
        raw(
            "F1,F2,F3\nA,225/65R17 102H,4012345678901\nB,205/55R16 91V,4012345678918\n" * 1
            + "C,195/65R15 91H,4012345678925\n" * 4
        ),
        6,
        placed={"F2": "marking"},
    ),
    Trap(
        "french_headers.csv",
        raw(
            "Référence;Marque;Dimension;Indice de charge;Indice de vitesse;Charge max (kg)\n"
            "F1;Valbrune;225/65R17;102;H;850\n"
        ),
        1,
        placed={"Dimension": "size", "Indice de charge": "load_index", "Charge max (kg)": "max_load_kg"},
    ),
    Trap(
        "single_column_of_markings.csv",
        raw("Tire Size\n225/65R17 102H\n205/55R16 91V\n"),
        2,
        placed={"Tire Size": "marking"},
    ),
    Trap(
        "delimiter_at_the_end_of_every_record.csv",
        raw("sku,marking,max_load_kg\n1,225/65R17 102H,850,\n2,205/55R16 91V,615,\n"),
        2,
        cells={(2, "max_load_kg"): "615"},
    ),
    Trap(
        "delimiter_at_the_end_of_the_header.csv",
        raw("sku,marking,max_load_kg,\n1,225/65R17 102H,850\n2,205/55R16 91V,615\n"),
        2,
        cells={(2, "max_load_kg"): "615"},
    ),
    Trap(
        "no_header_at_all.csv",
        raw("A1,225/65R17 102H,850,Nordhall\nA2,205/55R16 91V,615,Nordhall\n" * 4),
        8,
        placed={"column 2": "marking"},
        cells={(1, "column 1"): "A1", (8, "column 4"): "Nordhall"},
    ),
    Trap("decimal_comma_in_a_single_column.csv", raw("Tire Size\n225/65R17 102H\n31x10,50R15LT 109S C\n"), 2),
    Trap("delimiter_named_in_the_first_line.csv", raw("sep=;\n" + table(mark=";")), cells=PLAIN),
    Trap("total_row_at_the_end.csv", raw(table() + "Total: 4 rows\n"), 5, {5: "1 cells where the header has 4"}),
    Trap("csv_named_as_a_workbook.xls", raw(table(mark="\t")), cells=PLAIN, byte_equal=False),
    Trap("empty_file.csv", raw(""), error="is empty"),
    Trap("only_line_ends.csv", raw("\n\n\n"), error="is empty"),
    Trap("no_recognized_column.csv", raw("colour,shape\nred,round\nblue,square\n"), error="no column is recognized"),
]
PACKED_TRAPS = [
    Trap("packed_with_gzip.csv.gz", lambda: gzip.compress(table().encode(), mtime=0), cells=PLAIN, byte_equal=False),
    Trap("packed_with_bzip2.csv.bz2", lambda: bz2.compress(table().encode()), cells=PLAIN, byte_equal=False),
    Trap(
        "packed_and_cut_off.csv.gz",
        lambda: gzip.compress(table().encode() * 50, mtime=0)[:-40],
        error="cannot be unpacked",
    ),
    Trap("unpacks_without_end.csv.bz2", lambda: bz2.compress(bytes(80 << 20)), error="beyond the limit"),
    Trap("no_archive_at_all.zip", raw("this is no archive"), error="not a feed"),
]
JSON_TRAPS = [
    Trap("json_lines.jsonl", raw(lines(*OBJECTS)), cells=PLAIN),
    Trap("json_document.json", raw(json.dumps(OBJECTS, indent=1)), cells=PLAIN, byte_equal=False),
    Trap(
        "json_list_inside_an_object.json",
        raw(json.dumps({"sent": "today", "listings": OBJECTS, "count": 4})),
        cells=PLAIN,
        byte_equal=False,
    ),
    Trap(
        "json_nested_one_level.jsonl",
        raw(lines({"sku": "1", "marking": "225/65R17 102H", "load": {"max_load_kg": 850, "note": None}})),
        1,
        cells={(1, "load.max_load_kg"): "850"},
    ),
    Trap(
        "json_mixed_types.jsonl",
        raw(lines({"sku": 7, "marking": "225/65R17 102H"}, {"sku": "008", "marking": "205/55R16 91V"})),
        2,
        cells={(1, "sku"): "7", (2, "sku"): "008"},
    ),
    Trap(
        "json_broken_line.jsonl",
        raw(lines(OBJECTS[0]) + '{"sku": "A-2", "marking": \n' + lines(OBJECTS[2])),
        3,
        {2: "not valid JSON"},
        cells={(3, "sku"): "A-3"},
    ),
    Trap(
        "json_document_cut_short.json",
        raw(json.dumps(OBJECTS)[:-30]),
        4,
        {4: "breaks off"},
        cells={(3, "sku"): "A-3"},
        byte_equal=False,
    ),
]
STORED = [*TEXT_TRAPS, *PACKED_TRAPS, *JSON_TRAPS]


def write_all() -> None:
    """Writes every stored trap feed."""
    FOLDER.mkdir(exist_ok=True)
    for trap in STORED:
        (FOLDER / trap.file).write_bytes(trap.build())


if __name__ == "__main__":
    write_all()
