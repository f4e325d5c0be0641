"""Sentences of languages that are not read whole: what they claim of this tire, and what of an axle or another tire."""

from __future__ import annotations

import pytest

import auditor

MARKINGS = {
    "c": "205/55R16 91V",
    "v": "215/65R16C 109/107T",
    "t": "315/80R22.5 156/150L",
}
OF_OTHERS_OR_TRUE = [
    ("c", "Na přání i v rozměru 225/50 R16 95Y."),
    ("c", "Testată de revistă în dimensiunea 225/50R16 91V."),
    ("c", "Zadní náprava: 225/50 R17"),
    ("c", "Na přední nápravu 205/55 R16, na zadní 225/50 R16."),
    ("c", "Také v rozměru 205/60 R16"),
    ("c", "Zatížení nápravy maximálně 1230 kg"),
    ("c", "Vozidlo do 1800 kg"),
    ("c", "Předchozí model měl index nosnosti 94"),
    ("c", "Nosnost 615 kg na pneumatiku, 1230 kg na nápravu"),
    ("c", "Pro vozy s celkovou hmotností do 2100 kg"),
    ("c", "Sada čtyř pneumatik unese 2460 kg"),
    ("c", "Não confundir com 205/60 R16"),
    ("c", "Disponível também em 205/60 R16"),
    ("c", "Para carros até 1.600 kg"),
    ("c", "Peso do pneu 9 kg, envio em pacote de 20 kg"),
    ("c", "Substitui o modelo anterior de índice 94"),
    ("c", "Velocidade de teste 300 km/h em circuito"),
    ("c", "Eixo dianteiro 205/55R16, eixo traseiro 225/50R16"),
    ("c", "O conjunto aguenta 2.460 kg"),
    ("c", "Există și în versiunea XL cu 94V"),
    ("c", "Pentru mașini de până la 1.700 kg"),
    ("c", "Sarcina pe osie 1.230 kg"),
    ("c", "Înlocuiește modelul vechi cu sarcină de 670 kg"),
    ("c", "A hátsó tengelyre 225/50 R16 kell"),
    ("c", "Tengelyterhelés legfeljebb 1230 kg"),
    ("c", "Elődje 94-es terhelési indexű volt"),
    ("c", "Szintén kapható 94V XL kivitelben"),
    ("c", "Kisteherautóra 2500 kg össztömegig"),
    ("c", "Arka aks için 225/50R16"),
    ("c", "Aks başına 1230 kg"),
    ("c", "Bu ebat 94V XL olarak da mevcut"),
    ("c", "1.600 kg ağırlığındaki araçlar için"),
    ("c", "Bakaxel 225/50R16, framaxel 205/55R16"),
    ("c", "Finns även som 94V XL"),
    ("c", "Axeltryck 1230 kg"),
    ("c", "För bilar upp till 1800 kg"),
    ("c", "Ersätter den gamla modellen med lastindex 94"),
    ("c", "Fås også i 205/60R16"),
    ("c", "Akseltryk 1230 kg"),
    ("c", "Till biler op til 1800 kg"),
    ("c", "Saatavana myös 94V XL"),
    ("c", "Akselipaino 1230 kg"),
    ("c", "Auton paino 1500 kg"),
    ("c", "Задняя ось 225/50R16"),
    ("c", "не путать с 205/60 R16"),
    ("c", "Есть также 94V XL"),
    ("c", "Нагрузка на ось 1230 кг"),
    ("c", "Для автомобилей массой до 1800 кг"),
    ("c", "Заменяет старую модель с индексом 94"),
    ("c", "Комплект из четырёх шин держит 2460 кг"),
    ("c", "Вага авто 1500 кг"),
    ("c", "Навантаження на вісь 1230 кг"),
    ("c", "Також є 94V XL"),
    ("c", "Заден мост 225/50R16"),
    ("c", "Натоварване на ос 1230 кг"),
    ("c", "Stražnja osovina 225/50R16"),
    ("c", "Opterećenje osovine 1230 kg"),
    ("c", "Διατίθεται και σε 94V XL"),
    ("c", "Φορτίο άξονα 1230 kg"),
    ("c", "Πίσω άξονας 225/50R16"),
    ("c", "前輪 205/55R16 / 後輪 225/50R16"),
    ("c", "軸重 1230kg"),
    ("c", "車両総重量 1800kg まで"),
    ("c", "后轮 225/50R16"),
    ("c", "另有 94V XL"),
    ("c", "轴荷 1230公斤"),
    ("c", "车辆总重 1800公斤"),
    ("c", "뒷바퀴 225/50R16"),
    ("c", "축 하중 1230kg"),
    ("c", "차량 총중량 1800kg"),
    ("t", "Na nápravu 16 pneumatik? Také 18PR"),
    ("t", "Bu ebat 18 kat olarak da mevcut"),
    ("t", "Esta medida também com 18 lonas"),
    ("t", "Этот размер также 18PR"),
    ("t", "此规格也有18PR"),
    ("t", "18PRもあり"),
    ("t", "Nosnost 4000 kg jednotlivě, 3350 kg v dvojmontáži"),
    ("t", "Capacidade 4.000 kg simples / 3.350 kg dupla"),
    ("t", "Sarcină 4.000 kg simplu, 3.350 kg jumelat"),
    ("t", "Yük 4000 kg tek, 3350 kg çift"),
    ("t", "Нагрузка 4000 кг одинарная, 3350 кг сдвоенная"),
    ("t", "Kantavuus 4000 kg yksittäin, 3350 kg paripyörissä"),
    ("t", "Bärighet 4000 kg enkel, 3350 kg tvilling"),
    ("t", "单胎4000公斤，双胎3350公斤"),
    ("t", "単輪4000kg、複輪3350kg"),
    ("t", "단륜 4000kg, 복륜 3350kg"),
    ("t", "Az aks yükü 8.000 kg"),
    ("t", "Pojede až 120 km/h při 850 kPa"),
    ("t", "Azami hız 120 km/s"),
    ("t", "Rychlost do 120 km/h, v terénu 60 km/h"),
    ("t", "Na čtyřech kolech 13400 kg"),
    ("v", "Dodávka s užitečným zatížením 1200 kg"),
    ("v", "Užitečné zatížení vozu 1200 kg"),
    ("v", "Carga útil do veículo 1.200 kg"),
    ("v", "Araç yükü 1.200 kg"),
    ("v", "Nyttolast 1200 kg"),
    ("v", "Yük endeksi 109/107: tekte 1.030 kg, çiftte 975 kg."),
    ("v", "Полезная нагрузка фургона 1200 кг"),
    ("v", "Hasznos teher 1200 kg"),
    ("c", "الإطار الخلفي 225/50R16"),
    ("c", "Juga tersedia ukuran 225/50R16"),
    ("c", "มีขนาด 225/50R16 ด้วย"),
    ("c", "Taip pat yra 225/50R16"),
    ("c", "ความเร็วสูงสุด 240 กม./ชม."),
    ("c", "รับน้ำหนักสูงสุด 615 กก."),
    ("c", "Tersedia juga 94V XL"),
    ("c", "Kapható 94W XL kivitelben is"),
    ("c", "Méretváltozat: 215/65R14 82T."),
    ("c", "Jarrutustesti jäällä 25 km/h vauhdista."),
    ("c", "Kitkarengas, perävaunumassa 2 000 kg."),
    ("c", "Sähköautoon, jonka kesäkoko on 205/55R16 94Y."),
    ("c", "Zesílená verze 94T má nosnost 670 kg."),
    ("c", "Среднетоннажники; прицепная версия 143/141J продаётся отдельно."),
    ("c", "205/55R16 94V XL とは別商品です"),
    ("t", "Çeker aks; ön aks için aynı ebatta 164K deseni vardır"),
]
UNTRUE = [
    ("c", "Nosnost 670 kg"),
    ("c", "Tato pneumatika unese 690 kg"),
    ("c", "Capacidade de carga 690 kg por pneu"),
    ("c", "Este pneu suporta 690 kg"),
    ("c", "Suportă 690 kg pe anvelopă"),
    ("c", "Sarcină maximă 690 kg"),
    ("c", "Teherbírás: 690 kg"),
    ("c", "Abroncsonként 690 kg"),
    ("c", "Bu lastik 690 kg taşır"),
    ("c", "Azami yük 690 kg"),
    ("c", "Azami hız 270 km/s"),
    ("c", "Velocidade máxima 270 km/h"),
    ("c", "Viteză maximă 270 km/h"),
    ("c", "Maximální rychlost 270 km/h"),
    ("c", "Végsebesség 270 km/h"),
    ("c", "Däcket bär 690 kg"),
    ("c", "Lastindex 94, 670 kg"),
    ("c", "Dækket bærer 690 kg"),
    ("c", "Rengas kantaa 690 kg"),
    ("c", "Kantavuus 690 kg"),
    ("c", "Нагрузка до 690 кг"),
    ("c", "Эта шина держит 690 кг"),
    ("c", "Индекс нагрузки 94"),
    ("c", "Навантаження 690 кг"),
    ("c", "Товароносимост 690 кг"),
    ("c", "Nosivost 690 kg"),
    ("c", "Φορτίο 690 kg"),
    ("c", "最大負荷 690kg"),
    ("c", "最大负荷690公斤"),
    ("c", "최대하중 690kg"),
    ("c", "最高速度 270km/h"),
    ("t", "Capacidade de 4.500 kg em rodado simples"),
    ("t", "V dvojmontáži 4000 kg"),
    ("t", "Tek lastikte 4.500 kg"),
    ("v", "Yük endeksi 112/110: tekte 1.120 kg, çiftte 1.060 kg."),
    ("t", "双胎最大负荷4000公斤"),
    ("t", "Одинарная 4500 кг"),
    ("c", "Lốp 225/50R16"),
    ("c", "Norvane 225/50R16 91V"),
    ("c", "225/50R16 Norvane"),
    ("c", "Шина 225/50R16"),
    ("c", "ยางเก๋ง ความเร็วสูงสุด 270 กม./ชม."),
    ("c", "รับน้ำหนักสูงสุด 690 กก."),
]


