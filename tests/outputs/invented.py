# ruff: noqa: E501
"""A finished audit of invented suppliers, for testing the writers without the engine.

The findings are of every grade and of many kinds, consistent in themselves (summary and findings agree), and seeded.
`repeat` multiplies them to any size without building each one.
"""

from __future__ import annotations

import dataclasses
import hashlib
import random
from collections import Counter
from pathlib import Path
from typing import Any

import pyarrow as pa

from auditor.outputs.audit_result import FinishedAudit, ListingDetail, RuleCard, Statement
from auditor.outputs.findings import FINDINGS_SCHEMA, REMEMBERED_SCHEMA, FindingsWriter
from auditor.rulebook.finding import GRADES

# marking, load index, kg, symbol, km/h, rim, width, aspect, load range, ply rating
TIRES = (
    ("225/65R17 102H", 102, 850, "H", 210, "17", "225", "65", "", ""),
    ("205/55R16 91V", 91, 615, "V", 240, "16", "205", "55", "", ""),
    ("245/40ZR19 (98Y) XL", 98, 750, "Y", 300, "19", "245", "40", "", ""),
    ("LT265/70R17 121/118S E", 121, 1450, "S", 180, "17", "265", "70", "E", "10"),
    ("31x10.50R15LT 109S C", 109, 1030, "S", 180, "15", "", "", "C", "6"),
    ("215/65R16C 109/107T", 109, 1030, "T", 190, "16", "215", "65", "", ""),
    ("11R22.5 144/142L G", 144, 2800, "L", 120, "22.5", "", "", "G", "14"),
    ("ST225/75R15 117/112M E", 117, 1285, "M", 130, "15", "225", "75", "E", "10"),
    ("520/85R38 155A8/152B", 155, 3875, "A8", 40, "38", "520", "85", "", ""),
    ("120/70ZR17 M/C (58W)", 58, 236, "W", 270, "17", "120", "70", "", ""),
)
SUPPLIERS = (
    ("Kestrel Wholesale Rubber", "kestrel_night.csv", 0.45),
    ("Odermatt Reifenkontor", "odermatt/artikel.csv", 0.3),
    ("Bluewater Tire & Tube", "bluewater.parquet", 0.15),
    ("Pneumatique du Vallon", "vallon_2.csv", 0.1),
)
BRANDS = ("Taiga", "Norrvind", "Caldera", "Pelorus", "Quarrystone")
MODELS = ("Rill 4", "Hardpan AT", "Sable GT", "Wake", "Tarn Winter")

_FIGURES = {
    "load-unverified": ("unverified",),
    "load-index-contradicted": ("index-confusions",),
    "load-overstated": ("load-deviation",),
    "load-understated": ("load-deviation",),
}
RULES = {
    card[0]: RuleCard(*card, order, _FIGURES.get(card[0], ()), card[0] == "column-suspect")  # type: ignore[arg-type, misc]
    for order, card in enumerate(
        (
            ("marking-unreadable", "major", "marking", "The marking cannot be read", "Nothing can be checked without it.", "common practice, no source"),
            ("column-suspect", "major", "columns", "A whole column is wrong in one way", "One swapped column is one mistake.", "common practice, no source"),
            ("load-overstated", "critical", "load", "More load than the load index allows", "A driver who trusts the listing can overload the tire.", "UN Regulation No. 54, Annex 4"),
            ("load-understated", "major", "load", "Less load than the load index allows", "The shopper gets wrong facts.", "UN Regulation No. 54, Annex 4"),
            ("load-unverified", "minor", "load", "The load cannot be verified", "No load index to compare with.", "common practice, no source"),
            ("load-index-contradicted", "major", "load", "Another load index than the marking's", "Shoppers filter by this field.", "UN Regulation No. 54, Annex 4"),
            ("speed-overstated", "critical", "speed", "More speed than the symbol allows", "A driver who trusts the listing can be too fast.", "UN Regulation No. 30"),
            ("speed-understated", "major", "speed", "Less speed than the symbol allows", "The shopper gets wrong facts.", "UN Regulation No. 30"),
            ("rim-mismatch", "critical", "size", "Another rim than the marking's", "The tire cannot be mounted; a bead can burst.", "UN Regulation No. 30, Annex 3"),
            ("width-mismatch", "major", "size", "Another width than the marking's", "The shopper gets the wrong product.", "UN Regulation No. 30"),
            ("ply-rating-mismatch", "major", "load range", "Another ply rating than the load range's", "The tire comes back as a return.", "49 CFR 571.119"),
            ("depth-units-disagree", "minor", "quantities", "Tread depths disagree", "One of the two is wrong.", "definition of the inch"),
        )
    )
}  # fmt: skip


