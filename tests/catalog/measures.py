"""More groups of cells of a right listing: dimensions, pressures, depth and weight, U.S. grades, EU label."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.catalog.parts import Chooser, is_yes
from tests.catalog.tables import (
    KG_PER_LB,
    KM_PER_MILE,
    KPA_PER_PSI,
    PASSENGER_PRESSURES,
    PRESSURE_KPA,
    noise_limit,
)

if TYPE_CHECKING:
    from tests.catalog.valid import Listing


# New tread depths in 32nds of an inch, and weights as shares of the single load, where they are not a passenger tire's.
DEPTHS = {"lt-metric": (12, 19), "flotation": (12, 20), "temporary-spare": (4, 6), "truck-metric": (14, 29)}
WEIGHTS = {
    "agricultural": (0.03, 0.05), "truck-metric": (0.016, 0.02), "truck-numeric": (0.016, 0.02),
    "off-road": (0.02, 0.03), "temporary-spare": (0.009, 0.013), "motorcycle": (0.016, 0.022),
}  # fmt: skip
# Narrowest, measuring and widest rim as shares of the width, where they lie outside of what passenger tires have.
RIM_SHARES = {"motorcycle": (0.48, 0.6, 0.72), "agricultural": (0.72, 0.9, 1.1)}


def dimensions(made: Listing, choose: Chooser) -> None:
    """Overall diameter across the envelope, measured width, rim widths, revolutions."""
    tire, rng, style = made.tire, choose.rng, made.style
    actual = None
    limits = tire.diameter_limits_mm
    if limits is not None:
        low, high = limits
        if tire.family == "motorcycle" or not tire.radial:
            low, high = tire.diameter_mm * 0.996, tire.diameter_mm * 1.006
        actual = rng.uniform(low, high) if rng.random() < 0.6 else tire.diameter_mm
        made.plain["diameter_mm"] = actual
        if choose.takes("overall_diameter_mm", 0.35):
            made.cells["overall_diameter_mm"] = style.number(actual, "mm", rng.choice((0, 0, 1)))
        if choose.takes("overall_diameter_in", 0.35):
            made.cells["overall_diameter_in"] = style.number(actual / 25.4, "in", rng.choice((1, 1, 2)))
    width = tire.width_mm or (tire.width_in * 25.4 if tire.width_in else None)
    if width is not None and tire.family != "temporary-spare":
        measured = width * rng.uniform(0.965, 1.06)
        if choose.takes("measured_width_mm", 0.2):
            made.cells["measured_width_mm"] = style.number(measured, "mm", rng.choice((0, 0, 1)))
        if choose.takes("measured_width_in", 0.2):
            made.cells["measured_width_in"] = style.number(measured / 25.4, "in", 1)
        _rim_widths(made, choose, width)
    if actual is not None and tire.family not in ("motorcycle", "temporary-spare"):
        _revolutions(made, choose, max(actual, tire.diameter_mm * 0.98))


def _half(inches: float) -> float:
    return round(2 * inches) / 2


def _rim_widths(made: Listing, choose: Chooser, width: float) -> None:
    rng, tire = choose.rng, made.tire
    if tire.family in RIM_SHARES:
        shares = RIM_SHARES[tire.family]
    else:
        shares = (0.78, 0.86, 0.96) if tire.aspect is not None and tire.aspect <= 50 else (0.68, 0.76, 0.86)
    low, middle, high = (_half(width / 25.4 * part) for part in shares)
    if low < width * 0.615 / 25.4 and tire.family not in RIM_SHARES:
        low += 0.5
    middle = min(max(middle, low), high)
    names = {"rim_width_min_in": low, "measuring_rim_in": middle, "rim_width_max_in": high}
    shown = rng.random() < 0.25
    for name, value in names.items():
        if name in choose.wanted or (shown and name not in choose.barred):
            made.cells[name] = choose.spelling(made, (f"{value:.1f}", f"{value:g}", f"{value:.2f}"))
            made.plain[name] = value


def _revolutions(made: Listing, choose: Chooser, diameter_mm: float) -> None:
    factor = (3.05 if made.tire.radial else 2.99) * choose.rng.uniform(0.99, 1.01)
    per_km = 1_000_000 / (factor * diameter_mm)
    if choose.takes("revs_per_km", 0.12):
        made.cells["revs_per_km"] = f"{per_km:.0f}"
    if choose.takes("revs_per_mile", 0.2):
        made.cells["revs_per_mile"] = f"{per_km * KM_PER_MILE:.0f}"


def pressures(made: Listing, choose: Chooser) -> None:
    """Maximum pressures of the lists that catalogs print, as marked or converted from either unit."""
    tire, rng, style = made.tire, choose.rng, made.style
    if tire.passenger:
        psi, kpa = rng.choice(PASSENGER_PRESSURES[1:] if tire.version else PASSENGER_PRESSURES)
    elif tire.psi:
        psi, kpa = tire.psi, PRESSURE_KPA[tire.psi]
    else:
        return
    shown = _converted(choose, psi, kpa)
    for name, unit, chance in (("psi", "psi", 0.45), ("kpa", "kPa", 0.25), ("bar", "bar", 0.12)):
        if choose.takes(f"max_pressure_{name}", chance):
            made.cells[f"max_pressure_{name}"] = style.number(shown[name][0], unit, shown[name][1])


def _converted(choose: Chooser, psi: int, kpa: int) -> dict[str, tuple[float, int]]:
    """A pressure in each unit, (value, decimals): as the sidewall has it, or one unit converted to the others."""
    rng, way = choose.rng, choose.rng.random()
    if way < 0.5:
        return {"psi": (psi, 0), "kpa": (kpa, 0), "bar": (kpa / 100, 1)}
    exact = psi * KPA_PER_PSI if way < 0.75 else float(kpa)
    places = rng.choice((1, 2))
    whole_kpa = float(int(exact)) if rng.random() < 0.2 else exact  # cut instead of rounded
    of_psi = (float(psi), 0) if way < 0.75 else (exact / KPA_PER_PSI, rng.choice((0, 1)))
    return {"psi": of_psi, "kpa": (whole_kpa, rng.choice((0, 0, 0, 1))), "bar": (exact / 100, places)}


def other_quantities(made: Listing, choose: Chooser) -> None:
    """Tread depth and weight in both units."""
    rng, style, tire = choose.rng, made.style, made.tire
    depth = rng.randrange(*DEPTHS.get(tire.family, (8, 15)))
    if choose.takes("tread_depth_32nds", 0.3):
        made.cells["tread_depth_32nds"] = choose.spelling(made, (f"{depth}", f"{depth}/32", f'{depth}/32"'))
    if choose.takes("tread_depth_mm", 0.2):
        made.cells["tread_depth_mm"] = style.number(depth * 25.4 / 32, "mm", 1)
    share = rng.uniform(*WEIGHTS.get(tire.family, (0.013, 0.018)))
    kg = round(share * (tire.single_kg or 900.0), 1)
    if choose.takes("tire_weight_lb", 0.3):
        made.cells["tire_weight_lb"] = style.number(kg / KG_PER_LB, "lb", 1)
    if choose.takes("tire_weight_kg", 0.2):
        made.cells["tire_weight_kg"] = style.number(kg, "kg", 1)


def grading(made: Listing, choose: Chooser) -> None:
    """U.S. uniform tire quality grades, on passenger tires that are no winter tires."""
    tire, rng, cells = made.tire, choose.rng, made.cells
    winter = cells.get("season", "").lower() == "winter"
    wanted = choose.wanted & {"treadwear", "traction", "temperature", "utqg"}
    if not tire.passenger or winter or is_yes(cells.get("severe_snow")) or (rng.random() < 0.55 and not wanted):
        return
    wear = 20 * rng.randrange(8, 41)
    traction = rng.choice(("AA", "A", "A", "B"))
    temperature = "B" if tire.symbol in ("Q", "R", "S") else ("A" if rng.random() < 0.85 else "B")
    if "utqg" in wanted or (not wanted and rng.random() < 0.4):
        forms = (
            f"{wear} {traction} {temperature}",
            f"{wear}/{traction}/{temperature}",
            f"{wear} {traction}{temperature}",
        )
        cells["utqg"] = choose.spelling(made, forms[:2])
        return
    cells["treadwear"], cells["traction"], cells["temperature"] = f"{wear}", traction, temperature


def label(made: Listing, choose: Chooser) -> None:
    """The EU label, noise class fitting the limit however the snow allowance is read."""
    tire, rng, cells = made.tire, choose.rng, made.cells
    names = frozenset({"tire_class", "fuel_class", "wet_grip_class", "noise_db", "noise_class"})
    kinds = {"metric": "C1", "commercial": "C2", "truck-metric": "C3"}
    kind = kinds.get(tire.family)
    if (
        kind is None
        or tire.index is None
        or tire.width_mm is None
        or (rng.random() < 0.7 and not choose.wanted & names)
    ):
        return
    if kind == "C2" and (tire.index > 121 or tire.kmh < 140):
        return
    if kind == "C3" and tire.index <= 121:
        return
    extra = tire.version in ("XL", "HL")
    limit = noise_limit(kind, tire.width_mm, extra)
    noise_class = rng.choice("AB")
    quiet = limit - 4
    cells["tire_class"] = kind
    cells["fuel_class"] = rng.choice("ABCDE")
    cells["wet_grip_class"] = rng.choice("ABCDE")
    noise = (
        rng.randrange(quiet - 1, quiet + 1)
        if noise_class == "A"
        else limit - rng.choice((0, 1) if kind == "C1" else (0,))
    )
    cells["noise_db"] = made.style.number(noise, "dB")
    cells["noise_class"] = noise_class
    made.plain["noise_limit"] = limit