def serious(of: str, text: str) -> list[str]:
    """The rules that find something above minor in a description."""
    found = auditor.audit_listing({"marking": MARKINGS[of], "description": text}).findings
    return [one.rule for one in found if one.grade != "minor"]


@pytest.mark.parametrize(("of", "text"), OF_OTHERS_OR_TRUE)
def test_nobody_is_accused_of_what_is_true_or_of_something_else(of: str, text: str) -> None:
    assert serious(of, text) == []


@pytest.mark.parametrize(("of", "text"), UNTRUE)
def test_what_is_untrue_is_found(of: str, text: str) -> None:
    assert serious(of, text)


def test_a_bare_number_far_from_the_load_index_is_another_number() -> None:
    """Of "e 125" the cubic centimeters are meant; under its name it is a load index all the same."""
    moped = {"marking": "2.75-17 47P"}
    for text, rules in (
        ("Ciclomotore e 125, rinforzato", []),
        ("Indice di carico 125, rinforzato", ["load-index-contradicted"]),
        ("Indice di carico 47", []),
    ):
        found = auditor.audit_listing({**moped, "description": text}).findings
        assert [one.rule for one in found if "index" in one.rule] == rules


@pytest.mark.parametrize("text", ["LM-101; LM-104; ZZ-9", "see LM-101", "Norvane 104"])
def test_numbers_behind_names_alone_are_those_of_articles(text: str) -> None:
    assert auditor.audit_listing({"marking": "225/65R17 102V", "description": text}).findings == ()


@pytest.mark.parametrize("text", ["LI 104", "Load index - 104", "Norvane 225/65R17 104"])
def test_numbers_under_a_name_or_behind_the_size_are_load_indices(text: str) -> None:
    assert auditor.audit_listing({"marking": "225/65R17 102V", "description": text}).findings
