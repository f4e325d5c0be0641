"""The groups of cells of a right listing, one function each.  They read the tire and write cells."""

from __future__ import annotations

import random
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tests.catalog.tables import (
    KG_PER_LB,
    KM_PER_MILE,
    load_kg,
    to_lb,
    to_mph,
)

if TYPE_CHECKING:
    from tests.catalog.valid import Listing

YES = ("Yes", "yes", "Y", "TRUE", "1")
NO = ("No", "no", "N", "FALSE", "0")


@dataclass(frozen=True, slots=True)
class Chooser:
    """Decides which fields a listing states."""

    rng: random.Random
    wanted: frozenset[str]
    barred: frozenset[str]

    def takes(self, name: str, chance: float) -> bool:
        """Whether the listing states the field."""
        roll = self.rng.random()
        return name in self.wanted or (name not in self.barred and roll < chance)

    def spelling(self, made: Listing, forms: Iterable[str]) -> str:
        """One of the spellings; a tidy supplier always uses the first."""
        options = tuple(forms)
        choice = self.rng.choice(options)
        return options[0] if made.style.tidy else choice


def season(made: Listing, choose: Chooser) -> None:
    """Season and snow marks that fit each other; winter tires always state one mark."""
    tire, cells, rng = made.tire, made.cells, choose.rng
    needed = choose.wanted & {"season", "mud_and_snow", "severe_snow"}
    if tire.family not in ("metric", "p-metric", "lt-metric", "commercial") or (rng.random() < 0.35 and not needed):
        return
    kind = rng.choice(("summer", "all-season", "all-season", "winter"))
    cells["season"] = choose.spelling(made, (kind, kind.title(), kind.upper(), kind.replace("-", " ")))
    if kind == "winter":
        cells["mud_and_snow"] = choose.spelling(made, YES)
        cells["severe_snow"] = choose.spelling(made, YES)
        cells["model"] = rng.choice(("Snowlantern", "Frostquill", "Hoarwind"))
    elif kind == "all-season":
        cells["mud_and_snow"] = choose.spelling(made, YES)
        if choose.takes("severe_snow", 0.5):
            cells["severe_snow"] = choose.spelling(made, YES if rng.random() < 0.3 else NO)
    else:
        for name in ("mud_and_snow", "severe_snow"):
            if choose.takes(name, 0.5):
                cells[name] = choose.spelling(made, NO)
    for name in ("mud_and_snow", "season"):
        if name in choose.barred:
            cells.pop(name, None)


def is_yes(text: str | None) -> bool:
    """Whether a cell says yes."""
    return text in YES


def marking_letters(made: Listing, choose: Chooser) -> tuple[str, str]:
    """What stands before and after the service description."""
    tire, after = made.tire, []
    before = f"{tire.ply_marked}PR" if tire.ply_marked else ""
    if tire.version == "XL":
        after.append("XL")
    if tire.load_range:
        after.append(tire.load_range)
    if tire.second:
        after.append(f"({tire.second})" if tire.family != "agricultural" else "")
    if is_yes(made.cells.get("mud_and_snow")) and choose.rng.random() < 0.2:
        after.append("M+S")
    if tire.index is not None and not tire.load_range and choose.rng.random() < 0.05:
        after.append("TL")
    return before, " ".join(word for word in after if word)


def full_marking(made: Listing, choose: Chooser, size: str | None = None, service: str | None = None) -> str:
    """The whole marking in one text."""
    tire = made.tire
    before, after = marking_letters(made, choose)
    size = size or tire.size
    service = tire.service if service is None else service
    if tire.second and tire.family == "agricultural" and service:
        service = f"{service}/{tire.second}"
    if tire.construction in ("R", "ZR") and tire.aspect is not None and choose.rng.random() < 0.1:
        size = size.replace(tire.construction, f" {tire.construction}", 1)
    return " ".join(word for word in (size, before, service, after) if word)


def marking(made: Listing, choose: Chooser) -> None:
    """The marking in one of the forms of the contract."""
    tire, cells, form = made.tire, made.cells, made.form
    if form in ("marking", "both"):
        cells["marking"] = full_marking(made, choose)
    if form != "marking":
        cells["size"] = tire.size
    if form in ("split", "both") and tire.service:
        cells["service_description"] = tire.service
        if tire.second and form == "split":
            joined = (
                f"{tire.service}/{tire.second}" if tire.family == "agricultural" else f"{tire.service} ({tire.second})"
            )
            cells["service_description"] = joined
    if form == "indices" and tire.index is not None:
        pair = tire.index_dual is not None
        if pair and "load_index" not in choose.wanted and choose.rng.random() < 0.2:
            cells["load_index"] = f"{tire.index}/{tire.index_dual}"
        else:
            cells["load_index"] = f"{tire.index}"
            if pair:
                cells["load_index_dual"] = f"{tire.index_dual}"
        cells["speed_symbol"] = f"({tire.symbol})" if tire.open_ended else f"{tire.symbol}"
    if "marking" not in cells and tire.version == "HL" and form != "marking":
        cells.setdefault("load_version", "HL")
    if tire.left_out:
        made.may.add("prefix-missing")
    if form == "size-only" or tire.index is None:
        made.may |= {"load-unverified", "speed-unverified"}


