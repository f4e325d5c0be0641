"""What a run writes: names of its own for every feed and supplier, whole files for any text, nothing of others lost."""

from __future__ import annotations

import csv
import json
import zipfile
from pathlib import Path
from xml.dom import minidom

import pytest

from tests.shell.running import InProcess

HEADER = "supplier,sku,marking,max_load_kg,brand"
HOSTILE = "\x0b\x0c\x01\x1b\ufffe\u202e\x85\u2028"


def feed(
    folder: Path, name: str, supplier: str = "Orrin", load: str = "950", brand: str = "Tarn", records: int = 3
) -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(HEADER.split(","))
        for number in range(records):
            writer.writerow([supplier, f"{path.stem}{number}", "225/65R17 102H", load, brand])
    return path


def audited(auditor: InProcess, folder: Path, out: Path, *options: str) -> dict[str, object]:
    ended = auditor("audit", str(folder), "--out", str(out), "--quiet", *options)
    assert ended.code in (0, 1), ended.err
    return json.loads((out / "summary.json").read_text(encoding="utf-8"))  # type: ignore[no-any-return]


def test_feeds_whose_safe_names_are_the_same_keep_files_of_their_own(tmp_path: Path, auditor: InProcess) -> None:
    names = ["a:b.csv", "a?b.csv", "a_b.csv", "A_B.csv", "x", "x.csv/y.csv"]
    for name in names[:4]:
        feed(tmp_path / "in", name)
    feed(tmp_path / "in", "x_y/z.csv")
    feed(tmp_path / "in", "x:y/z.csv")
    audited(auditor, tmp_path / "in", tmp_path / "out")
    held = sorted(path for path in (tmp_path / "out" / "held").rglob("*.csv"))
    assert len(held) == 6
    kept = {line for path in held for line in path.read_text(encoding="utf-8").splitlines()[1:]}
    assert len(kept) == 3 * 5  # the two feeds in folders have the same lines


def test_suppliers_that_begin_alike_get_files_of_their_own_and_an_index(tmp_path: Path, auditor: InProcess) -> None:
    long = "Bramblewick Rubber Trading " * 6
    for number, supplier in enumerate([f"{long}North", f"{long}South", "index", "Index"]):
        feed(tmp_path / "in", f"f{number}.csv", supplier)
    audited(auditor, tmp_path / "in", tmp_path / "out")
    folder = tmp_path / "out" / "corrections"
    with (folder / "index.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert sorted(row["supplier"] for row in rows) == sorted([f"{long}North", f"{long}South", "index", "Index"])
    assert len({row["file"].casefold() for row in rows} | {"index.csv"}) == 5
    assert all((folder / name).is_file() for row in rows for name in (row["file"], *row["letters"].split(" ")))


def test_any_text_leaves_every_file_whole(tmp_path: Path, auditor: InProcess) -> None:
    feed(tmp_path / "in", f"we{HOSTILE}ird.csv", f"Sup{HOSTILE}plier", f"95{HOSTILE}0\r", f"Br{HOSTILE}\rand", 30)
    (tmp_path / "in" / "ragged.csv").write_bytes(b"sku,marking,max_load_kg\r\n1,225/65R17 102H,850\r\n=1,\x0b2\ra\r\n")
    audited(auditor, tmp_path / "in", tmp_path / "out")
    book = zipfile.ZipFile(tmp_path / "out" / "report.xlsx")
    for name in book.namelist():
        if name.endswith((".xml", ".rels")):
            minidom.parseString(book.read(name))
    for path in (tmp_path / "out").rglob("*.csv"):
        if path.parent.name not in ("held", "released"):  # those are as the supplier wrote them
            assert bare_returns(path.read_bytes().decode()) == 0, path.name
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert "\u202e" not in page
    assert "[U+202E]" in page


def bare_returns(text: str) -> int:
    quoted, found = False, 0
    for char in text:
        quoted ^= char == '"'
        found += char == "\r" and not quoted
    return found


def test_files_of_others_stay_where_they_are(tmp_path: Path, auditor: InProcess) -> None:
    out = tmp_path / "out"
    feed(tmp_path / "in", "a.csv")
    feed(tmp_path / "in", "gone.csv")
    audited(auditor, tmp_path / "in", out)
    for name in ("notes.txt", "held/remarks.txt", "mine/deep/b.txt"):
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        (out / name).write_text(name)
    (tmp_path / "in" / "gone.csv").unlink()
    audited(auditor, tmp_path / "in", out)
    audited(auditor, tmp_path / "in", out)
    for name in ("notes.txt", "held/remarks.txt", "mine/deep/b.txt"):
        assert (out / name).read_text() == name
    assert not (out / "held" / "gone.csv").exists()
    feed(tmp_path / "in", "remarks.txt")
    audited(auditor, tmp_path / "in", out)
    assert (out / "held" / "remarks (2).txt").read_text() == "held/remarks.txt"
    assert (out / "held" / "remarks.txt").read_text().startswith(HEADER)


@pytest.mark.parametrize("pattern", ["", "/**/*"])
def test_an_output_folder_inside_the_feed_folder_is_no_feed(tmp_path: Path, auditor: InProcess, pattern: str) -> None:
    feeds = tmp_path / "in"
    feed(feeds, "a.csv")
    given = Path(f"{feeds}{pattern}")
    first = audited(auditor, given, feeds / "out")
    second = audited(auditor, given, feeds / "out")
    assert [one["feed"] for one in second["feeds"]] == ["a.csv"]  # type: ignore[index, attr-defined]
    assert first["totals"] == second["totals"]
