"""Headers in languages of which no feed is at hand, as shops are wont to write them: all from memory of each."""

from __future__ import annotations

import pytest

from auditor.quantities.codes import read_season
from auditor.rulebook.header_likeness import speaks_of_other_business
from auditor.rulebook.headers import read_header
from tests.mapping.test_proposal import CONTRACT, placed

FIELDS = (
    "sku", "brand", "model", "title", "size", "load_index", "speed_symbol", "max_load", "max_speed", "max_pressure",
    "rim_diameter", "overall_diameter", "tread_depth", "tire_weight", "season", "noise_db",
)  # fmt: skip
# One header of each field, in this order.  From memory.
HEADERS = {
    "mn": "Барааны код|Брэнд|Хээ|Барааны нэр|Дугуйн хэмжээ|Даацын индекс|Хурдны индекс|Хамгийн их даац (кг)|"
    "Дээд хурд (км/ц)|Хийн даралт (бар)|Обудны голч (инч)|Гадна голч, мм|Хээний гүн (мм)|Жин, кг|Улирал|Дуу чимээ (дБ)",
    "kk": "Тауар коды|Өндіруші|Протектор өрнегі|Атауы|Шина өлшемі|Жүктеме индексі|Жылдамдық индексі|"
    "Ең үлкен жүктеме, кг|"
    "Макс. жылдамдық (км/сағ)|Қысым (бар)|Диск диаметрі|Сыртқы диаметрі, мм|Протектор тереңдігі|Салмағы, кг|Маусымы|Шу",
    "ky": "Товардын коду|Өндүрүүчү|Модели|Аталышы|Өлчөмү|Жүк индекси|Ылдамдык индекси|Макс. жүк (кг)|"
    "Макс. ылдамдык (км/саг)|Басым|Диск диаметри|Сырткы диаметри|Протектор тереңдиги|Салмагы|Мезгили|Чуу деңгээли",
    "uz": "Mahsulot kodi|Ishlab chiqaruvchi|Protektor naqshi|Nomi|Oʻlchami|Yuk indeksi|Tezlik indeksi|Maks. yuk (kg)|"
    "Maksimal tezlik, km/soat|Bosim (bar)|Disk diametri|Tashqi diametr, mm|Protektor chuqurligi|Og‘irligi|"
    "Mavsum|Shovqin",
    "az": "Məhsul kodu|İstehsalçı|Naxış|Məhsulun adı|Şinin ölçüsü|Yük indeksi|Sürət indeksi|Maksimum yük (kq)|"
    "Maks. sürət (km/saat)|Təzyiq (bar)|Diskin diametri|Xarici diametr|Protektor dərinliyi|Çəkisi, kq|Mövsüm|Səs-küy",
    "hy": "Ապրանքի կոդ|Արտադրող|Պրոտեկտորի նախշ|Անվանում|Չափս|Բեռի ինդեքս|Արագության ինդեքս|Առավելագույն բեռ (կգ)|"
    "Առավ. արագություն (կմ/ժ)|Ճնշում|Դիսկի տրամագիծ|Արտաքին տրամագիծ (մմ)|Նախշի խորություն|Քաշը|Սեզոն|Աղմուկ",
    "ka": "საქონლის კოდი|ბრენდი|მოდელი|დასახელება|საბურავის ზომა|დატვირთვის ინდექსი|სიჩქარის ინდექსი|ტვირთამწეობა (კგ)|"
    "მაქს. სიჩქარე (კმ/სთ)|ჰაერის წნევა|დისკის დიამეტრი|გარე დიამეტრი|პროტექტორის სიღრმე|წონა|სეზონი|ხმაურის დონე",
    "ka in Latin": "kodi|brendi|modeli|dasakheleba|zoma|datvirtvis indeksi|sichkaris_indeksi|maks. datvirtva (kg)|"
    "maksimaluri sichkare|tsneva|diskis diametri|gare diametri|protektoris sighrme|tsona|sezoni|khmauris done",
    "sr": "Šifra artikla|Proizvođač|Šara|Naziv robe|Dimenzija gume|Indeks nosivosti|Indeks brzine|Maks. nosivost (kg)|"
    "Maksimalna brzina|Pritisak (bar)|Prečnik felne|Spoljni prečnik (mm)|Dubina šare|Težina|Sezona|Nivo buke",
    "sr in Cyrillic": "Шифра производа|Произвођач|Дезен|Назив|Димензија|Индекс носивости|Индекс брзине|"
    "Макс. носивост (кг)|"
    "Највећа брзина (км/сат)|Притисак|Пречник фелне|Спољни пречник|Дубина шаре|Тежина|Сезона|Ниво буке",
    "mk": "Шифра на артикл|Производител|Шара|Име на производ|Димензија на гума|Индекс на носивост|Индекс на брзина|"
    "Најголема носивост (кг)|Макс. брзина|Притисок|Дијаметар на фелна|Надворешен дијаметар|Длабочина на шара|Тежина|"
    "Сезона|Бучава",
    "sq": "Kodi i produktit|Prodhuesi|Modeli|Emri i produktit|Përmasa|Indeksi i ngarkesës|Indeksi i shpejtësisë|"
    "Ngarkesa maksimale (kg)|Shpejtësia maksimale (km/orë)|Presioni|Diametri i diskut|Diametri i jashtëm|"
    "Thellësia e profilit|Pesha|Stina|Niveli i zhurmës",
    "be": "Артыкул|Вытворца|Малюнак пратэктара|Назва|Памер шыны|Індэкс нагрузкі|Індэкс хуткасці|Макс. нагрузка, кг|"
    "Макс. хуткасць|Ціск|Дыяметр дыска|Вонкавы дыяметр|Глыбіня пратэктара|Вага|Сезоннасць|Узровень шуму",
    "is": "Vörunúmer|Framleiðandi|Mynstur|Vöruheiti|Dekkjastærð|Burðarstuðull|Hraðastuðull|Hámarksburður (kg)|"
    "Hámarkshraði (km/klst)|Loftþrýstingur|Felgustærð|Ytra þvermál (mm)|Munsturdýpt|Þyngd|Árstíð|Hávaði",
    "fa": "کد کالا|سازنده|طرح گل|نام کالا|سایز لاستیک|شاخص بار|شاخص سرعت|حداکثر بار (کیلوگرم)|حداکثر سرعت|"
    "فشار باد|قطر رینگ|"
    "قطر خارجی (میلی‌متر)|عمق آج|وزن|فصل|میزان صدا",
    "hi": "उत्पाद कोड|ब्रांड|पैटर्न|उत्पाद का नाम|टायर साइज|लोड इंडेक्स|गति सूचकांक|अधिकतम भार (किग्रा)|"
    "अधिकतम गति|हवा का दबाव|रिम व्यास|"
    "बाहरी व्यास (मिमी)|ट्रेड गहराई|वजन|मौसम|शोर स्तर",
    "ms": "Kod produk|Jenama|Bunga tayar|Nama produk|Saiz tayar|Indeks beban|Simbol kelajuan|Beban maksimum (kg)|"
    "Kelajuan maks (km/j)|Tekanan angin|Garis pusat rim|Diameter luar|Kedalaman bunga|Berat|Musim|Tahap bunyi",
    "lt": "Prekės numeris|Markė|Protektoriaus raštas|Pavadinimas|Padangos dydis|Apkrovos indeksas|Greičio kategorija|"
    "Maks. apkrova (kg)|Didžiausias greitis|Oro slėgis|Rato skersmuo|Bendras skersmuo|Rašto gylis|Padangos svoris|"
    "Metų laikas|Išorinis triukšmas",
    "lv": "Artikuls|Ražotājs|Protektora raksts|Preces nosaukums|Riepas izmērs|Slodzes indekss|Ātruma kategorija|"
    "Nestspēja|"
    "Maks. ātrums|Gaisa spiediens|Diska izmērs|Ārdiametrs|Protektora augstums|Riepas svars|Riepas sezona|"
    "Ārējais troksnis",
    "et": "Kauba kood|Valmistaja|Rehvi mudel|Kauba nimetus|Rehvi mõõt|Koormuse indeks|Kiirusklass|Maks. koormus (kg)|"
    "Maks. kiirus|Rehvirõhk|Velje suurus|Üldläbimõõt|Mustrisügavus|Rehvi kaal|Rehvi hooaeg|Välismüra",
    "fi": "Tuotetunnus|Valmistaja|Rengasmalli|Nimike|Renkaan koko|Kuormitusindeksi|Nopeustunnus|Suurin kantavuus (kg)|"
    "Suurin nopeus|Rengaspaine|Vannehalkaisija|Ulkohalk. (mm)|Urasyvyys|Paino|Vuodenaika|Melutaso",
    "no": "Artikkel|Produsent|Dekkmønster|Varenavn|Størrelse|Lastindeks|Hastighetssymbol|Maks bæreevne (kg)|Maks fart|"
    "Dekktrykk|Felgstørrelse|Ytterdiameter|Mønsterdyp|Vekt|Dekksesong|Rullestøy",
    "da": "Varekode|Producent|Dækmønster|Varetekst|Dækdimension|Lastindeks|Hastighedskode|Maksimal belastning|Topfart|"
    "Lufttryk|Fælgstørrelse|Yderdiameter|Slidbanedybde|Dækvægt|Årstid|Rullestøj",
}  # fmt: skip