def _mistakes(rng: random.Random, tire: tuple[Any, ...]) -> list[dict[str, Any]]:
    """One or two wrong cells of a listing of this tire."""
    _, index, kg, _, kmh, rim, width, *_ = tire
    wrong_rim = f"{float(rim) + rng.choice((0.5, 1, -1)):g}"
    other = index + rng.choice((-10, -2, -1, 1, 1, 2, 9))
    choices: list[tuple[str, str, str, str, str, float | None, str, float]] = [
        # rule, grade, field, stated, derived, deviation, cause, weight
        ("load-overstated", "critical", "max_load_kg", str(round(kg * 2.2046)), str(kg), 1.2046, "unit-swapped", 1.5),
        ("load-overstated", "critical", "max_load_kg", f"{2 * kg:,} kg", f"{kg:,} kg", 1.0, "per-pair", 0.8),
        ("load-overstated", "critical", "max_load_lb", f"{kg * 2.42:.0f}", f"{kg * 2.2046:.0f}", 0.0977, "neighboring-row", 1),
        ("load-understated", "major", "max_load_kg", str(round(kg * 0.9)), str(kg), -0.1, "neighboring-row", 1.5),
        ("load-understated", "major", "max_load_kg", str(index), str(kg), index / kg - 1, "index-not-load", 1),
        ("load-index-contradicted", "critical" if other > index else "major", "load_index", str(other), str(index), None, "digits-transposed", 2),
        ("speed-overstated", "critical", "max_speed_kmh", str(kmh + 30), str(kmh), 30 / kmh, "neighboring-row", 1),
        ("speed-understated", "major", "max_speed_mph", str(round(kmh / 1.609 - 19)), str(round(kmh / 1.609)), -0.12, "rounded", 1),
        ("rim-mismatch", "critical", "rim_diameter_in", wrong_rim, rim, None, "digits-transposed", 0.8),
        ("load-unverified", "minor", "max_load_kg", str(kg), "", None, "unclear", 1),
        ("depth-units-disagree", "minor", "tread_depth_32nds", "14", "10", 0.4, "unclear", 2),
    ]  # fmt: skip
    if width:
        choices.append(("width-mismatch", "major", "section_width_mm", width[::-1], width, 0.1, "digits-transposed", 1))
    picked = rng.choices(choices, [choice[-1] for choice in choices], k=rng.choice((1, 1, 1, 2)))
    by_field = {choice[2]: choice for choice in picked}
    names = ("rule", "grade", "field", "stated", "derived", "deviation", "likely_cause")
    return [dict(zip(names, choice[:-1], strict=True)) for choice in by_field.values()]


def _finding(position: dict[str, Any], tire: tuple[Any, ...], mistake: dict[str, Any]) -> dict[str, Any]:
    key = hashlib.sha256(repr((position["sku"], mistake["rule"], mistake["field"])).encode()).hexdigest()[:16]
    sure = bool(mistake["derived"])
    return {
        **position,
        **mistake,
        "key": key,
        "column": mistake["field"].replace("_", " ").title(),
        "marking": tire[0],
        "evidence": "marking and title agree; this field does not",
        "suggestion": mistake["derived"] if sure else None,
        "message": f"States {mistake['stated']}; the marking {tire[0]} says {mistake['derived'] or 'nothing'}.",
        "stands_for": 1,
    }


def _detail(
    position: dict[str, Any], tire: tuple[Any, ...], mistakes: list[dict[str, Any]], brand: str, title: str
) -> ListingDetail:
    _, index, kg, symbol, kmh, rim, width, aspect, load_range, ply = tire
    wrong = {mistake["field"]: mistake for mistake in mistakes}
    facts = {
        "section_width_mm": width,
        "aspect_ratio": aspect,
        "rim_diameter_in": rim,
        "load_index": str(index),
        "max_load_kg": str(kg),
        "max_load_lb": f"{kg * 2.20462:.0f}",
        "speed_symbol": symbol,
        "max_speed_kmh": str(kmh),
        "load_range": load_range,
        "ply_rating": ply,
    }
    statements = [
        Statement(
            name,
            name.replace("_", " ").title(),
            wrong[name]["stated"] if name in wrong else value,
            value,
            name not in wrong,
        )
        for name, value in facts.items()
        if value
    ]
    statements.append(Statement("season", "Season", "all-season", None, None))
    return ListingDetail(position["feed"], None, position["record"], tire[0], title, brand, tuple(statements))


