"""Strategies over the grammar of markings: each gives a canonical text with the decode that it must have.

Written from the standards' notation, not from the decoder: the expectation is built beside the text.
"""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

Case = tuple[str, dict[str, Any]]

FAST = "PQRSTUHVWY"  # symbols of road tires
SLOW = ("A2", "A6", "A8", "B", "D")


def _service(
    draw: st.DrawFn, low: int, high: int, symbols: str, dual: bool | None = False
) -> tuple[str, dict[str, Any]]:
    single = draw(st.integers(low, high))
    symbol = draw(st.sampled_from(symbols))
    twin = draw(st.booleans()) if dual is None else dual
    if twin:
        second = single - draw(st.integers(1, 4))
        return f"{single}/{second}{symbol}", {"load_index": single, "load_index_dual": second, "speed_symbol": symbol}
    return f"{single}{symbol}", {"load_index": single, "load_index_dual": None, "speed_symbol": symbol}


@st.composite
def metric(draw: st.DrawFn) -> Case:
    prefix = draw(st.sampled_from(["", "", "P", "HL"]))
    width = draw(st.sampled_from(range(155, 335, 10)))
    aspect = draw(st.sampled_from(range(25, 85, 5)))
    construction = draw(st.sampled_from(["R", "R", "ZR"]))
    flat = draw(st.booleans()) if prefix == "" else False
    # High and wide sizes for 22 in rims are trucks' sizes for 22.5 without their half.
    rim = draw(st.sampled_from([13, 14, 15, 16, 17, 18, 19, 20, 21, *([22] if aspect < 60 else [])]))
    text = f"{prefix}{width}/{aspect}{construction}{'F' if flat else ''}{rim}"
    wanted: dict[str, Any] = {
        "family": "p-metric" if prefix == "P" else "metric",
        "section_width_mm": width,
        "aspect_ratio": aspect,
        "construction": construction,
        "run_flat": flat,
        "rim_diameter_in": rim,
        "load_version": "HL" if prefix == "HL" else None,
    }
    kind = draw(st.sampled_from(["none", "plain", "open"]))
    if kind == "open":
        index = draw(st.integers(70, 120))
        text += f" ({index}Y)"
        wanted |= {"load_index": index, "load_index_dual": None, "speed_symbol": "Y", "speed_open": True}
    elif kind == "plain":
        words, more = _service(draw, 70, 120, FAST)
        text += f" {words}"
        wanted |= more
    if prefix != "HL" and draw(st.booleans()):
        text += " XL"
        wanted["load_version"] = "XL"
    return text, wanted


@st.composite
def light_truck(draw: st.DrawFn) -> Case:
    family = draw(st.sampled_from(["lt-metric", "lt-metric", "special-trailer"]))
    width = draw(st.sampled_from(range(175, 335, 10)))
    aspect = draw(st.sampled_from(range(60, 90, 5)))
    rim = draw(st.sampled_from([13, 14, 15, 16, 17, 18, 20, 22]))
    construction = draw(st.sampled_from(["R", "D"])) if family == "special-trailer" else "R"
    if family == "special-trailer":
        text = f"ST{width}/{aspect}{construction}{rim}"
    elif draw(st.booleans()):
        text = f"LT{width}/{aspect}R{rim}"
    else:
        text = f"{width}/{aspect}R{rim}LT"
    wanted: dict[str, Any] = {
        "family": family,
        "section_width_mm": width,
        "aspect_ratio": aspect,
        "construction": construction,
        "rim_diameter_in": rim,
    }
    if draw(st.booleans()):
        words, more = _service(draw, 96, 130, "LMNPQRST", dual=None)
        text += f" {words}"
        wanted |= more
    letter = draw(st.sampled_from([None, "B", "C", "D", "E", "F"]))
    if letter:
        text += f" {letter}"
    return text, wanted | {"load_range": letter}


@st.composite
def flotation(draw: st.DrawFn) -> Case:
    overall = draw(st.integers(27, 44))
    width = draw(st.sampled_from(["8.50", "9.50", "10.50", "11.50", "12.50", "13.50", "15.50"]))
    construction = draw(st.sampled_from(["R", "-"]))
    rim = draw(st.sampled_from([15, 16, 17, 18, 20]))
    suffix = draw(st.sampled_from(["LT", ""]))
    text = f"{overall}x{width}{construction}{rim}{suffix}"
    wanted: dict[str, Any] = {
        "family": "flotation",
        "section_width_in": float(width),
        "section_width_mm": None,
        "overall_diameter_in": overall,
        "construction": "R" if construction == "R" else None,
        "rim_diameter_in": rim,
        "aspect_ratio": None,
    }
    if draw(st.booleans()):
        words, more = _service(draw, 99, 128, "NPQRST")
        text += f" {words}"
        wanted |= more
    letter = draw(st.sampled_from([None, "C", "D", "E", "F"]))
    return (f"{text} {letter}" if letter else text), wanted | {"load_range": letter}