@pytest.mark.parametrize("language", HEADERS)
def test_headers_of_further_languages(language: str) -> None:
    read = {header: read_header(header, CONTRACT).groups[:1] for header in HEADERS[language].split("|")}
    assert read == {header: (field,) for header, field in zip(read, FIELDS, strict=True)}


@pytest.mark.parametrize(
    ("header", "group", "units"),
    [
        ("Макс. жүкт., кг", "max_load", ("kg",)),
        ("Даац. индекс", "load_index", ()),
        ("Spolj. preč. (mm)", "overall_diameter", ("mm",)),
        ("Nosivost jednostr./dvostr. (kg)", "max_load", ("kg",)),
        ("Носивост двостр. (кг)", "max_load_dual", ("kg",)),
        ("Ind. nosiv.", "load_index", ()),
        ("Жылд. индексі", "speed_symbol", ()),
        ("Хамг. их хурд (км/ц)", "max_speed", ("km/h",)),
        ("Даац, хос (кг)", "max_load_dual", ("kg",)),
        ("Ծանրաբ. ինդեքս", "load_index", ()),
        ("დატვ. ინდექსი", "load_index", ()),
        ("Indeksi i shpejt.", "speed_symbol", ()),
        ("Burðargeta tvöf. (kg)", "max_load_dual", ("kg",)),
        ("حداكثر بار تک", "max_load", ()),  # one letter of it an Arabic one
        ("भार सूच.", "load_index", ()),
        ("Вонк. дыям., мм", "overall_diameter", ("mm",)),
    ],
)
def test_their_abbreviations(header: str, group: str, units: tuple[str, ...]) -> None:
    read = read_header(header, CONTRACT)
    assert (read.groups[0], read.units) == (group, units)