def invented_audit(folder: Path, listings: int = 1_500, seed: int = 7, hostile: bool = False) -> FinishedAudit:
    """Writes the findings of `listings` invented listings to `folder` and returns the audit, summary not yet written."""
    rng = random.Random(seed)
    findings: list[dict[str, Any]] = []
    details: list[ListingDetail] = []
    feeds = [(*supplier, 0) for supplier in SUPPLIERS]
    for supplier, feed, share, _ in sorted(feeds, key=lambda entry: entry[1]):
        for record in range(1, round(listings * share) + 1):
            if rng.random() > 0.22:
                continue
            tire = rng.choices(TIRES, (30, 25, 10, 12, 4, 8, 5, 4, 1, 1))[0]
            brand, model = rng.choice(BRANDS), rng.choice(MODELS)
            title = f"{brand} {model} {tire[0]}"
            if hostile:
                title = HOSTILE[record % len(HOSTILE)]
            sku = f"{supplier[:2].upper()}-{record:05d}"
            position = {"feed": feed, "sheet": None, "record": record, "supplier": supplier, "sku": sku}
            position |= {"part_number": None, "gtin": None}
            mistakes = _mistakes(rng, tire)
            made = [_finding(position, tire, mistake) for mistake in mistakes]
            if hostile:
                made[0] |= {"stated": HOSTILE[(record + 1) % len(HOSTILE)], "message": f"States {title}."}
                made[0] |= {"supplier": HOSTILE_SUPPLIERS[record % len(HOSTILE_SUPPLIERS)]}
                made[0] |= {"sku": HOSTILE[(record + 2) % len(HOSTILE)][:60]}
            findings += sorted(made, key=lambda finding: (RULES[finding["rule"]].order, finding["field"]))
            details.append(_detail(position, tire, mistakes, brand, title))
    with FindingsWriter(folder) as writer:
        writer.append(pa.Table.from_pylist(findings, FINDINGS_SCHEMA))
    return FinishedAudit(folder, writer.parquet_path, summarize(findings, listings), RULES, details)


HOSTILE = (
    "<script>window.hurt = true</script>",
    "</script><img src=x onerror='window.hurt = true'>",
    '"><svg onload=window.hurt=true> \'single\' "double" `back`',
    "\u202egnitar ylp 01 \u2066lamron\u2069",
    "line \u2028 separator \u2029 and \x00 nul \x1b[31m red",
    '=HYPERLINK("http://example.invalid","sum")',
    "{{ 7 * 7 }} ${7*7} <!-- comment --> ]]>",
    "Taiga Rill 4 " + "very " * 2_000 + "long",
)
HOSTILE_SUPPLIERS = (
    "=Evil & Söhne / GmbH",
    "../../etc/passwd",
    "<b>Bold</b> Tires",
    "CON",
    "con",
    "عجلات",
    "",
)