@st.composite
def commercial(draw: st.DrawFn) -> Case:
    width = draw(st.sampled_from(range(165, 245, 10)))
    aspect = draw(st.sampled_from([None, 60, 65, 70, 75]))
    rim = draw(st.sampled_from([13, 14, 15, 16, 17]))
    suffix = draw(st.sampled_from(["C", "C", "CP"]))
    text = f"{width}{f'/{aspect}' if aspect else ''}R{rim}{suffix}"
    ply = draw(st.sampled_from([None, 6, 8, 10]))
    words, more = _service(draw, 90, 121, "NPQRST", dual=None)
    wanted = {
        "family": "commercial",
        "section_width_mm": width,
        "aspect_ratio": aspect,
        "construction": "R",
        "rim_diameter_in": rim,
        "ply_rating": ply,
        "load_range": None,
    }
    return f"{text}{f' {ply}PR' if ply else ''} {words}", wanted | more


@st.composite
def truck(draw: st.DrawFn) -> Case:
    rim = draw(st.sampled_from(["17.5", "19.5", "22.5", "24.5"]))
    if draw(st.booleans()):
        width = draw(st.sampled_from(range(205, 455, 10)))
        aspect = draw(st.sampled_from([45, 50, 55, 60, 65, 70, 75, 80]))
        text = f"{width}/{aspect}R{rim}"
        wanted: dict[str, Any] = {"family": "truck-metric", "section_width_mm": width, "aspect_ratio": aspect}
    else:
        inch = draw(st.sampled_from([8, 9, 10, 11, 12, 13]))
        text = f"{inch}R{rim}"
        wanted = {"family": "truck-numeric", "section_width_in": inch, "aspect_ratio": None}
    words, more = _service(draw, 122, 169, "JKLMN", dual=None)
    letter = draw(st.sampled_from([None, "F", "G", "H", "J", "L"]))
    wanted |= {"construction": "R", "rim_diameter_in": float(rim), "load_range": letter} | more
    return f"{text} {words}{f' {letter}' if letter else ''}", wanted


@st.composite
def motorcycle(draw: st.DrawFn) -> Case:
    width = draw(st.sampled_from([80, 90, 100, 110, 120, 130, 140, 150, 160, 180, 190, 200]))
    aspect = draw(st.sampled_from([50, 55, 60, 65, 70, 80, 90, 100]))
    mark = draw(st.sampled_from(["ZR", "R", "-", "B"]))
    rim = draw(st.sampled_from([13, 14, 15, 16, 17, 18, 19, 21]))
    wanted: dict[str, Any] = {
        "family": "motorcycle",
        "section_width_mm": width,
        "aspect_ratio": aspect,
        "construction": None if mark == "-" else mark,
        "rim_diameter_in": rim,
    }
    text = f"{width}/{aspect}{mark}{rim} M/C"
    if mark == "ZR":
        index = draw(st.integers(49, 84))
        return f"{text} ({index}W)", wanted | {"load_index": index, "speed_symbol": "W", "speed_open": True}
    words, more = _service(draw, 41, 84, "JKLMPSTHV")
    return f"{text} {words}", wanted | more


@st.composite
def farm(draw: st.DrawFn) -> Case:
    prefix = draw(st.sampled_from(["", "", "IF", "VF"]))
    width = draw(st.sampled_from([320, 340, 380, 420, 460, 480, 520, 540, 600, 650, 710, 800, 900]))
    aspect = draw(st.sampled_from([60, 65, 70, 75, 80, 85, 90, 95]))
    rim = draw(st.sampled_from([24, 26, 28, 30, 32, 34, 38, 42, 46, 50, 54]))
    single = draw(st.integers(120, 190))
    symbol = draw(st.sampled_from(SLOW))
    text = f"{prefix}{width}/{aspect}R{rim} {single}{symbol}"
    wanted: dict[str, Any] = {
        "family": "agricultural",
        "section_width_mm": width,
        "aspect_ratio": aspect,
        "construction": "R",
        "rim_diameter_in": rim,
        "load_index": single,
        "load_index_dual": None,
        "speed_symbol": symbol,
    }
    if symbol in ("A1", "A2"):
        symbol = "A8"
        text, wanted["speed_symbol"] = text[:-2] + "A8", "A8"
    if symbol == "A8" and draw(st.booleans()):
        second = single - 3
        return f"{text}/{second}B", wanted | {"additional": ((second, None, "B"),)}
    return text, wanted


CASES = st.one_of(metric(), light_truck(), flotation(), commercial(), truck(), motorcycle(), farm())

LETTERS = st.lists(
    st.sampled_from(["M+S", "3PMSF", "TL", "TT", "FRT", "POR", "BSW", "OWL", "RWL", "VSB", "REGROOVABLE", "NHS"]),
    unique=True,
    max_size=3,
)


def facts(marking: Any, keys: Any) -> dict[str, Any]:
    """The fields of a marking under the names used here, service description flattened."""
    found: dict[str, Any] = {}
    for key in keys:
        if key == "additional":
            found[key] = tuple((one.load_index, one.load_index_dual, one.speed_symbol) for one in marking.additional)
        elif key in ("load_index", "load_index_dual", "speed_symbol", "speed_open"):
            found[key] = getattr(marking.service, key)
        else:
            found[key] = getattr(marking, key)
    return found
