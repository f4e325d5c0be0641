"""XML feeds: the element that repeats is the listing, and what is released is a whole document again."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

import auditor
from auditor.errors import FeedError
from auditor.feeds.model import HELD, REJECTED, RELEASED, Limits
from tests.feeds.reading import everything, opened, split_texts

ITEM = "<item><sku>{sku}</sku><size>225/65R17</size><load>850</load></item>"
ITEMS = "\n  ".join(ITEM.format(sku=f"A-{number}") for number in (1, 2, 3))
PLAIN = f'<?xml version="1.0" encoding="UTF-8"?>\n<catalog made="today">\n  {ITEMS}\n</catalog>\n'


def feed_of(folder: Path, text: str | bytes, name: str = "feed.xml", limits: Limits | None = None):  # type: ignore[no-untyped-def]
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return opened(path, limits)


def cells(folder: Path, text: str | bytes, name: str = "feed.xml") -> list[dict[str, str]]:
    feed = feed_of(folder, text, name)
    found, rejected = everything(feed)
    assert not rejected
    return [{header: cell for header, cell in zip(feed.headers, row, strict=True) if cell} for row in found.values()]


def skus(text: bytes) -> list[str | None]:
    return [one.text for one in ElementTree.fromstring(text).iter("sku")]


def test_children_and_attributes_are_cells(tmp_path: Path) -> None:
    item = """<offer id="7"><sku>A-1</sku><size><![CDATA[225/65R17 & more]]></size><blank/><load unit="kg">850</load>
      <label><fuel>C</fuel><noise>71</noise></label><picture>a</picture><picture>b</picture></offer>"""
    one, other = cells(tmp_path, f"<shop><name>Norvane</name><offers>{item * 2}</offers></shop>")
    assert one == other
    assert one == {
        "id": "7",
        "sku": "A-1",
        "size": "225/65R17 & more",
        "load": "850 kg",
        "label.fuel": "C",
        "label.noise": "71",
        "picture": '["a", "b"]',
    }


def test_a_name_and_its_value_are_a_header_and_its_cell(tmp_path: Path) -> None:
    item = """<offer id="7"><param name="Width" unit="mm">225</param><param name="Season">winter</param>
      <attribute><name>Load index</name><value>102</value></attribute><size>225/65R17</size></offer>"""
    (one, _) = cells(tmp_path, f"<offers>{item * 2}</offers>")
    assert one == {"id": "7", "Width": "225 mm", "Season": "winter", "Load index": "102", "size": "225/65R17"}


def test_attributes_alone_are_a_listing(tmp_path: Path) -> None:
    rows = '<row sku="1" size="225/65R17 &gt;" load="850"/><row sku="2" size="a > b" load="850"/>'
    feed = feed_of(tmp_path, f"<rows>{rows}</rows>")
    released, held = split_texts(feed, [HELD, RELEASED], tmp_path)
    assert released == b'<rows><row sku="2" size="a > b" load="850"/></rows>'
    assert held == b'<rows><row sku="1" size="225/65R17 &gt;" load="850"/></rows>'


def test_prefixes_go_where_nothing_else_has_the_name(tmp_path: Path) -> None:
    item = "<item><title>Shop</title><g:title>Tire</g:title><g:gtin>1</g:gtin><g:size>225/65R17</g:size></item>"
    (one, _) = cells(tmp_path, f'<rss xmlns:g="urn:g"><channel>{item * 2}</channel></rss>')
    assert one == {"title": "Shop", "g:title": "Tire", "gtin": "1", "size": "225/65R17"}


def test_the_listing_is_told_from_what_it_stands_in(tmp_path: Path) -> None:
    shelves = f'<shelf name="cars">{ITEMS}</shelf><!-- vans --><shelf name="vans">{ITEM.format(sku="B-1")}</shelf>'
    feed = feed_of(tmp_path, f"<all><head><a>1</a><b>2</b><c>3</c></head>{shelves}</all>")
    assert len(everything(feed)[0]) == 4
    released, held = split_texts(feed, [RELEASED, HELD, REJECTED, HELD], tmp_path)
    assert (skus(released), skus(held)) == (["A-1"], ["A-2", "B-1"])
    assert released.count(b"<shelf") == held.count(b"<shelf") == 2 and b"<!-- vans -->" in released
    assert split_texts(feed, [RELEASED] * 4, tmp_path)[0] == (tmp_path / "feed.xml").read_bytes()
    assert skus(split_texts(feed, [HELD] * 4, tmp_path)[0]) == []


def test_one_listing_alone(tmp_path: Path) -> None:
    assert [one["sku"] for one in cells(tmp_path, f"<all><date>today</date>{ITEM.format(sku='A-1')}</all>")] == ["A-1"]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "windows-1251", "iso-8859-1", "cp932", "gb18030"])
def test_encodings(encoding: str, tmp_path: Path) -> None:
    word = {"windows-1251": "Зима", "cp932": "冬用", "gb18030": "冬季"}.get(encoding, "été")
    text = PLAIN.replace('"UTF-8"', f'"{encoding}"').replace("A-2", word)
    assert [one["sku"] for one in cells(tmp_path, text.encode(encoding))] == ["A-1", word, "A-3"]


def test_a_document_that_breaks_off_gives_what_stands_before(tmp_path: Path) -> None:
    feed = feed_of(tmp_path, PLAIN[: PLAIN.index("A-3") + 1])
    found, rejected = everything(feed)
    assert [row[0] for row in found.values()] == ["A-1", "A-2"]
    assert [one.record for one in rejected] == [3] and "breaks off or is damaged here" in rejected[0].reason
    released, held = split_texts(feed, [RELEASED, HELD, REJECTED], tmp_path)
    assert (skus(released), skus(held)) == (["A-1"], ["A-2"])


def test_a_listing_that_is_too_long_is_rejected_alone(tmp_path: Path) -> None:
    feed = feed_of(tmp_path, PLAIN.replace("A-2", "A" * 5000), limits=Limits(record_bytes=1000))
    found, rejected = everything(feed)
    assert list(found) == [1, 3]
    assert [one.reason for one in rejected] == ["The record is longer than the limit for one record."]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "declares entities of its own"),
        ('<!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/passwd">]><a>&b;</a>', "declares entities of its own"),
        ("<a><b>1</b></a>", "has the fields of a listing"),
        ("<a>" * 200 + "</a>" * 200, "has the fields of a listing"),
        ("<html><body><p>Sold out</p></body></html>", "has the fields of a listing"),
        ('<?xml version="1.0" encoding="no-such"?><a/>', "cannot be read as that"),
    ],
)
def test_what_is_no_feed_is_refused_in_a_sentence(text: str, words: str, tmp_path: Path) -> None:
    with pytest.raises(FeedError, match=words):
        feed_of(tmp_path, text)


def test_the_text_tells_the_format(tmp_path: Path) -> None:
    assert feed_of(tmp_path, PLAIN, "feed.txt").format == "xml"
    assert feed_of(tmp_path, "sku,size\nA,225/65R17 102H\nB,205/55R16 91V\n", "feed.xml").format == "csv"


def test_a_whole_audit(tmp_path: Path) -> None:
    tire = "<tire><sku>{}</sku><marking>225/65R17 102H</marking><max_load_kg>{}</max_load_kg></tire>\n"
    path = tmp_path / "feed.xml"
    path.write_text(f"<tires>{tire.format('A', 850)}{tire.format('B', 1000)}</tires>", "utf-8")
    result = auditor.audit(str(path), tmp_path / "out")
    assert [row["rule"] for row in result.findings.to_pylist()] == ["load-overstated"]
    assert skus((tmp_path / "out" / "released" / "feed.xml").read_bytes()) == ["A"]
    assert skus((tmp_path / "out" / "held" / "feed.xml").read_bytes()) == ["B"]
