"""The invented names and the wordings of titles and descriptions, as people write them."""

from __future__ import annotations

import random
from collections.abc import Mapping

from tests.catalog.tables import to_lb
from tests.catalog.tires import TIRES, Tire

BRANDS = (
    "Varnholt", "Ostrane", "Kelmora", "Trundell", "Pyrravo", "Zemblat", "Corvessa", "Haldrik",
    "Mirravolt", "Duskenfell", "Brannoch Vale", "Ulverre",
)  # fmt: skip
MODELS = (
    "Gravelmark", "Nightferry", "Longmeadow", "Stonefetch", "Rainwright", "Highfallow", "Dustwarden",
    "Quietmile", "Copperline", "Farrowgate", "Millbrook", "Tidewalker", "Oxbow", "Larkspur", "Hollowreed",
    "Emberlane",
)  # fmt: skip
SUFFIXES = ("HT", "Plus", "Touring", "Sport", "Duo", "Eco", "Prime", "Select", "Tour II", "Grand")
SNOW_MODELS = ("Snowlantern", "Frostquill", "Hoarwind")

# What shops put behind a title to sell it; none of it is about the marking.
MARKETING = (
    "(2 TIRES)", "- Set of 4", "(QTY 2)", "- 1 TIRE", "60,000 MILE WARRANTY", "50K Warranty", "NEW", "BSW", "OWL",
    "Blackwall", "| Free Shipping", "TUBELESS", "- 2024 Stock", "Performance", "(Set of 2)", "Best Seller!",
)  # fmt: skip

NUMBER_WORDS = {4: "four", 6: "six", 8: "eight", 10: "ten", 12: "twelve", 14: "fourteen", 16: "sixteen"}


def other_size(rng: random.Random, tire: Tire) -> str:
    """Another tire's size, for texts that mention one."""
    while True:
        size = rng.choice(TIRES["metric"] + TIRES["lt-metric"]).size
        if size != tire.size:
            return size


def size_spelling(rng: random.Random, tire: Tire) -> str:
    """The size as titles spell it."""
    size = tire.size
    roll = rng.random()
    if tire.aspect is not None and tire.construction in ("R", "ZR") and roll < 0.12:
        return size.replace(f"{tire.construction}", f" {tire.construction}", 1)
    if tire.diameter_in is not None and roll < 0.2:
        return size.replace("x", "X", 1)
    return size


def ply_words(rng: random.Random, ply: int) -> str:
    """ "10-ply" in one of its wordings."""
    forms = [f"{ply}-ply", f"{ply} ply", f"{ply}-Ply Rated", f"{ply} PR", f"{ply}PR"]
    if ply in NUMBER_WORDS:
        forms.append(f"{NUMBER_WORDS[ply]}-ply")
    return rng.choice(forms)


def range_words(rng: random.Random, letter: str) -> str:
    """ "Load Range E" in one of its wordings."""
    return rng.choice([f"Load Range {letter}", f"LR{letter}", f"load range {letter}", f"{letter}-rated"])


def load_claim(rng: random.Random, kg: str, lb: str) -> str:
    """A sentence that claims a maximum load per tire; `kg` and `lb` are plain whole numbers."""
    thousands = f"{int(lb):,}"
    return rng.choice(
        [
            f"Max. load {thousands} lb ({kg} kg).",
            f"Maximum load {thousands} lbs per tire.",
            f"Maximum load capacity: {kg} kg.",
            f"Carries up to {thousands} lb per tire.",
            f"Load capacity of {lb} pounds.",
            f"Max load {kg} kg ({thousands} lbs).",
        ]
    )


def speed_claim(rng: random.Random, kmh: str, mph: str) -> str:
    """A sentence that claims a top speed."""
    return rng.choice(
        [
            f"Speed rated up to {mph} mph.",
            f"Maximum speed {kmh} km/h.",
            f"Rated for speeds up to {mph} mph ({kmh} km/h).",
            f"Top speed rating: {mph} MPH.",
            f"Approved up to {kmh} km/h.",
        ]
    )


