"""The words that decide whether a stretch of a title or sales text is a claim, and the shapes of sizes and quantities.

One vocabulary, two readers: `auditor.claims.find` looks words up in `KIND_OF_WORD`; `auditor.claims.batch.condenser`
builds from the same words the pattern that removes everything else.  A word that is in neither list is filler: it
separates claims and says nothing.  English first, then the German wordings common in titles.  All of it is common
practice in listings, no source.
"""

from __future__ import annotations

_WORDS = {
    # Words that make a weight a load, and their company.
    "load": "load loads loading carries carry carrying carried supports support holds hold handles handle capacity "
    "capacities belastbar tragfähigkeit traglast tragkraft",
    "max": "max maximum maximal",
    "rated": "rated rating ratings",
    "index": "index lastindex tragfähigkeitsindex li",
    "range": "range ranges",
    "single": "single einzel",
    "dual": "dual dually zwilling",
    # Words after or before a weight that make it something else than one tire's load.
    "weight": "weight weights weighs weigh weighing ships shipping shipped gewicht wiegt eigengewicht",
    "group": "pair pairs axle axles set sets four both total combined together paar achse satz",
    "vehicle": "vehicle vehicles trailer trailers truck trucks van vans suv suvs caravan caravans car cars gvwr gvw "
    "gross payload towing tow tows hauling haul hauls cargo anhänger anhängelast fahrzeug fahrzeuge zuladung rim "
    "rims wheel wheels",
    # Speed.
    "speed": "speed speeds geschwindigkeit höchstgeschwindigkeit vmax geschwindigkeitsindex speedindex",
    "symbol": "symbol category",
    "tested": "test tests tested testing legal limit limits limited highway city cruising cruise braking brake brakes "
    "stop stopping stops wind winds tempolimit testgeschwindigkeit bremsweg",
    "beyond": "above over below under beyond between exceed exceeds exceeding less more über unter minimum min",
    "at": "at bei",
    "from": "from von ab",
    # Pressure.
    "pressure": "pressure inflation luftdruck reifendruck fülldruck",
    "inflate": "inflate inflated inflating recommended recommend seat seating bead deflate air keep run running",
    # Plies.
    "ply": "ply plies",
    "count": "six eight ten twelve fourteen sixteen eighteen twenty",
    "casing": "sidewall sidewalls polyester nylon steel belt belts casing carcass construction rayon aramid tread",
    # Load version.
    "xl": "xl",
    "extra": "extra",
    "reinforced": "reinforced",
    "standard": "standard",
    # Snow and season.
    "peak": "peak peaks",
    "mountain": "mountain",
    "snowflake": "snowflake schneeflocke schneeflockensymbol",
    "mud": "mud",
    "terrain": "terrain",
    "snow": "snow",
    "winter": "winter",
    "summer": "summer",
    "season": "season seasons",
    "all": "all",
    "three": "three",
    "winter-tire": "winterreifen",
    "summer-tire": "sommerreifen",
    "all-season-tire": "ganzjahresreifen allwetterreifen",
    # Negations and other tires.
    "no": "no not non without never cannot lacks lacking ohne kein keine keinen nicht nor neither isn doesn nein",
    "only": "only nur",
    "other": "fits fit fitting fitment replaces replace replacing replaced replacement instead compared comparable "
    "comparison versus vs equivalent alternative upgrade unlike like similar substitute substitutes compatible "
    "original oe interchangeable passend ersetzt statt ersatz anstelle vergleichbar than",
    "more-of-them": "also available auch erhältlich",
    # Words a claim may run across; alone they say nothing.
    "up": "up bis",
    "to": "to",
    "tire": "tire tires tyre tyres reifen",
    "link": "of is are a an the and or per for each this its it in can with as with on by we has offers approx cold "
    "zu je und oder pro der die das mit eine ein top",
}
CONNECTING = frozenset({"up", "to", "tire", "link"})  # kinds that vanish beside filler
SINGLE_LETTERS = frozenset("BCDEFGHJKLMNPQRSTUVWY")  # as load range or speed symbol; A is an article
KIND_OF_WORD: dict[str, str] = {word: kind for kind, words in _WORDS.items() for word in words.split()}

# Letters of words, for both pattern engines.  Dashes, bullets, emblems and U+FFFD, which stands for what could not be
# decoded, are none: a size beside one of them is read.
LETTER = r"[^\W0-9_]"
NO_LETTER_OR_DIGIT = r"[^\p{L}\p{N}_]"  # of the engine for columns; what Python's own calls \W

