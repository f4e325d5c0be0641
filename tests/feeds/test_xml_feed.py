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


def test_names_with_values_in_the_forms_of_several_programs(tmp_path: Path) -> None:
    item = """<tire><sku>A-1</sku><size>225/65R17</size>
      <features><feature name="Load index" value="102"/><feature name="Width" id="7" unit="mm">225</feature></features>
      <F><FNAME>Speed</FNAME><FVALUE>210</FVALUE><FUNIT>km/h</FUNIT></F><field name="note"/>
      <load><value>850</value><unit>kg</unit></load><brand name="Norvane"/></tire>"""
    (one, _) = cells(tmp_path, f"<tires>{item * 2}</tires>")
    assert one == {
        "sku": "A-1",
        "size": "225/65R17",
        "Load index": "102",
        "Width": "225 mm",
        "Speed": "210 km/h",
        "load": "850 kg",
    }


def test_named_fields_alone_are_a_listing(tmp_path: Path) -> None:
    row = '<row><field name="sku">A</field><field name="size">225/65R17</field><field name="load">850</field></row>'
    assert cells(tmp_path, f"<rows>{row * 2}</rows>") == [{"sku": "A", "size": "225/65R17", "load": "850"}] * 2


def test_text_with_elements_amidst_it_is_one_text(tmp_path: Path) -> None:
    item = (
        "<tire><sku>A</sku><size>225/65R17</size><text>Load <b>850 kg</b> each.<br/>New.</text><load>850</load></tire>"
    )
    (one, _) = cells(tmp_path, f"<tires>{item * 2}</tires>")
    assert one["text"] == "Load 850 kg each. New." and "text.b" not in one


def test_fields_deep_within_are_the_outer_elements(tmp_path: Path) -> None:
    item = "<x><id><sku>A</sku></id><spec><dim><w>225</w><a>65</a><r>17</r></dim><perf><li>102</li></perf></spec></x>"
    (one, _) = cells(tmp_path, f"<a><b>{item * 2}</b></a>")
    assert list(one.values()) == ["A", "225", "65", "17", "102"]


@pytest.mark.parametrize("size", ["<size>225/65R17</size>", "<w>225</w><a>65</a><r>17</r>"])
def test_a_model_with_its_sizes_is_as_many_listings(size: str, tmp_path: Path) -> None:
    sizes = "".join(f"<item><sku>A-{number}</sku>{size}<li>102</li></item>" for number in (1, 2))
    model = f'<model id="7"><brand>Norvane</brand><season>winter</season><list>{sizes}</list></model>'
    found = cells(tmp_path, f'<all made="today"><date>today</date>{model * 2}</all>')
    assert [one["sku"] for one in found] == ["A-1", "A-2"] * 2
    assert {(one["model.brand"], one["model.season"], one["model.id"]) for one in found} == {("Norvane", "winter", "7")}
    assert not {"all.made", "all.date"} & found[0].keys()


def test_pictures_within_a_listing_are_none(tmp_path: Path) -> None:
    picture = "<picture><url>a</url><width>800</width><height>600</height></picture>"
    item = f"<item><sku>A</sku><size>225/65R17</size><li>102</li><all>{picture * 3}</all></item>"
    assert [one["sku"] for one in cells(tmp_path, f"<items>{item * 2}</items>")] == ["A", "A"]


@pytest.mark.parametrize("first", ["", '<?xml version="1.0"?>'])
@pytest.mark.parametrize("before", ["", "\n\n", "\ufeff"])
def test_listings_without_an_element_around_them(first: str, before: str, tmp_path: Path) -> None:
    lines = [first + ITEM.format(sku=f"A-{number}") + "\n" for number in (1, 2, 3)]
    feed = feed_of(tmp_path, before + "".join(lines))
    assert [row[0] for row in everything(feed)[0].values()] == ["A-1", "A-2", "A-3"]
    released, held = split_texts(feed, [RELEASED, HELD, RELEASED], tmp_path)
    assert released.decode().strip("\ufeff\n") == (lines[0] + lines[2]).strip()
    assert b"A-1" not in held and b"A-3" not in held
    assert [one["sku"] for one in cells(tmp_path, held, "held.xml")] == ["A-2"]


def test_documents_behind_one_another(tmp_path: Path) -> None:
    other = PLAIN.replace("A-", "B-")
    assert [one["sku"] for one in cells(tmp_path, PLAIN + other)] == ["A-1", "A-2", "A-3", "B-1", "B-2", "B-3"]


def test_blanks_before_the_declaration(tmp_path: Path) -> None:
    feed = feed_of(tmp_path, "\n \n" + PLAIN)
    assert len(everything(feed)[0]) == 3
    assert skus(split_texts(feed, [RELEASED, HELD, RELEASED], tmp_path)[0].strip()) == ["A-1", "A-3"]


@pytest.mark.parametrize(
    ("written", "read"),
    [("Nor & Vane", "Nor & Vane"), ("R&D; &amp; &#38;", "R&D; & &"), ("Nor\x0bVane", "Nor Vane"),
     ("<![CDATA[a & b]]> & c", "a & b & c"), ("Nor&nbsp;Vane &eacute;", "Nor\u00a0Vane é")],
)  # fmt: skip
def test_signs_that_should_have_been_escaped(written: str, read: str, tmp_path: Path) -> None:
    feed = feed_of(tmp_path, PLAIN.replace("A-2", written))
    found, rejected = everything(feed)
    assert [row[0] for row in found.values()] == ["A-1", read, "A-3"] and not rejected


@pytest.mark.parametrize("size", [10, 1 << 20, (1 << 20) + 7])
def test_signs_far_down_in_a_document(size: int, tmp_path: Path) -> None:
    text = PLAIN.replace("A-1", "A-1" + "<!-- & -->" * (size // 10)).replace("A-3", "<![CDATA[" + "&" * size + "]]> &")
    feed = feed_of(tmp_path, text, limits=Limits(record_bytes=1 << 24))
    found, rejected = everything(feed)
    assert [len(row[0]) for row in found.values()] == [3, 3, size + 2] and not rejected


@pytest.mark.parametrize(
    ("declared", "encoding"),
    [("", "cp1252"), ('encoding="UTF-8"', "cp1252"), ('encoding="utf-16"', "utf-8"), ('encoding="Utf-16"', "cp1252"),
     ("", "utf-8-sig"), ('encoding="utf-16"', "utf-16")],
)  # fmt: skip
def test_encodings_that_are_declared_wrong(declared: str, encoding: str, tmp_path: Path) -> None:
    text = PLAIN.replace('encoding="UTF-8"', declared).replace("A-2", "été français")
    assert [one["sku"] for one in cells(tmp_path, text.encode(encoding))] == ["A-1", "été français", "A-3"]


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