def bystander(rng: random.Random, tire: Tire, lb: str | None) -> str:
    """A sentence that names a figure which is no statement about this tire's marking."""
    other, another = other_size(rng, tire), other_size(rng, tire)
    sentences = [
        f"Replaces {other} on many older vehicles.",
        f"Also available in {other} and {another}.",
        f"Also available in {other}.",
        f"Fits the same wheels as {other}; check the placard.",
        "Backed by a 60,000 mile limited warranty.",
        "Stops shorter from 60 mph in the wet than the model before it.",
        "Free returns within 45 days; 24-month road hazard cover.",
        "Ships in 2 days. Sold as a single tire.",
        "Compare with other all-round tires in its class.",
        "Full-depth sipes and a stiff 2-ply sidewall.",
    ]
    if tire.rim_in is not None:
        sentences.append(f"Fits {tire.rim_in:g}-inch rims.")
        sentences.append(f'Made for {tire.rim_in:g}" wheels.')
    if lb is not None:
        sentences.append(f"A pair carries {2 * int(lb):,} lbs per pair.")
        sentences.append(f"Rated {2 * int(lb):,} lb per axle in single fitment.")
        sentences.append(f"Total for a set of four: {4 * int(lb):,} lb.")
    return rng.choice(sentences)


def title(rng: random.Random, tire: Tire, cells: Mapping[str, str], with_size: bool) -> str:
    """A title in the order and spelling of one of many shops."""
    name = f"{cells['brand']} {cells['model']}"
    size = size_spelling(rng, tire) if with_size else ""
    service = tire.service if with_size and rng.random() < 0.75 else ""
    across_findings: list[str] = []
    if tire.version and rng.random() < 0.6:
        across_findings.append("XL" if tire.version == "XL" else "")
    if tire.load_range and rng.random() < 0.4:
        across_findings.append(range_words(rng, tire.load_range))
    if tire.ply and rng.random() < 0.3:
        across_findings.append(ply_words(rng, tire.ply))
    elif tire.passenger and rng.random() < 0.05:
        across_findings.append(ply_words(rng, 4))
    kind = {"summer": "Summer", "winter": "Winter", "all-season": "All-Season"}.get(_season(cells), "")
    tail = " ".join(word for word in (*across_findings, kind, "Tire" if rng.random() < 0.6 else "") if word)
    body = " ".join(word for word in (size, service) if word)
    orders = [f"{name} {body} {tail}", f"{body} {name} {tail}", f"{name} - {body} {tail}"]
    if tail and body:
        orders.append(f"{name} {body}, {tail}")
    words = " ".join(rng.choice(orders).split())
    return f"{words} {rng.choice(MARKETING)}" if rng.random() < 0.12 else words


def _season(cells: Mapping[str, str]) -> str:
    return cells.get("season", "").lower().replace(" ", "-")


def description(rng: random.Random, tire: Tire, figures: Mapping[str, str]) -> str:
    """A sales text.  `figures` holds the loads and speeds that the listing states, as plain whole numbers."""
    sentences = [
        rng.choice(
            [
                "A quiet tire for everyday driving.",
                "Stable handling and an even wear pattern.",
                "Built for long service on paved roads.",
                "Dependable grip in the wet and the dry.",
            ]
        )
    ]
    if "kg" in figures and rng.random() < 0.4:
        sentences.append(load_claim(rng, figures["kg"], figures["lb"]))
    if "kmh" in figures and rng.random() < 0.35 and not tire.open_ended:
        sentences.append(speed_claim(rng, figures["kmh"], figures["mph"]))
    if tire.load_range and rng.random() < 0.35:
        sentences.append(f"{range_words(rng, tire.load_range)} construction.")
    if tire.ply and rng.random() < 0.25:
        sentences.append(f"{ply_words(rng, tire.ply).capitalize()} carcass strength class.")
    for _ in range(rng.choice((0, 1, 1, 2))):
        sentences.append(bystander(rng, tire, figures.get("lb") or _pounds(tire)))
    return " ".join(sentences)


def _pounds(tire: Tire) -> str | None:
    return None if tire.single_kg is None else str(to_lb(tire.single_kg))