SYMBOL = "[A-HJ-NP-WY]"  # no I, O, X; Z is no symbol of its own
SERVICE = (
    rf"(?:\(?[0-9]{{2,3}}(?:/[0-9]{{2,3}})?(?:A[1-8]|{SYMBOL})(?:/[0-9]{{2,3}}(?:A[1-8]|{SYMBOL}))?\)?"
    rf"|[0-9]{{2,3}}/[0-9]{{2,3}} [F-HJ-NP-WY]|[0-9]{{2,3}} [Q-UHVWY])(?![\w/+&-])"
)
CONSTRUCTION = "[Zz]?[Rr]F?|[HVS]R|[BDF]"
_RIM = r"[0-9]{2}(?:\.[0-9]{1,2}|,[0-9])?"  # a comma for the dot of a half-inch rim
# The shapes of sizes without look-around, so that both pattern engines take them.
PLAIN_CORES = (
    rf"(?:(?:LT|ST|HL|IF|VF|P|T) ?)?[0-9]{{2,3}}/[0-9]{{2,3}} ?(?:{CONSTRUCTION}|-) ?[0-9]{{2,3}}(?:[.,][0-9])?"
    rf"|(?:LT|P)?[0-9]{{3}} [0-9]{{2}} ?[Zz]?[Rr] ?[0-9]{{2}}"
    rf"|[0-9]{{2}}(?:\.[0-9]{{1,2}})?[xX×][0-9]{{1,2}}\.[0-9]{{1,2}} ?(?:[Zz]?[Rr]|B|D|-) ?{_RIM}"
    rf"|[0-9]{{1,2}}(?:\.[0-9]{{1,2}})?[Rr]{_RIM}"
    rf"|[0-9]{{3}}[Rr][0-9]{{2}}"
    rf"|M[A-Z][0-9]{{2}}[BR-][0-9]{{2}}"
)
# "8.25-15" alone could be anything; with letters or a service description behind it, it is a size.
DASHED_CORE = r"[0-9]{1,2}\.[0-9]{1,2}-[0-9]{2}(?:\.[0-9])?"
# An industrial size with its other name: "8.15-15 (225/75-15)".
BOTH_NAMES = (
    rf"{DASHED_CORE} ?\([0-9]{{2,3}}/[0-9]{{2,3}} ?[RB-] ?[0-9]{{2}}\)"
    rf"|[0-9]{{2,3}}/[0-9]{{2,3}}-[0-9]{{2}} ?\({DASHED_CORE}\)|[0-9]{{2}}x[0-9]{{1,2}}-[0-9]{{2}} ?\({DASHED_CORE}\)"
)
_CORE = (
    rf"{BOTH_NAMES}|{PLAIN_CORES}"
    rf"|{DASHED_CORE}(?=(?: ?(?:LT|TR|TT|TL|C)\b| [0-9]{{2,3}}{SYMBOL}\b| [0-9]{{1,2}} ?PR\b))"
)
_SUFFIX = r"(?:LT|C|TR)?(?: M/C)?"
_TAIL = (
    rf"(?:[ ,]{{1,2}}{SERVICE}|(?:[ ,]{{1,2}}|/)(?:XL|SL|HL|EXTRA LOAD|REINFORCED)(?![\w+&/-])"
    rf"| [C-G](?= [0-9]{{2,3}}/[0-9]{{2,3}}{SYMBOL}\b)| [0-9]{{1,2}}PR(?![\w+&/-])|(?:/| LR ?)[B-N](?![\w+&/-]))"
)
SIZE = rf"(?<![\w/.,+-])(?:{_CORE}){_SUFFIX}(?!\w|\.\w|/(?!(?:[B-N]|XL|SL|HL|EXTRA|REINFORCED)\b)\w)(?:{_TAIL}){{0,4}}"
LT_LETTER = r" [C-G](?![\w+&/'-])"

COMMA_IN_RIM = "(17|19|22|24),5"

UNITS = {
    "lb": "lb", "lbs": "lb", "pound": "lb", "pounds": "lb",
    "kg": "kg", "kgs": "kg", "kilogram": "kg", "kilograms": "kg", "kilo": "kg", "kilos": "kg",
    "mph": "mph", "km/h": "kmh", "kmh": "kmh", "kph": "kmh", "km/u": "kmh",
    "psi": "psi", "kpa": "kpa", "bar": "bar",
    "ply": "ply", "plies": "ply", "pr": "ply",
}  # fmt: skip
# A plain space groups thousands only after a single digit: "1 030 kg", but "LI 102 850 kg" is two numbers.
NUMBER = (
    r"[1-9] [0-9]{3}(?![0-9])|[0-9]{1,3}(?:[,.'\u00a0\u202f][0-9]{3})+(?![0-9])"
    r"|[0-9]{1,6}(?![0-9])(?:[.,][0-9]{1,6}(?![0-9]))?"
)
QUANTITY = (
    rf"(?<![\w/.,+])(?:{NUMBER})(?: ?/ ?(?:{NUMBER}))?(?: ?\+)?[ -]?"
    r"(?i:lbs?|pounds?|kgs?|kilograms?|kilos?|mph|km/[hu]|kmh|kph|psi|kpa|bar|ply|plies|pr)"
    r"(?!\w)"
)
