"""Cells in which one number climbs, and what is read in them: which field, how many times the number, how exact.

One listing does not know its feed's decimal mark, so `1,360` is decided by what can be at all: the forms with a comma
or a point and three digits find the ends of that.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from auditor.quantities import read_cell
from tests.edges.ladder import Answer, Ladder, near, rising, span, told

_UNITS = {
    "max_load_kg": "kg t lb lbs # kgs",
    "max_load_lb": "kg t lb",
    "max_speed_kmh": "km/h mph kph",
    "max_speed_mph": "km/h mph",
    "max_pressure_kpa": "kPa MPa bar psi kgf/cm2",
    "max_pressure_psi": "kPa bar psi MPa",
    "max_pressure_bar": "kPa bar psi",
    "section_width_mm": 'mm cm in "',
    "overall_diameter_in": "mm cm in",
    "tread_depth_mm": "mm cm in 32nds",
    "tread_depth_32nds": "mm 32nds",
    "tire_weight_kg": "kg lb",
    "tire_weight_lb": "kg lb",
    "revs_per_km": "rev/km rev/mile",
    "revs_per_mile": "rev/km rev/mile",
    "noise_db": "dB",
    "aspect_ratio": "%",
    "rim_diameter_in": 'in " mm cm',
    "measuring_rim_in": "in mm J",
}
_FIELDS = (
    "max_load_kg",
    "max_load_lb",
    "max_load_dual_kg",
    "max_load_dual_lb",
    "max_speed_kmh",
    "max_speed_mph",
    "max_pressure_kpa",
    "max_pressure_psi",
    "max_pressure_bar",
    "section_width_mm",
    "section_width_in",
    "measured_width_mm",
    "measured_width_in",
    "overall_diameter_mm",
    "overall_diameter_in",
    "tread_depth_mm",
    "tread_depth_32nds",
    "tire_weight_kg",
    "tire_weight_lb",
    "revs_per_km",
    "revs_per_mile",
    "rim_diameter_in",
    "measuring_rim_in",
    "rim_width_min_in",
    "rim_width_max_in",
    "noise_db",
    "aspect_ratio",
    "treadwear",
    "load_index",
    "load_index_dual",
    "ply_rating",
)
_HUNDREDS = rising(span(1, 30, 1), span(30, 200, 5), span(200, 990, 10))
_FEW = (
    "1",
    "7",
    "16",
    "17",
    "40",
    "99",
    "100",
    "102",
    "225",
    "406",
    "850",
    "1360",
    "0.5",
    "7.5",
    "22.5",
    "0.65",
    "1.3",
    "2.36",
)


def read(text: str, field: str, rung: str) -> list[str]:
    """What a cell holds, one text a value."""
    cell = read_cell(text, field)
    if cell.status != "read":
        return [cell.status]
    values = []
    for one in cell.readings:
        value = one.value if isinstance(one.value, str) else _times(one.value, rung, text)
        name = "" if one.field == field else f"{one.field} "
        values.append(f"{name}{value} within {one.half_step:.5g}{', or more' * one.open_ended}")
    return values


def _times(value: float, rung: str, text: str) -> str:
    """A number as a multiple of the rung, where the rung is a number and it is not simply written in the cell."""
    number = float(rung) if rung.replace(".", "", 1).isdecimal() else 0.0
    if value == number:
        return "{x}"
    if number == 0.0 or f"{value:g}" in text:
        return f"{value:.5g}"
    return f"{{x}} * {value / number:.5g}"


def _forms() -> Iterator[tuple[str, str, Sequence[str]]]:
    for field in _FIELDS:
        yield field, "{x},000", _HUNDREDS
        yield field, "{x}.000", _HUNDREDS
        yield field, "0,{x}", ("5", "65", "650", "6500")
        yield field, "{x}", _FEW
        for unit in _UNITS.get(field, "").split():
            yield field, f"{{x}} {unit}", _FEW
    for field, other in (
        ("max_load_kg", 2000 * 0.45359237),
        ("max_load_lb", 2000 / 0.45359237),
        ("max_load_kg", 2000 / 0.45359237),
    ):
        yield field, "2000/{x}", near(other, 0.02, 20)
        yield field, "{x}/2000", near(other, 0.02, 20)
        yield field, "2000 kg/{x}", near(other, 0.02, 10)
    for field, other in (
        ("max_speed_kmh", 130.5),
        ("max_pressure_kpa", 30.46),
        ("max_pressure_psi", 1447.9),
        ("section_width_mm", 8.27),
    ):
        yield field, "210/{x}", near(other, 0.02, 20)
    yield (
        "rim_diameter_in",
        "{x}",
        rising(span(1, 30, 1), span(95, 105, 1), span(30, 700, 10), span(429, 435, 0.5), span(99, 103, 0.5)),
    )
    yield "rim_diameter_in", "{x} mm", rising(span(50, 700, 10), span(429, 435, 0.1))
    yield "aspect_ratio", "{x}", rising(span(0.05, 2, 0.05), span(1.28, 1.32, 0.01))
    yield "max_load_kg", "1360 kg ({x})", rising(span(0, 300, 1))
    yield (
        "load_index",
        "{x}",
        rising(span(0, 300, 1), span(990, 1010, 1), span(9990, 10010, 10), span(99990, 100010, 10)),
    )
    yield "load_index", "{x}/116S", rising(span(0, 300, 10))
    yield "load_index", "120/{x}S", rising(span(0, 300, 10))
    yield "load_index", "102 ({x} kg)", _FEW
    for symbol, kmh, mph in (("V", 240, 149), ("H", 210, 130), ("L", 120, 75)):
        yield "speed_symbol", f"{symbol} ({{x}})", rising(span(kmh - 3, kmh + 3, 1), span(mph - 3, mph + 3, 1))
    yield "speed_symbol", "{x} km/h", _FEW
    yield "ply_rating", "{x}", rising(span(0, 30, 1), span(95, 105, 1))
    yield "ply_rating", "{x} ply", ("two", "four", "six", "eight", "ten", "twelve", "fourteen", "sixteen", "twenty")
    yield "load_range", "{x}", tuple("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    yield "load_range", "{x}1", tuple("ABCDEFGHIJKLMNO")
    yield "load_range", "E{x}", ("0", "1", "2", "3", "4", "12")
    yield "tread_depth_mm", "5/{x}", rising(span(1, 70, 1))
    yield "tread_depth_mm", "{x}/16", rising(span(1, 20, 1))
    yield "tread_depth_32nds", "{x}/32", rising(span(1, 40, 1))
    yield "overall_diameter_in", "28 1/{x}", rising(span(1, 70, 1))
    yield "overall_diameter_in", "28 {x}/16", rising(span(0, 20, 1))
    yield "utqg", "{x} A B", rising(span(0, 1200, 20), span(9990, 10010, 10))
    yield "utqg", "500 {x}", ("A", "AA", "AB", "AAA", "AAB", "A A", "AA A", "AAAA", "C B")
    yield "utqg", "500{x}", ("A", "AA", "AB", "AAA", "AAB")
    for field in ("noise_db", "noise_class"):
        yield (
            field,
            "{x}",
            (*"123456ABCZ", ")", "))", ")))", "))))", "71", "71 dB B", "B 71", "71.5 dB", "0", "0 dB", "7100"),
        )
    yield "tire_class", "C{x}", tuple("0123456789")
    yield (
        "measuring_rim_in",
        "{x}",
        ("5.5-7.0", "6.5 (5.5-7.0)", "5.5 6.5", "6.5Jx17", "17x6.5", "5.5,6.5,7", "5.5-6.5-7.0", "6.5 mm"),
    )
    yield (
        "max_load_kg",
        "{x}",
        (
            "1360/1250",
            "1360/1250/1100",
            "1360 kg (2998 lb)",
            "2998 lb/1360 kg",
            "1360 - 1250",
            "1360 single 1250 dual",
            "1250 dual",
            "1360 kg 1250 kg",
            "1360//1250",
            "dual 1250",
            "1,36E+03",
            "1.360,5",
            "1 360",
            "1'360",
            "1e3",
            "1e400",
            "1.2.3",
            "1,2,3",
            "1,360,000",
            "1.360.000",
            "12,36",
            "0,360",
            "1360,",
            "2019-05-06",
            "2019-13-06",
            "1360-12-06",
            "-1360",
            "1360 per pair",
        ),
    )
    yield (
        "max_speed_kmh",
        "{x}",
        (
            "300+",
            ">300",
            "over 300",
            "300 (Y)",
            "Y",
            "Y 300",
            "210/130",
            "up to 210",
            "210-240",
            "0",
            "300 km/h (186 mph)",
        ),
    )
    # Two and three values in one cell, alike or not, of every field.
    for field in _FIELDS:
        for form in ("17/{x}", "17 ({x})", "17-{x}", "17x{x}", "17-{x}-20", "17 {x} 17", "{x}/{x}"):
            yield field, form, _FEW


def cells() -> list[Ladder]:
    """Every form with every value of its grid; the field stands in the ladder's name."""
    ladders: dict[str, Ladder] = {}
    for number, (field, form, rungs) in enumerate(_forms()):
        name = f"{field}: {form}"
        name = f"{name} ({number})" if name in ladders else name
        ladders[name] = Ladder(name, {field: form}, tuple(rungs))
    return list(ladders.values())


def read_all(ladder: Ladder) -> list[Answer]:
    """What the cell of each rung holds."""
    ((field, form),) = ladder.listing.items()
    return [told(read(form.replace("{x}", rung), field, rung)) for rung in ladder.rungs]
