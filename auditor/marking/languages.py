"""Words of many languages that stand in markings, as data: "up to", load index, speed symbol, units of speed.

All are from memory of the languages.  They are compared with normalised text, where letters are capitals, letters of
other alphabets that print like Latin ones are Latin, and all others stay as they were written.
"""

from __future__ import annotations

AND_GLUED = "و"  # "and" of Arabic, which is glued to the next word
# "And" between a load index and a speed symbol that go by their names.
AND = (
    "and, und, et, y, e, ed, en, i, oraz, a, och, og, ja, és, și, si, ir, un, ve, dan, и, і, та, й, "
    "και, ו, と, 和, 및, và, "
    "และ, &, +"
)
# "Or" between two load indices or symbols, of which the text does not say which.
OR = (
    "or, oder, ou, o, of, eller, tai, lub, albo, czy, nebo, anebo, alebo, či, vagy, sau, ori, ili, ali, arba, vai, "
    "või, veya, ya da, atau, или, либо, або, чи, είτε, או, أو, او, یا, または, 或, 或者, 또는, หรือ, hoặc"
)
# "Stands in for" and "see also", of the size of another tire behind it, beside `rules/tables/replaces_words.csv`.
INSTEAD = (
    "zamiennik, zamiennik dla, zamiennik za, w miejsce, fits instead of, en vez de, em vez de, no lugar de, "
    "substitui, substitui o, substitui a, místo, namiesto, náhrada za, nahrazuje, nahrádza, helyett, în loc de, "
    "înlocuiește, umjesto, zamjena za, istället för, i stedet for, sijasta, vietoj, vietā, asemel, yerine, вместо, "
    "взамен, замена, замість, заміна, заместо, αντί για, αντί, 代替, 替代, 替换, 대신, แทน, thay cho, thay thế, بدل, "
    "بدلا من, بديل, במקום, pengganti, замества, замещает, заменяет, замінює, вм., вм, ersätter, erstatter, erst., "
    "sost., ersetzt durch, ersatz f., replaced by, remplacé par, sustituido por, zastąpiony przez, sostituito da, "
    "no longer stock, no longer sell, no longer make, was, was stocked as, formerly, previously, ex, eq., eq, equiv., "
    "equiv, equivalent to, altmaß, alte größe, "
    "früher, ehemals, anciennement, ancienne dimension, antes, antiguo, già, dawniej, dříve, раньше, ранее, "
    "旧, 旧サイズ, 原, αντικαθιστά, en lieu et place du, en lieu et place de, en lieu de, en échange du, "
    "en échange de, in exchange for, see also"
)
# "Also as", of another size or of another service description of this one.
ALSO = (
    "also in, also available in, also available as, also sold in, "
    "also sold as, siehe auch, auch in, auch als, auch lieferbar in, auch erhältlich in, voir aussi, aussi en, "
    "également en, existe aussi en, disponible aussi en, ver también, también en, veja também, também em, "
    "vedi anche, anche in, disponibile anche in, zie ook, ook in, ook leverbaar in, zobacz też, zobacz także, "
    "także w, również w, dostępne też w, см. также, также в, есть в размере, "
    "also known as, also called, aka, a.k.a., auch bekannt als, auch genannt, également connu sous, aussi appelé, "
    "equivale a, equivale al, equivalente a, equivalente al, équivaut à, équivaut au, équivalent à, équivalent au, "
    "équivalent de, equivalente alla, entspricht, entspricht der, entspricht dem, gleichwertig mit, alternativ zu, "
    "gelijk aan, komt overeen met, odpowiada, odpowiednik, odpovídá, zodpovedá, megfelel, motsvarar, tilsvarer, svarer "
    "til, vastaa, atitinka, соответствует, аналог, отговаря на, muadili, eşdeğeri, alternative to, alternative for, "
    "interchangeable with, interchanges with, interchange, same as, equal to, equals, 可替, 可替代, 可代替, 可替换, "
    "可换, 相当于, 相當於, 等同于, 等同於, 相当, "
    "también conocido como, também conhecido como, anche noto come, detto anche, ook bekend als, även känd som, "
    "også kendt som, også kjent som, znany też jako, též známý jako, также известен как, он же, известна также как"
)
# Inches, behind a rim diameter.
INCHES = (
    "inch, inches, zoll, pouces, pouce, pulgadas, pulg, polegadas, pollici, duim, cali, cal, palců, col, tum, tommer, "
    "tuumaa, tuuman, дюймов, дюйма, дюйм, цола, inča, palcov, țoli, inç, ίντσες, ιντσών, colių, collas, tolli, "
    "インチ, 寸, 인치"
)
# The same behind that size: "16.9R34 yerine".
INSTEAD_BEHIND = "yerine, yerine geçer, helyett, asemel, 换, 換, 替换, 替代, の代わり, 代替, 대체, 대신, 대용, के बदले"
# "On", before the rim diameter of a size in the language of trade: "175/70 на 13" (common practice, no source).
ON = "on, auf, sur, en, em, su, op, på, pe, na, на, σε"
# "No" and "yes" behind a word that they deny or bear out: "Runflat: nein".
NO = (
    "no, nein, non, nie, nee, nej, nei, ei, ne, não, nu, nem, ni, "
    "нет, ні, не, όχι, hayır, tidak, לא, لا, いいえ, 否, 아니오, không, ไม่"
)
YES = (
    "yes, ja, oui, sí, si, sim, tak, ano, áno, igen, da, kyllä, jah, "
    "taip, jā, evet, ya, да, так, ναι, כן, نعم, はい, 是, 예, có, ใช่"
)
# "Up to" before a load or a speed,
UP_TO: dict[str, str] = {
    "en": "up to, upto, max., max, no more than, not more than",
    "de": "bis, bis zu, maximal",
    "fr": "jusqu à, maxi",  # an apostrophe is a blank
    "es": "hasta, máx., máx, máximo",
    "pt": "até, ate",
    "it": "fino a, fino, massimo",
    "nl": "tot, maximaal",
    "pl": "do, maks., maks, maksymalnie",
    "cs, sk, hr": "do, až do",
    "sv": "upp till, till",
    "da, no": "til, op til, opptil",
    "fi": "enintään, enint, maks",
    "hu": "legfeljebb",
    "ro": "până la, pana la",
    "lt": "iki",
    "lv": "līdz, lidz",
    "et": "kuni",
    "tr": "en fazla, azami",
    "id": "hingga, sampai",
    "ru": "до, не более, не свыше, не выше, макс., макс, максимум",
    "uk": "до, не більше, макс., макс",
    "bg": "до, макс., макс",
    "el": "έως, ως, εως, μέχρι, μεχρι",
    "ar": "حتى, يصل إلى, بحد أقصى",
    "he": "עד",
    "ja": "最大, 最高",
    "zh": "最大, 最高, 最多, 不超过, 不超過",
    "ko": "최대, 최고",
    "vi": "tối đa, lên đến, đến",
    "th": "สูงสุด, ไม่เกิน, ถึง",
    "signs": "≤, <=",
}
# and behind one.
AFTER_LIMIT: dict[str, str] = {
    "tr": "kadar, a kadar, e kadar, ye kadar, ya kadar",  # the apostrophe of 270 km/h'ye is a blank by then
    "ja": "まで, 以下",
    "zh": "以下",
    "ko": "까지, 이하",
}
# Names of the load index,
INDEX_NAMES: dict[str, str] = {
    "en": "load index, l.i., li, load rating",
    "es": "índice de carga, índice carga, i.c., ic",
    "pt": "índice de carga",
    "fr": "indice de charge, indice charge",
    "it": "indice di carico, indice carico",
    "de": "lastindex, tragfähigkeitsindex, traglastindex, loadindex",
    "nl": "belastingsindex, belastingindex, draagvermogenindex",
    "sv, da, no": "lastindex, belastningsindeks, belastningsindex",
    "fi": "kantavuusluokka, kantavuusindeksi",
    "pl": "indeks nośności",
    "cs, sk": "index nosnosti",
    "hu": "terhelési index, teherbírási index",
    "ro": "indice de sarcină, indice sarcină, indice de greutate",
    "hr, sr, sl": "indeks nosivosti, indeks opterećenja",
    "lt": "apkrovos indeksas",
    "lv": "slodzes indekss",
    "et": "koormusindeks",
    "tr": "yük endeksi, yük indeksi",
    "id": "indeks beban",
    "ru": "индекс нагрузки, ин",
    "uk": "індекс навантаження, ін",
    "bg": "товарен индекс, индекс на натоварване",
    "el": "δείκτης φορτίου",
    "ja": "荷重指数, ロードインデックス",
    "zh": "载重指数, 负荷指数, 荷重指數, 载荷指数",
    "ko": "하중지수, 하중 지수",
    "th": "ดัชนีรับน้ำหนัก, ดัชนีการรับน้ำหนัก",
    "vi": "chỉ số tải trọng, chỉ số tải",
    "ar": "مؤشر الحمولة",
    "he": "קוד עומס, מדד עומס",
}
# Names of both, and of the load; a number behind them is a load index where it is none of kilograms.
INDEX_ALONE = (
    "index, indice, índice, indeks, индекс, load, carga, charge, carico, kantavuus, nośność, "
    "nosnosť, nosnost, нагрузка, навантаження, belasting, last, traglast, tragfähigkeit, tragkraft, "
    "zuladung, "
    "ind. carga, ind. de carga, ind. charge, ind. de charge, ind. carico, ind. di carico, ind. nośn., ind. nośności, "
    "ind. nosnosti, ind. noš., ind. sarcină, инд. нагр., инд. нагрузки, инд.нагр., belast., "
    "draagvermogen, capacidade, "
    "terhelés, yük, φορτίο, beban, bæreevne, belastning, sarcină, nosivost, apkrova, slodze, koormus"
)
# and of the speed symbol.
SYMBOL_NAMES: dict[str, str] = {
    "en": "speed index, speed rating, speed symbol, speedindex, s.i., si, s.r., sr",
    "es": "índice de velocidad, símbolo de velocidad, código de velocidad, símbolo, i.v., iv",
    "pt": "índice de velocidade, símbolo de velocidade, código de velocidade",
    "fr": "indice de vitesse, indice vitesse, symbole de vitesse, code vitesse, symbole",
    "it": "indice di velocità, indice velocità, simbolo di velocità, codice di velocità, codice velocità, simbolo",
    "de": "geschwindigkeitsindex, geschwindigkeitssymbol, speedindex, speed-index, g.i., gi",
    "nl": "snelheidsindex, snelheidssymbool",
    "sv, da, no": "hastighetsindex, hastighetssymbol, hastighedsindeks, hastighedssymbol, hastighetsindeks",
    "fi": "nopeusluokka, nopeusindeksi",
    "pl": "indeks prędkości, symbol prędkości",
    "cs, sk": "index rychlosti, symbol rychlosti, index rýchlosti, symbol rýchlosti",
    "hu": "sebességindex, sebességi index",
    "ro": "indice de viteză, indice viteză",
    "hr, sr, sl": "indeks brzine, indeks hitrosti",
    "lt": "greičio indeksas",
    "lv": "ātruma indekss",
    "et": "kiirusindeks",
    "tr": "hız endeksi, hız indeksi, hız sembolü",
    "id": "indeks kecepatan",
    "ru": "индекс скорости, ис",
    "uk": "індекс швидкості, іш",
    "bg": "скоростен индекс, индекс на скорост",
    "el": "δείκτης ταχύτητας, σύμβολο ταχύτητας",
    "ja": "速度記号",
    "zh": "速度级别, 速度等级, 速度符号, 速度級別",
    "ko": "속도기호, 속도지수, 속도등급",
    "th": "ดัชนีความเร็ว, สัญลักษณ์ความเร็ว",
    "vi": "chỉ số tốc độ, ký hiệu tốc độ",
    "ar": "مؤشر السرعة, رمز السرعة",
    "he": "קוד מהירות, מדד מהירות",
}
# Names of the load range.
RANGE_NAMES = (
    "load range, loadrange, rango de carga, rango, gama de carga, gamme de charge, plage de charge, gamma di carico, "
    "zakres obciążenia, zakres nośności, lastbereich, laadbereik, faixa de carga, диапазон нагрузки"
)
# "Stands for", said of another size in brackets.
STANDS_FOR = (
    "equivalent, equiv., eq., equivalente, équivalent, entspricht, äquivalent, odpowiednik, zamiennik, "
    "odpovídá, vergelijkbaar, "
    "аналог, эквивалент, 相当, 相當, 対応, 등가, muadili"
)
# What stands around tires and is none, though it is sold by their sizes: inner tubes, flaps, snow chains, covers, bags.
NO_TIRES: dict[str, str] = {
    "en": "inner tube, inner tubes, innertube, innertubes, tyre tube, tire tube, tube, tubes, flap, rim flap, "
    "snow chain, snow chains, tyre cover, tire cover, tyre bag, tire bag, wheel cover, hubcap, hub cap, "
    "tyre sealant, tire sealant, repair kit, tyre repair, tire repair",
    "de": "schlauch, reifenschlauch, felgenband, wulstband, schneekette, schneeketten, radkappe, "
    "reifentasche, reifentaschen, reifenhülle, reifenhüllen, reifenbaum, reparaturset, pannenset",
    "fr": "chambre à air, chambres à air, flap, chaîne neige, chaînes neige, chaînes, housse, housses, enjoliveur, "
    "kit réparation",
    "es": "cámara, cámara de aire, cámaras, cadenas de nieve, cadenas, funda, tapacubos, protector, protectores, "
    "guardacámara",
    "pt": "câmara de ar, câmara, câmaras de ar, correntes de neve, calota, protetor, protetores, "
    "roda aço, roda de aço, roda de ferro, rodas de aço, rodas de ferro",
    "it": "camera d aria, camere d aria, camera aria, flap, catene da neve, catene neve, catene, copricerchio, "
    "copripneumatico, copripneumatici, copriruota, portapneumatici",
    "nl": "binnenband, binnenbanden, velglint, sneeuwketting, sneeuwkettingen, wieldop, bandenhoes, "
    "bandenhoezen, bandentas",
    "sv, da, no": "innerslang, slang, inderslange, slange, innerslange, snökedja, snökedjor, kjetting",
    "fi": "sisärengas, sisäkumi, lumiketju, lumiketjut",
    "pl": "dętka, dętki, ochraniacz, łańcuch śniegowy, łańcuchy śniegowe, łańcuchy, kołpak, pokrowiec, pokrowce",
    "cs, sk": "duše, duša, ochranná vložka, sněhové řetězy, snehové reťaze, řetězy, reťaze",
    "hu": "tömlő, belső gumi, hólánc",
    "ro": "cameră de aer, camera de aer, cameră, lanțuri",
    "hr, sr, sl": "zračnica, zračnice, unutrašnja guma, lanci",
    "lt": "kamera, kameros",
    "lv": "kamera, kameras",
    "et": "sisekumm, lohv",
    "tr": "iç lastik, kar zinciri",
    "id": "ban dalam",
    "ru": "камера, камеры, автокамера, ободная лента, флиппер, цепи противоскольжения, цепи, чехлы, чехол",
    "uk": "камера, камери, автокамера, ободна стрічка, ланцюги",
    "bg": "вътрешна гума, вериги за сняг, вериги",
    "el": "σαμπρέλα, σαμπρελα, αεροθάλαμος, αντιολισθητικές αλυσίδες",
    "ja": "チューブ, タイヤチューブ, フラップ, タイヤチェーン, タイヤカバー, タイヤ保管カバー, タイヤ収納カバー, "
    "タイヤラック",
    "zh": "内胎, 內胎, 垫带, 防滑链, 轮胎罩, 轮胎套",
    "ko": "튜브, 이너튜브, 플랩, 스노우체인, 타이어 커버, 타이어커버",
    "th": "ยางใน, ยางรองใน, โซ่",
    "vi": "săm, ruột xe, yếm",
    "ar": "أنبوب داخلي, إطار داخلي, لستك داخلي, شنبر",
    "fa": "تیوب, تيوب, تویی",
    "hi": "ट्यूब",
    "he": "פנימית, אבוב, שרשראות שלג",
}
# The ends of their names where words are put together.
NO_TIRES_AT_END = (
    "schlauch, slang, slange, felgenband, kette, ketten, ketting, kettingen, камера, камеры, камери, dętka, tömlő"
)
# Parts and tools, where "for" and a tire follow.
ACCESSORIES = (
    "rim, rims, wheel, wheels, felge, felgen, alufelge, stahlfelge, jante, jantes, cerchio, cerchi, velg, velgen, "
    "felga, felgi, fælg, fälg, ráfek, disk, диск, диски, kit, valve, ventil, sensor, cap, cover, bag, rack, jack, "
    "pump, chain, box"
)
# A rim or a wheel alone, where no tire is named.
RIMS_ALONE = (
    "rim, rims, wheel rim, wheel, wheels, felge, felgen, alufelge, alufelgen, stahlfelge, stahlfelgen, felga, felgi, "
    "velg, velgen, jante, jantes, cerchio, cerchi, fälg, fälgar, fælg, fælge, felg, felger, vanne, "
    "ráfek, ráfky, disk, "
    "disky, felni, naplatak, obręcz, jantă, jante aliaj, ratlankis, disks, velg, jant, диск, диски, "
    "ζάντα, 轮辋, 휠, ホイール"
)
FOR = "for, fits, fit, für, pour, para, per, voor, do, dla, pro, für, till, til, için, untuk, для, за, για"
# Words before such a thing that make it an addition to a tire, and words for a tire.
BESIDES = (
    "with, w, incl, incl., including, and, for, mit, inkl, inkl., und, samt, avec, et, con, y, e, com, i, z, "
    "ze, met, en, "
    "og, och, med, și, cu, s, se, a, ja, ve, c, с, и, з, і, та, με, και, no, sin, sans, ohne, without, "
    "senza, bez, sem, без"
)
TIRES = (
    "tire, tires, tyre, tyres, reifen, pneu, pneus, pneumatico, pneumatici, neumático, neumáticos, llanta, llantas, "
    "cubierta, cubiertas, gomma, gomme, opona, opony, banden, band, däck, dæk, dekk, rengas, pneumatika, "
    "anvelopa, anvelope, "
    "guma, gume, lastik, ban, шина, шины, шини, покрышка, ελαστικό, ελαστικά, タイヤ, 轮胎, 타이어, 外胎, ยางนอก, lốp, "
    "إطار, צמיג"
)
# Names of the three numbers of a size.
WIDTHS = (
    "width, breite, reifenbreite, largeur, ancho, anchura, largura, larghezza, breedte, szerokość, bredd, "
    "bredde, šířka, "
    "šírka, szélesség, lățime, leveys, genişlik, širina, plotis, platums, laius, lebar, chiều rộng, bề rộng, "
    "ширина, πλάτος, 幅, 宽度, 宽, 너비, ความกว้าง, العرض, عرض, רוחב"
)
HEIGHTS = (
    "height, aspect, aspect ratio, profile, ratio, querschnitt, höhe, profil, hauteur, serie, série, perfil, "
    "alto, altura, altezza, "
    "hoogte, wysokość, höjd, højde, høyde, výška, magasság, înălțime, korkeus, yükseklik, kesit, высота, "
    "visina, višina, aukštis, augstums, kõrgus, profils, profilis, tinggi, chiều cao, "
    "профиль, профіль, профил, висота, височина, висина, серия, ύψος, προφίλ, "
    "扁平率, 扁平比, 편평비, แก้ม, الارتفاع, חתך, גובה"
)
RIMS = (
    "rim, diameter, rim diameter, felge, zoll, durchmesser, diamètre, jante, diámetro, llanta, rin, aro, "
    "diâmetro, diametro, cerchio, "
    "velg, ring, rodado, mâm, lazang, جنط, "
    "diameter, średnica, felga, fälg, průměr, átmérő, diametru, halkaisija, çap, jant, диаметр, "
    "promjer, prečnik, premer, priemer, skersmuo, diametrs, läbimõõt, vanne, đường kính, vành, "
    "діаметр, диаметър, пречник, диск, обод, джанта, διάμετρος, ζάντα, "
    "リム径, インチ, 直径, 轮辋, 지름, 인치, ขอบ, القطر, קוטר, חישוק"
)
# "Speed" alone, behind a load index or with a colon.
SYMBOL_ALONE = (
    "speed, tempo, geschw., geschw, vel., vel, veloc., vit., vit, vitesse max, velocidad máx., "
    "ind. velocidad, ind. vel., "
    "ind. de velocidad, ind. vitesse, ind. de vitesse, ind. velocità, ind. di velocità, ind. prędk., ind. prędkości, "
    "pręd., prędk., rychl., hast., snelh., seb., инд. скор., инд. скорости, инд.скор., скор., "
    "brzina, hitrost, greitis, "
    "ātrums, kiirus, kecepatan, geschwindigkeit, vitesse, velocidad, velocidade, velocità, snelheid, "
    "prędkość, rychlost, "
    "rýchlosť, hastighet, "
    "hastighed, nopeus, viteză, sebesség, hız, скорость, швидкість, скорост, ταχύτητα, السرعة, מהירות"
)
KMH = (
    "km/h, km / h, kmh, kph, km/u, km/uur, km/t, km/tim, km/st, km/godz, km/std, km/sa, km/s, km/saat, km/jam, km/hod, "
    "km/ó, km/óra, km/ora, km/oră, km/hora, km/sat, km/val, км/ч, км/час, км/год, "
    "χλμ/ώρα, χλμ/ω, كم/س, كم/ساعة, קמ ש, קמש, 公里/小时, 公里/小時, กม./ชม., กม/ชม"
)
KG = "kgs, kg, кг, كجم, كغم, كغ, ק ג, キロ, 公斤, 千克, กก., กก, χλγ"


def of(words: dict[str, str] | str) -> tuple[str, ...]:
    """The words of a table, each once, longest first, so that none hides a longer one."""
    lists = [words] if isinstance(words, str) else words.values()
    found = dict.fromkeys(word.strip() for line in lists for word in line.split(","))
    return tuple(sorted(found, key=lambda word: (-len(word), word)))
