"""Text feeds in other scripts than Latin: their encoding is told by headers that are known, else by their letters."""

from __future__ import annotations

import pytest

from auditor.feeds.encoding import detect_encoding

FEEDS = {
    "windows-1251": "Артикул;Бренд;Размер;Индекс нагрузки\n7;Якорь;205/55R16;91\n",
    "koi8-r": "Артикул;Бренд;Размер;Индекс нагрузки\n7;Якорь;205/55R16;91\n",
    "windows-1253": "Κωδικός;Διάσταση;Δείκτης φορτίου\n7;205/55R16;91\n",
    "windows-1254": "Stok Kodu;Ebat;Yük Endeksi;Hız Endeksi\n7;205/55R16;91;T\n",
    "windows-1255": "מקט;מידה;קוד עומס;קוד מהירות\n7;205/55R16;91;T\n",
    "windows-1256": "رقم المنتج;المقاس;مؤشر الحمولة\n7;205/55R16;91\n",
    "cp932": "商品コード,ブランド,タイヤサイズ,荷重指数\n7,星,205/55R16,91\n",
    "euc_jp": "商品コード,ブランド,タイヤサイズ\n7,星,205/55R16\n",
    "gb18030": "货号,品牌,规格,载重指数\n7,星,205/55R16,91\n",
    "big5": "貨號,規格,荷重指數,速度級別\n7,205/55R16,91,V\n",
    "cp949": "상품코드,브랜드,규격,하중지수\n7,별,205/55R16,91\n",
    "cp874": "รหัสสินค้า,ขนาด,ดัชนีรับน้ำหนัก\n7,205/55R16,91\n",
    "windows-1250": "Rozmiar;Indeks nośności;Prędkość maks.\n205/55R16;91;240\n",
    "windows-1252": "Größe;Tragfähigkeit;Höchstgeschwindigkeit\n205/55R16;615;240\n",
    "utf-8": "Артикул;Бренд;Размер;Индекс нагрузки\n7;Якорь;205/55R16;91\n",
}


@pytest.mark.parametrize("encoding", FEEDS)
def test_headers_tell_the_encoding(encoding: str) -> None:
    assert detect_encoding(FEEDS[encoding].encode(encoding)) == encoding


def test_letters_tell_it_where_headers_are_plain() -> None:
    rows = "".join(f"{number};205/55R16;Зимняя шина Якорь {number}, усиленная\n" for number in range(20))
    assert detect_encoding(("sku;size;title\n" + rows).encode("windows-1251")) == "windows-1251"


def test_a_few_broken_bytes_change_no_encoding() -> None:
    text = FEEDS["utf-8"].encode() + b"8;\xd0;205/55R16;91\n"
    assert detect_encoding(text) == "utf-8"
    assert detect_encoding(b"sku;size\n7;205/55R16\n8;\xff\xfe\x81\n") == "utf-8"


def test_a_sign_in_the_midst_of_a_word_is_a_letter_of_another_encoding() -> None:
    rows = "".join(f"W{number}|205/55R16|91V|{season}|24\n" for number in range(9) for season in ("lato", "całoroczna"))
    assert detect_encoding(rows.encode("windows-1250")) in ("windows-1250", "iso-8859-2")
    french = rows.replace("całoroczna", "un pneu éprouvé, prêt à rouler été comme hiver, 3 m³")
    assert detect_encoding(french.encode("windows-1252")) == "windows-1252"