def test_their_prices_years_and_stocks_are_nothing_of_the_tire() -> None:
    counts, prices, years = ["4", "8", "12", "20"] * 4, ["5400", "4400", "6100", "7300"] * 4, ["2023", "2024"] * 8
    feed = {"Үнэ": prices, "Бағасы": prices, "Narxi": prices, "Գին": prices, "fasi": prices, "قیمت": prices}
    feed |= {"Количина": counts, "Qoldiq": counts, "Саны": counts, "تعداد": counts, "Година": years, "Жылы": years}
    assert placed(feed) == {}
    assert all(speaks_of_other_business(header, CONTRACT) for header in ("Үнэ (₮)", "Çmimi", "Цена (дин.)", "कीमत"))


@pytest.mark.parametrize(
    ("text", "season"),
    [("Өвлийн", "winter"), ("Жазғы", "summer"), ("Qishki", "winter"), ("dörd mövsüm", "all-season"),
     ("ամառային", "summer"), ("საზამთრო", "winter"), ("Свесезонска", "all-season"), ("verore", "summer"),
     ("Heilsársdekk", "all-season"), ("چهار فصل", "all-season"), ("Зімовыя", "winter")],
)  # fmt: skip
def test_their_seasons(text: str, season: str) -> None:
    assert [one.value for one in read_season(text, "season").readings] == [season]