def summarize(findings: list[dict[str, Any]], listings: int) -> dict[str, Any]:
    """The summary of these findings, balanced."""
    worst: dict[tuple[str, int], int] = {}
    for finding in findings:
        position = (finding["feed"], finding["record"])
        worst[position] = min(worst.get(position, 9), GRADES.index(finding["grade"]))
    feeds = []
    for supplier, feed, share in sorted(SUPPLIERS, key=lambda entry: entry[1]):
        records = round(listings * share)
        held = sum(1 for position, grade in worst.items() if position[0] == feed and grade < 2)
        rejected = 3 if feed == "vallon_2.csv" and records > 50 else 0
        found = Counter(finding["grade"] for finding in findings if finding["feed"] == feed)
        feeds.append(
            {
                "feed": feed, "sheet": None, "supplier": supplier, "format": feed.rsplit(".")[-1],
                "bytes": records * 312, "sha256": hashlib.sha256(feed.encode()).hexdigest(),
                "records": records, "released": records - held - rejected, "held": held, "rejected": rejected, "furniture": 0,
                "findings": {grade: found[grade] for grade in GRADES},
                "map": {
                    "name": "proposed",
                    "columns": [
                        {"column": "Size", "fields": ["marking"], "unit": None, "confidence": 1.0},
                        {"column": "Load", "fields": ["max_load_kg"], "unit": "kg", "confidence": 0.97},
                    ],
                    "left_out": [{"column": "Weight", "why": "no unit in cells or header"}],
                },
            }
        )  # fmt: skip
    totals = {
        name: sum(feed[name] for feed in feeds) for name in ("records", "released", "held", "rejected", "furniture")
    }
    grades = Counter(finding["grade"] for finding in findings)
    by_worst = Counter(worst.values())
    pairs = Counter((RULES[finding["rule"]].subject, finding["supplier"]) for finding in findings)
    deviations = Counter(
        max(-10, min(29, int(finding["deviation"] // 0.05)))
        for finding in findings
        if finding["field"].startswith("max_load")
        if finding["deviation"] is not None
    )
    confusions = Counter(
        (finding["stated"], finding["derived"]) for finding in findings if finding["field"] == "load_index"
    )
    by_supplier = {}
    for name in sorted({finding["supplier"] for finding in findings} | {entry[0] for entry in SUPPLIERS}):
        mine = [finding for finding in findings if finding["supplier"] == name]
        count = Counter(finding["grade"] for finding in mine)
        feed = next((entry for entry in feeds if entry["supplier"] == name), None)
        by_supplier[name] = {
            "records": feed["records"] if feed else len(mine),
            "held": feed["held"] if feed else len(mine),
            **{grade: count[grade] for grade in GRADES},
        }
    return {
        "schema": 1, "program": "0.1.0",
        "rules": {"sha256": "0" * 64}, "policy": {"name": "policy.toml", "sha256": "1" * 64},
        "hold_from": "major", "market": "all",
        "totals": {
            **totals,
            "findings": {grade: grades[grade] for grade in GRADES},
            "listings_with": {grade: by_worst[position] for position, grade in enumerate(GRADES)},
        },
        "feeds": feeds,
        "by_rule": {
            rule: {"grade": RULES[rule].grade, "findings": count}
            for rule, count in Counter(finding["rule"] for finding in findings).items()
        },
        "by_supplier": by_supplier,
        "by_subject_supplier": [
            {"subject": subject, "supplier": supplier, "findings": count}
            for (subject, supplier), count in sorted(pairs.items())
        ],
        "by_cause": dict(Counter(finding["likely_cause"] for finding in findings)),
        "by_field": dict(Counter(finding["field"] for finding in findings)),
        "load_deviation": [
            {"from": round(step * 0.05, 2), "to": round(step * 0.05 + 0.05, 2), "count": deviations[step]}
            for step in range(-10, 30)
        ],
        "index_confusions": [
            {"stated": stated, "derived": derived, "count": count}
            for (stated, derived), count in confusions.most_common(50)
        ],
        "night": "2026-11-28", "unverified_listings": by_rule_listings(findings, "load-unverified"),
        "repeated": repeated_mistakes(findings),
        "repeated_in_all": len(repeated_mistakes(findings)),
        "column_findings": [
            {
                "feed": "odermatt/artikel.csv", "column": "Traglast 2", "field": "max_load_dual_kg",
                "cause": "single-dual-swapped", "share": 0.94, "readable": 212,
                "message": "94 % of 212 readable values are those of single mounting; the columns are swapped.",
            }
        ],
        "could_not_tell": {"load-overstated": 61, "speed-overstated": 48, "overall-diameter-off": 17},
        "loosened_safety": [],
        "unread_columns": [],
        "unreadable_feeds": [{"feed": "extra/old.csv", "reason": "It has no column that is recognised."}],
    }  # fmt: skip


def by_rule_listings(findings: list[dict[str, Any]], rule: str) -> int:
    """How many listings have a finding of a rule."""
    return len({(finding["feed"], finding["record"]) for finding in findings if finding["rule"] == rule})


def repeated_mistakes(findings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Loads of Kestrel in pounds as single findings, and a folded column of Odermatt, as the engine would group them."""
    mine = [
        finding
        for finding in findings
        if finding["supplier"] == "Kestrel Wholesale Rubber" and finding["likely_cause"] == "unit-swapped"
    ]
    shown = ("record", "sku", "part_number", "gtin", "marking", "stated", "derived", "key")
    pounds: dict[str, Any] = {
        "supplier": "Kestrel Wholesale Rubber", "feed": "kestrel_night.csv", "sheet": None, "column": "Max Load Kg",
        "field": "max_load_kg", "rule": "load-overstated", "grade": "critical", "cause": "unit-swapped",
        "direction": "above", "count": len(mine), "share": 0.06, "deviation": 1.2046, "factor": None, "stated": None,
        "reason": None, "folded": False, "says": "Pounds written as kilograms.", "key": "0" * 23 + "1",
        "examples": [{name: finding[name] for name in shown} for finding in mine[:3]],
    }  # fmt: skip
    dual: dict[str, Any] = {
        "supplier": "Odermatt Reifenkontor", "feed": "odermatt/artikel.csv", "sheet": None, "column": "Traglast 2",
        "field": "max_load_dual_kg", "rule": "load-understated", "grade": "major", "cause": "single-dual-swapped",
        "direction": "below", "count": 199, "readable": 212, "share": 0.94, "deviation": -0.08, "factor": None,
        "stated": None, "reason": None, "folded": True, "key": "0" * 23 + "2",
        "says": "94 % of 212 readable values are those of single mounting; the columns are swapped.",
        "examples": [
            {"record": 3, "sku": "OD-00003", "part_number": None, "gtin": None, "marking": "11R22.5 144/142L G",
             "stated": "2800", "derived": "2650", "key": "0" * 23 + "3"},
        ],
    }  # fmt: skip
    return ([pounds] if len(mine) >= 5 else []) + ([dual] if findings else [])


def remembered(audit: FinishedAudit, folder: Path) -> FinishedAudit:
    """The same audit as a ledger tells it on its third night: one finding in six is new, a few are decided on."""
    import pyarrow.parquet as pq

    table = pq.read_table(audit.findings)
    nights = {"new": "2026-11-28", "standing": "2026-11-26", "accepted": "2026-11-26", "asked": "2026-11-27"}
    states = [
        "new" if int(key, 16) % 6 == 0 else ("accepted", "asked", "standing")[min(int(key, 16) % 20, 2)]
        for key in table["key"].to_pylist()
    ]
    table = table.append_column("state", pa.array(states)).append_column(
        "first_night", pa.array(map(nights.get, states))
    )
    with FindingsWriter(folder, REMEMBERED_SCHEMA) as writer:
        writer.append(table)
    known = [*nights, "gone"]
    counts = Counter(states)
    mine = Counter(zip(table["supplier"].to_pylist(), states, strict=True))
    summary = {
        **audit.summary,
        "night_before": "2026-11-27",
        "states": {name: counts[name] for name in known},
        "by_supplier": {
            name: {
                **row,
                "states": {state: mine[name, state] for state in known},
                "since": "2026-11-26",
                "nights_before": 2,
            }
            for name, row in audit.summary["by_supplier"].items()
        },
    }
    none = dict.fromkeys(nights, 0)
    pounds, *others = summary["repeated"]
    pounds = {**pounds, "states": {**none, "new": 2, "standing": pounds["count"] - 2}, "first_night": "2026-11-26"}
    others = [{**one, "states": {**none, "standing": one["count"]}, "first_night": "2026-11-26"} for one in others]
    summary["repeated"] = [{**one, "nights_before": 2} for one in (pounds, *others)]
    return dataclasses.replace(
        audit, folder=folder, findings=writer.parquet_path, summary=summary, repeated=summary["repeated"]
    )


def repeat(audit: FinishedAudit, folder: Path, findings: int) -> FinishedAudit:
    """The same audit with its findings repeated until there are `findings`; the summary is scaled to match."""
    import pyarrow.compute as pc
    import pyarrow.parquet as pq

    table = pq.read_table(audit.findings)
    times = -(-findings // table.num_rows)
    copies = pa.concat_tables([table] * min(times, 200)).combine_chunks()
    occurrence = pa.array(range(copies.num_rows // table.num_rows)).take(
        pa.array([row // table.num_rows for row in range(copies.num_rows)])
    )
    with FindingsWriter(folder) as writer:
        for start in range(0, findings, copies.num_rows):
            shift = pc.add(occurrence, start // table.num_rows)
            records = pc.add(copies["record"], pc.multiply(shift, 10_000))
            keys = pc.binary_join_element_wise(copies["key"], pc.cast(shift, pa.string()), "-")
            part = copies.set_column(copies.schema.get_field_index("record"), "record", records)
            part = part.set_column(part.schema.get_field_index("key"), "key", keys)
            writer.append(part.slice(0, findings - start))
    summary = _scale(audit.summary, times)
    written = pq.read_table(writer.parquet_path, columns=["supplier", "grade"]).group_by(["supplier", "grade"])
    counts = {
        (row["supplier"], row["grade"]): row["count_all"] for row in written.aggregate([([], "count_all")]).to_pylist()
    }
    for supplier, row in summary["by_supplier"].items():
        row.update({grade: counts.get((supplier, grade), 0) for grade in GRADES})
    return FinishedAudit(folder, writer.parquet_path, summary, audit.rules, audit.details)


def _scale(value: Any, times: int, name: str = "") -> Any:
    if isinstance(value, dict):
        return {key: _scale(part, times, key) for key, part in value.items()}
    if isinstance(value, list):
        return [_scale(part, times, name) for part in value]
    if isinstance(value, int) and name not in ("schema", "bytes"):
        return value * times
    return value
