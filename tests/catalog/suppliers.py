"""The invented suppliers of the sample catalogs: their headers, and how one of them writes in German."""

from __future__ import annotations

from collections.abc import Mapping

# Headers as each supplier spells them; a field that is not named keeps its own name.
TIDY = {
    "supplier": "Supplier", "sku": "SKU", "part_number": "Part Number", "gtin": "UPC", "brand": "Brand",
    "model": "Model", "title": "Title", "description": "Description", "marking": "Tire Marking",
    "size": "Tire Size", "service_description": "Service Description", "load_index": "Load Index",
    "load_index_dual": "Load Index Dual", "speed_symbol": "Speed Rating", "load_range": "Load Range",
    "ply_rating": "Ply Rating", "max_load_kg": "Max Load (kg)", "max_load_lb": "Max Load (lb)",
    "max_load_dual_kg": "Max Load Dual (kg)", "max_load_dual_lb": "Max Load Dual (lb)",
    "max_speed_kmh": "Max Speed (km/h)", "max_speed_mph": "Max Speed (mph)",
    "rim_diameter_in": "Rim Diameter (in)", "aspect_ratio": "Aspect Ratio",
    "section_width_mm": "Section Width (mm)", "substitutes": "Alternatives",
}  # fmt: skip
MESSY = {
    "supplier": "VENDOR", "sku": "ITEM NO.", "part_number": "Mfr Part #", "gtin": "EAN", "brand": "MAKE",
    "model": "Tread Pattern", "title": "product_name", "description": "Long Description",
    "marking": "Full Size", "size": "Tyre Size", "service_description": "LOAD/SPEED", "load_index": "L.I.",
    "load_index_dual": "Dual Load Index", "speed_symbol": "SPEED RATING", "load_range": "LR",
    "ply_rating": "Ply", "load_version": "SL/XL", "construction": "Construction Type",
    "section_width_mm": "section width mm", "aspect_ratio": "Series",
    "rim_diameter_in": "Wheel Dia. (inch)", "overall_diameter_mm": "OD mm",
    "overall_diameter_in": "O.D. (in.)", "max_load_kg": "MAX LOAD KGS", "max_load_lb": "Max. Load LBS",
    "max_load_dual_kg": "dual max load kg", "max_load_dual_lb": "dual max load lbs",
    "max_speed_kmh": "Top Speed KPH", "max_speed_mph": "top speed mph",
    "max_pressure_psi": "Max. Inflation (PSI)", "max_pressure_kpa": "Max. Inflation (kPa)",
    "mud_and_snow": "M+S", "severe_snow": "3PMSF", "treadwear": "UTQG Treadwear",
    "traction": "UTQG Traction", "temperature": "UTQG Temperature",
}  # fmt: skip
GERMAN = {
    "supplier": "Lieferant", "sku": "Artikelnummer", "part_number": "Herstellernummer", "gtin": "EAN-Nummer",
    "brand": "Marke", "model": "Profil", "title": "Bezeichnung", "marking": "Reifenkennzeichnung",
    "size": "Reifengröße", "service_description": "Betriebskennung", "load_index": "Tragfähigkeitsindex",
    "load_index_dual": "Tragfähigkeitsindex Zwilling", "speed_symbol": "Geschwindigkeitsindex",
    "ply_rating": "PR-Zahl", "load_version": "Lastausführung", "construction": "Bauart",
    "section_width_mm": "Querschnittsbreite (mm)", "aspect_ratio": "Querschnittsverhältnis",
    "rim_diameter_in": "Felgendurchmesser (Zoll)", "overall_diameter_mm": "Außendurchmesser (mm)",
    "measured_width_mm": "Betriebsbreite (mm)", "measuring_rim_in": "Messfelge (Zoll)",
    "max_load_kg": "Traglast (kg)", "max_load_dual_kg": "Traglast Zwilling (kg)",
    "max_speed_kmh": "Höchstgeschwindigkeit (km/h)", "max_pressure_bar": "Max. Luftdruck (bar)",
    "tread_depth_mm": "Profiltiefe (mm)", "tire_weight_kg": "Gewicht (kg)", "season": "Saison",
    "mud_and_snow": "M+S", "severe_snow": "Schneeflocke", "tire_class": "Reifenklasse",
    "fuel_class": "Kraftstoffeffizienz",
    "wet_grip_class": "Nasshaftung", "noise_db": "Rollgeräusch (dB)", "noise_class": "Geräuschklasse",
}  # fmt: skip
_SEASONS = {"summer": "Sommer", "winter": "Winter", "all-season": "Ganzjahr"}
_FLAGS = dict.fromkeys(("yes", "y", "true", "1"), "Ja") | dict.fromkeys(("no", "n", "false", "0"), "Nein")
_KEPT = ("supplier", "sku", "part_number", "gtin", "brand", "model", "marking", "size", "service_description")
_KINDS = {
    "Summer": "Sommerreifen",
    "Winter": "Winterreifen",
    "All-Season": "Ganzjahresreifen",
    "Tire": "Reifen",
}


def in_german(cells: Mapping[str, str]) -> dict[str, str]:
    """The cells as a German supplier sends them: decimal commas, Ja and Nein, German titles, metric units."""
    out = {}
    for name, text in cells.items():
        if name not in GERMAN:
            continue
        if name == "title":
            text = " ".join(_KINDS.get(word, word) for word in text.replace(",", "").split())
        elif name == "season":
            text = _SEASONS.get(text.lower().replace(" ", "-"), text)
        elif name in ("mud_and_snow", "severe_snow"):
            text = _FLAGS.get(text.lower(), text)
        elif name not in _KEPT:
            text = text.replace(".", ",")
        out[name] = text
    return out
