"""Plies in words of many languages, as data: how they are counted, and their number written out.

All are from memory of the languages, and compared as those of `languages` are.
"""

from __future__ import annotations

# "Ply rating" as lists write it; an asterisk stands for any ending.
PLIES: dict[str, str] = {
    "en": "pr, p.r., p.r, plies",
    "es, pt": "lonas, lona, telas, tela, capas, capa",
    "fr": "plis",
    "it": "tele",
    "de": "lagen, lagig",
    "nl": "lagen, laags, lags",
    "sv, da, no": "lager, lags, lag, lagers",
    "fi": "kudosta, kerrosta, kudos",
    "pl": "warstw, warstwy, warstwowa, płócien, płótna, płótno, płócienna",
    "cs, sk": "vrstvy, vrstev, vrstiev, vrstvová, vrstvové, pláten, plátna, plátno, plátien, plátnová, plátnové, "
    "plátnový",
    "hu": "rétegű, réteg, réteges, vászon, vásznas, vászonbetét, vászonbetétes",
    "ro": "pliuri, pliu, straturi, pânze",
    "hr, sr, sl": "slojeva, slojna, slojni, slojev, platna, platana, platno, platnena, plasti, plasten, "
    "слојева, платана",
    "lt": "sluoksnių, sluoksniai, sluoksnio, sluoksninė",
    "lv": "kārtas, kārtu, slāņi, slāņu",
    "et": "kihti, kihiline",
    "tr": "kat, katlı",
    "az": "qat, qatlı",
    "id": "lapis",
    "ms": "lapisan",
    "ru": "слоев, слоёв, слойная, слойный, слоя, сл., сл, пр., пр, нс, н.с., н.с, н/с",
    "kk": "қабат, қабатты",
    "hy": "շերտ",
    "ka": "ფენა",
    "uk": "шарів, шари, шарова, слойна",
    "bg": "платна, платове, слоя, слойна, пластова",
    "el": "λινά, λινων, λινών, στρώσεων, στρώσεις",
    "ja": "プライ",
    "ko": "플라이, 겹",
    "zh": "层级, 层, 層級, 層",
    "th": "ชั้น, ชั้นผ้าใบ, ผ้าใบ",
    "vi": "lớp, lớp bố, bố",
    "ar": "طبقات, طبقة, طبقه",
    "fa": "لایه, لا",
    "hi": "प्लाई, पीआर",
    "he": "שכבות, שכבה",
}
# Even numbers as words, before such a word or glued to it: "ten ply", "zehn PR", "zehnlagig", "десятислойная".
PLY_NUMBERS: dict[str, str] = {
    "2": "two, zwei, deux, dos, dois, due, twee, två, kaksi, dwa, dva, dvě, két, două, du, dvi, iki, dua, два, две, "
    "дві",
    "4": "four, vier, quatre, cuatro, quatro, quattro, fyra, fire, neljä, cztery, čtyři, štyri, négy, patru, četiri, "
    "štiri, keturių, četru, nelja, dört, empat, четыре, четырёх, четырех, чотири, четири, "
    "čtyř, štvor, cztero, أربع, أربعة, ארבע, چهار, สี่",
    "6": "six, sechs, seis, sei, zes, sex, seks, kuusi, sześć, šest, šesť, hat, șase, šešių, sešu, kuus, altı, enam, "
    "шесть, шести, шість, шест, "
    "šesti, sześcio, ست, ستة, שש, شش, หก",
    "8": "eight, acht, huit, ocho, oito, otto, åtta, otte, åtte, kahdeksan, osiem, osm, osem, nyolc, opt, osam, "
    "aštuonių, astoņu, kaheksa, sekiz, delapan, восемь, восьми, вісім, осем, "
    "osmi, ośmio, ثماني, ثمان, ثمانية, שמונה, هشت, แปด, οκτώ, οχτώ",
    "10": "ten, zehn, dix, diez, dez, dieci, tien, tio, ti, kymmenen, dziesięć, deset, desať, tíz, zece, dešimties, "
    "desmit, kümme, on, sepuluh, десять, десяти, "
    "deseti, dziesięcio, عشر, عشرة, עשר, ده, สิบ, δέκα",
    "12": "twelve, zwölf, zwoelf, douze, doce, doze, dodici, twaalf, tolv, kaksitoista, dwanaście, dvanáct, dvanásť, "
    "tizenkét, dvanaest, on iki, dua belas, двенадцать, двенадцати, дванадцять, дванадесет, "
    "dvanácti, dwunasto, douăsprezece, اثنتا عشرة, اثنا عشر, اثني عشر, שתים עשרה, δώδεκα",
    "14": "fourteen, vierzehn, quatorze, catorce, catorze, quattordici, veertien, fjorton, fjorten, neljätoista, "
    "czternaście, čtrnáct, štrnásť, tizennégy, četrnaest, on dört, четырнадцать, четырнадцати, "
    "čtrnácti, czternasto, paisprezece, أربع عشرة, أربعة عشر, ארבע עשרה, δεκατέσσερα",
    "16": "sixteen, sechzehn, seize, dieciséis, dezesseis, dezasseis, sedici, zestien, sexton, seksten, kuusitoista, "
    "szesnaście, šestnáct, šestnásť, tizenhat, šesnaest, on altı, шестнадцать, шестнадцати, "
    "šestnácti, szesnasto, șaisprezece, ست عشرة, ستة عشر, שש עשרה, δεκαέξι",
    "18": "eighteen, achtzehn, dix-huit, dieciocho, dezoito, diciotto, achttien, arton, atten, kahdeksantoista, "
    "osiemnaście, osmnáct, osemnásť, tizennyolc, osamnaest, on sekiz, восемнадцать, восемнадцати, "
    "osmnácti, osiemnasto, optsprezece, ثماني عشرة, ثمانية عشر, שמונה עשרה, δεκαοκτώ",
    "20": "twenty, zwanzig, vingt, veinte, vinte, venti, twintig, tjugo, tyve, kaksikymmentä, dwadzieścia, dvacet, "
    "dvadsať, húsz, dvadeset, yirmi, двадцать, двадцати, "
    "dvaceti, dwudziesto, douăzeci, عشرون, عشرين, עשרים, είκοσι",
}
PLIES_BEFORE = "нс, нс., н.с., н/с"  # before the number