def split_fields(made: Listing, choose: Chooser) -> None:
    """Index, symbol, load range, ply rating, version and the parts of the size in fields of their own."""
    tire, cells = made.tire, made.cells
    if tire.index is not None and made.form in ("marking", "split", "both"):
        if choose.takes("load_index", 0.5):
            cells["load_index"] = f"{tire.index}"
        if tire.index_dual is not None and choose.takes("load_index_dual", 0.4):
            cells["load_index_dual"] = f"{tire.index_dual}"
        if choose.takes("speed_symbol", 0.5):
            forms = (f"({tire.symbol})", "Y") if tire.open_ended and tire.symbol == "Y" else (f"{tire.symbol}",)
            cells["speed_symbol"] = choose.spelling(made, forms)
    if tire.load_range and choose.takes("load_range", 0.6):
        cells["load_range"] = choose.spelling(made, (tire.load_range, tire.load_range, f"LR {tire.load_range}"))
    elif tire.passenger and choose.rng.random() < 0.1 and "load_range" not in choose.barred and not tire.version:
        cells["load_range"] = choose.spelling(made, ("SL", "SL", "SL/4"))
    if tire.ply and choose.takes("ply_rating", 0.4):
        cells["ply_rating"] = choose.spelling(
            made, (f"{tire.ply}", f"{tire.ply} PR", f"{tire.ply}PR", f"{tire.ply}-ply")
        )
    elif tire.passenger and choose.rng.random() < 0.1 and "ply_rating" not in choose.barred:
        cells["ply_rating"] = "4"
    if tire.version == "XL" and choose.takes("load_version", 0.5):
        cells["load_version"] = choose.spelling(made, ("XL", "XL", "Extra Load", "Reinforced", "XL RF"[:2]))
    if tire.version == "HL" and choose.takes("load_version", 0.5):
        cells["load_version"] = "HL"
    if tire.version is None and tire.passenger and choose.takes("load_version", 0.15):
        cells["load_version"] = "SL"
    _size_fields(made, choose)


def _size_fields(made: Listing, choose: Chooser) -> None:
    tire, cells, style = made.tire, made.cells, made.style
    if tire.width_mm and choose.takes("section_width_mm", 0.45):
        cells["section_width_mm"] = style.number(tire.width_mm, "mm")
    if tire.width_in and choose.takes("section_width_in", 0.4):
        cells["section_width_in"] = choose.spelling(made, (f"{tire.width_in:.2f}", f"{tire.width_in:g}"))
    if tire.aspect and choose.takes("aspect_ratio", 0.45):
        cells["aspect_ratio"] = choose.spelling(
            made, (f"{tire.aspect}", f"{tire.aspect}", f"{tire.aspect}.0", f"{tire.aspect}%")
        )
    if tire.rim_in and choose.takes("rim_diameter_in", 0.55):
        rim = f"{tire.rim_in:g}"
        cells["rim_diameter_in"] = choose.spelling(made, (rim, f"{tire.rim_in:.1f}", f'{rim}"', f"{rim} in"))
    names = {
        "R": ("R", "Radial", "radial"),
        "ZR": ("ZR", "R", "Radial"),
        "RF": ("R", "Radial"),
        "D": ("D", "Bias", "Diagonal"),
        "-": ("Bias", "D", "bias"),
        "B": ("B",),
    }
    if tire.construction in names and tire.family != "industrial" and choose.takes("construction", 0.3):
        cells["construction"] = choose.spelling(made, names[tire.construction])


