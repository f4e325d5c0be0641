"""Right listings: every fact follows from the marking, shown in the many ways suppliers show it.

The variety is on purpose what a careless audit would take for mistakes: U.S. loads that differ from the
load index by up to
2 %, truck loads rounded to ten pounds, speeds converted to and fro, measured widths, diameters across the
whole envelope of
the standard, blanks, units inside cells, bystander figures in texts.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import dataclass, field

from tests.catalog import measures, parts, words
from tests.catalog.tables import check_digit
from tests.catalog.tires import TIRES, VARIANTS, Tire

FORMS = ("marking", "split", "indices", "both", "size-only")


@dataclass(frozen=True, slots=True)
class Style:
    """How one supplier writes numbers and units."""

    units: bool = False  # "850 kg" instead of "850"
    thousands: bool = False  # "1,874"
    tidy: bool = False  # always the same spelling of everything

    def number(self, value: float, unit: str, decimals: int = 0) -> str:
        """`value` as this supplier writes it."""
        text = f"{value:,.{decimals}f}" if self.thousands else f"{value:.{decimals}f}"
        return f"{text} {unit}" if self.units else text


STYLES = (
    Style(tidy=True),
    Style(),
    Style(units=True),
    Style(thousands=True),
    Style(units=True, thousands=True),
)


@dataclass(slots=True)
class Listing:
    """One listing: its cells by canonical field name, the tire behind it, and how it was written.

    `may` names the rules whose minor findings are no false alarm here, such as `load-off-table` on an off-
    table load.
    `plain` holds the loads and speeds stated, as plain numbers, before they were written into cells.
    """

    tire: Tire
    cells: dict[str, str]
    style: Style
    form: str
    plain: dict[str, float] = field(default_factory=dict)
    may: set[str] = field(default_factory=set)

    def copy(self) -> Listing:
        """An independent copy."""
        return Listing(self.tire, dict(self.cells), self.style, self.form, dict(self.plain), set(self.may))


class Maker:
    """Makes listings of one supplier or several, the same ones for the same seed."""

    def __init__(
        self,
        seed: int,
        suppliers: tuple[str, ...] = ("Tannery Row Supply", "Bexhollow Wholesale", "Quillfeather Imports"),
        styles: tuple[Style, ...] = STYLES,
        first_serial: int = 1,
    ) -> None:
        self.rng = random.Random(seed)
        self.suppliers = suppliers
        self.styles = styles
        self.serial = first_serial
        known = {tire.size.replace("ZR", "R").replace("RF", "R") for tires in TIRES.values() for tire in tires}
        sizes = (
            f"{width}/{aspect}R{rim}"
            for width in range(155, 356, 10)
            for aspect in range(30, 81, 5)
            for rim in range(14, 22)
        )
        self._rare = [size for size in sizes if size not in known]
        random.Random(seed).shuffle(self._rare)

    def rare_size(self) -> str:
        """A metric size that no other listing of this maker has."""
        return self._rare.pop()

    def tire(self, variants: Iterable[str] | None = None) -> Tire:
        """A tire of one of the variants, each variant as likely as any other."""
        return self.rng.choice(TIRES[self.rng.choice(tuple(variants or VARIANTS))])

    def listing(
        self,
        tire: Tire | None = None,
        *,
        variants: Iterable[str] | None = None,
        want: Iterable[str] = (),
        without: Iterable[str] = (),
        form: str | None = None,
        exact: bool = False,
    ) -> Listing:
        """A right listing.

        `want` names fields that must be there, `without` fields that must not; `form` one of FORMS; `exact`
        keeps loads at
        the value of the table.
        """
        wanted, barred = frozenset(want), frozenset(without)
        for _ in range(60):
            made = self._attempt(tire or self.tire(variants), wanted, barred, form, exact)
            if wanted <= {name for name, text in made.cells.items() if text}:
                return made
        raise AssertionError(f"none of {variants or tire} can state {sorted(wanted)}")

    def _attempt(
        self, tire: Tire, wanted: frozenset[str], barred: frozenset[str], form: str | None, exact: bool
    ) -> Listing:
        """One draw, which may lack a wanted field when the tire cannot state it."""
        form = form or self._form(tire, wanted)
        made = Listing(tire, self._identity(tire), self.rng.choice(self.styles), form)
        chooser = parts.Chooser(self.rng, wanted, barred)
        parts.season(made, chooser)
        parts.marking(made, chooser)
        parts.split_fields(made, chooser)
        parts.loads(made, chooser, exact)
        parts.speeds(made, chooser)
        measures.dimensions(made, chooser)
        measures.pressures(made, chooser)
        measures.other_quantities(made, chooser)
        measures.grading(made, chooser)
        measures.label(made, chooser)
        self._texts(made, chooser)
        return made

    def _form(self, tire: Tire, wanted: frozenset[str]) -> str:
        if "marking" in wanted and "size" not in wanted and "service_description" not in wanted:
            return "both" if self.rng.random() < 0.15 else "marking"
        if "service_description" in wanted:
            return "both" if "marking" in wanted else "split"
        return self.rng.choices(FORMS, (45, 25, 15, 10, 2 if tire.index is not None and not tire.left_out else 0))[0]

    def _identity(self, tire: Tire) -> dict[str, str]:
        rng, serial = self.rng, self.serial
        self.serial += 1
        body = f"29{serial:010d}"
        if rng.random() < 0.3:  # twelve digits, company-internal range, leading zero kept by some suppliers
            body = f"{'0' if rng.random() < 0.5 else ''}4{serial:010d}"
        cells = {
            "supplier": rng.choice(self.suppliers),
            "sku": f"{rng.choice('ABCDEFGH')}{serial:07d}",
            "part_number": f"{rng.randrange(10, 99)}-{serial:06d}",
            "gtin": body + check_digit(body),
            "brand": rng.choice(words.BRANDS),
            "model": f"{rng.choice(words.MODELS)} {rng.choice(words.SUFFIXES)}",
        }
        if rng.random() < 0.15:
            cells["gtin"] = ""
        return cells

    def _texts(self, made: Listing, chooser: parts.Chooser) -> None:
        if chooser.takes("title", 0.85):
            with_size = "title" in chooser.wanted or self.rng.random() < 0.8
            made.cells["title"] = words.title(self.rng, made.tire, made.cells, with_size)
        if chooser.takes("description", 0.5):
            figures = {name: str(round(value)) for name, value in made.plain.items()}
            made.cells["description"] = words.description(self.rng, made.tire, figures)


def dressed(made: Listing, rng: random.Random) -> Listing:
    """The same right listing, its marking now and then in a notation that no standard has but every shop writes."""
    text = made.cells.get("marking", "")
    if made.style.tidy or not text or made.tire.construction != "R" or rng.random() > 0.12:
        return made
    rim = f"R{made.tire.rim_in:g}" if made.tire.rim_in else ""
    forms = [text.lower()]
    if rim and f"{rim}C" not in text and made.tire.aspect is not None:
        forms += [text.replace(rim, f"/{rim}", 1), text.replace(rim, f" {rim.replace('R', 'R ')}", 1)]
    if made.tire.prefix and made.tire.prefix != "P":
        forms.append(text.replace(made.tire.prefix, f"{made.tire.prefix} ", 1))
    if made.tire.symbol and not made.tire.second and made.tire.symbol in "HQRSTVWY":
        forms.append(text.replace(made.tire.service, f"{made.tire.service[:-1]} {made.tire.service[-1]}", 1))
    made.cells["marking"] = rng.choice(forms)
    made.may.add("marking-nonstandard")
    return made


def valid(maker: Maker, count: int) -> list[Listing]:
    """`count` right listings in all families."""
    return [dressed(maker.listing(), maker.rng) for _ in range(count)]