def loads(made: Listing, choose: Chooser, exact: bool) -> None:
    """Maximum loads in kg and lb, on or off the table, rounded as people do."""
    tire, rng, style = made.tire, choose.rng, made.style
    single = tire.single_kg
    if single is None:
        _unverified_loads(made, choose)
        return
    seen = tire.second and made.form in ("marking", "split", "both") and not exact and not choose.wanted
    index = second_index(tire.second) if seen and rng.random() < 0.2 else None
    if index is not None:
        single = load_kg(index)
    drift = 1.0
    off_table = tire.us_tables and not exact and rng.random() < 0.25
    if off_table:
        drift = 1 + rng.choice((-1, 1)) * rng.uniform(0.003, 0.017)
        made.may.add("load-off-table")
    step = 10 if tire.family.startswith("truck") and not exact and rng.random() < 0.3 else 1
    if step == 10:
        made.may.add("load-off-table")
    made.plain["kg"], made.plain["lb"] = _state_load(made, choose, single * drift, step, "max_load")
    if tire.dual_kg is not None and index is None:
        _state_load(made, choose, tire.dual_kg * drift, step, "max_load_dual")
    if rng.random() < 0.03 and not choose.wanted and "max_load_kg" in made.cells:
        kg, lb = made.plain["kg"], made.plain["lb"]
        made.cells["max_load_kg"] = rng.choice((f"{kg:.0f} kg ({lb:,} lb)", f"{kg:,.0f} kg / {lb} lbs"))
        return
    combined = not choose.wanted and not off_table and "max_load_dual_kg" in made.cells and "max_load_kg" in made.cells
    if combined and rng.random() < 0.1:
        dual = made.cells.pop("max_load_dual_kg").removesuffix(" kg").replace(",", "")
        first = made.cells["max_load_kg"].removesuffix(" kg").replace(",", "")
        made.cells["max_load_kg"] = f"{first}/{dual} kg" if style.units else f"{first}/{dual}"


def second_index(second: str) -> int:
    """The single load index of a second service description, `104H` or `154/150M`."""
    return int(re.match(r"\d+?(?=/|A8$|[B-Y]$)", second)[0])


def _state_load(made: Listing, choose: Chooser, kg: float, step: int, field: str) -> tuple[float, float]:
    rng, style = choose.rng, made.style
    lb = step * round(to_lb(kg) / step) if step > 1 else to_lb(kg)
    shown_kg = round(lb * KG_PER_LB) if step > 1 else kg
    chance = 0.6 if field == "max_load" else 0.4
    decimals = 1 if rng.random() < 0.05 and not style.tidy else 0
    if choose.takes(f"{field}_kg", chance):
        made.cells[f"{field}_kg"] = style.number(shown_kg, "kg", decimals)
    if choose.takes(f"{field}_lb", chance):
        unit = choose.spelling(made, ("lb", "lbs", "lb", "lbs."))
        if rng.random() < 0.06 and step == 1 and not style.tidy:  # converted, and not rounded
            made.cells[f"{field}_lb"] = style.number(kg / KG_PER_LB, unit, 1)
        else:
            made.cells[f"{field}_lb"] = style.number(lb, unit)
    return shown_kg, lb


def _unverified_loads(made: Listing, choose: Chooser) -> None:
    if made.tire.variant == "special-trailer-bare" and choose.rng.random() < 0.7:
        kg = choose.rng.choice((1060, 1120, 1150) if made.tire.load_range == "D" else (775, 800, 825))
        _state_load(made, choose, kg, 1, "max_load")


def speeds(made: Listing, choose: Chooser) -> None:
    """Top speed in km/h and mph: printed, converted to and fro, open-ended."""
    tire, rng, style = made.tire, choose.rng, made.style
    if tire.kmh is None:
        _bare_speeds(made, choose)
        return
    kmh, mph = tire.kmh, to_mph(tire.kmh)
    if rng.random() < 0.2:
        kmh = round(mph * KM_PER_MILE)
    elif rng.random() < 0.04 and kmh < 300 and not tire.open_ended:  # a mile taken for 1.6 km
        mph = round(kmh / 1.6)
    if tire.symbol == "Q" and rng.random() < 0.3:
        mph = 100
    if not tire.open_ended:
        made.plain["kmh"], made.plain["mph"] = kmh, mph
    plus = "+" if tire.open_ended and rng.random() < 0.5 else ""
    if choose.takes("max_speed_kmh", 0.5):
        made.cells["max_speed_kmh"] = (
            f"{kmh}{plus}" if plus else style.number(kmh, choose.spelling(made, ("km/h", "km/h", "kph")))
        )
    if choose.takes("max_speed_mph", 0.5):
        made.cells["max_speed_mph"] = (
            f"{mph}{plus}" if plus else style.number(mph, choose.spelling(made, ("mph", "MPH")))
        )


def _bare_speeds(made: Listing, choose: Chooser) -> None:
    tire, rng = made.tire, choose.rng
    if tire.variant == "metric-bare-zr":
        kmh, mph = rng.choice(((240, 149), (270, 168), (300, 186)))
        plus = rng.choice(("", "+"))
    elif tire.variant == "special-trailer-bare":
        kmh, mph, plus = 105, 65, ""
    else:
        return
    if choose.takes("max_speed_kmh", 0.5):
        made.cells["max_speed_kmh"] = f"{kmh}{plus}"
    if choose.takes("max_speed_mph", 0.5):
        made.cells["max_speed_mph"] = f"{mph}{plus}"
