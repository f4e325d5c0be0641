"""The words in which a marking is explained: (what it says, what is unusual about it) for each letter."""

from __future__ import annotations

FAMILY_PREFIX: dict[str, tuple[str, str]] = {
    "P": (
        "A P-metric passenger tire, sized by the U.S. tables.",
        "On a truck, van or trailer it carries a tenth less.",
    ),
    "LT": ("A light truck tire.", "Its load range and its sidewall pressure count, not those of a passenger tire."),
    "ST": ("A special trailer tire: for trailers only.", "Not to be driven on the axles of a car or truck."),
    "T": ("A temporary-use spare.", "The vehicle's own limit is lower than the speed symbol, often 50 mph."),
    "HL": ("High load capacity, above XL at the same size.", "Nothing lower than HL may replace it."),
    "LL": ("Light load, below the standard load of the size.", ""),
    "IF": ("Improved flexion farm tire: 20 % more load at the same pressure.", ""),
    "VF": ("Very high flexion farm tire: 40 % more load at the same pressure.", ""),
    "AT": ("An all-terrain vehicle tire.", ""),
}
FAMILY_SUFFIX: dict[str, tuple[str, str]] = {
    "LT": FAMILY_PREFIX["LT"],
    "ST": FAMILY_PREFIX["ST"],
    "C": ("A commercial tire, for vans.", "C right behind the rim is not load range C."),
    "CP": ("A commercial tire for camping vehicles, for higher pressure.", ""),
    "TR": ("For trucks: tells it from a car tire of the same numbers.", ""),
    "SL": ("Service limited to farm use.", "Here SL does not mean standard load."),
    "FI": ("Farm implement service.", ""),
    "A": ("For asymmetric humps of its own rim type.", "It fits that rim alone."),
}
CONSTRUCTIONS: dict[str, tuple[str, str]] = {
    "R": ("Radial construction.", ""),
    "ZR": ("Radial, and meant for more than 240 km/h (149 mph).", "ZR is no speed limit: the service description is."),
    "RF": ("Radial with run-flat construction.", ""),
    "ZRF": ("Radial with run-flat construction, meant for more than 240 km/h (149 mph).", "ZR is no speed limit."),
    "B": ("Bias-belted construction.", ""),
    "D": ("Diagonal (bias) construction.", ""),
    "-": ("No letter: diagonal (bias) construction.", "Never on one axle with radials."),
}
LOAD_VERSION_WORDS: dict[str, tuple[str, str]] = {
    "SL": ("Standard load.", "Usually left unmarked."),
    "XL": ("Extra load: stronger than standard load at a higher pressure.", "Also marked RF, EL or REINFORCED."),
    "HL": ("High load capacity, above XL.", ""),
    "LL": ("Light load, below standard load.", ""),
}
OPEN_SPEED = "The brackets mean that there is no ceiling in the table."

# Source of the letters: UN Regulation No. 30, 2.29 (speed category symbols).
_SPEED_REMARKS: dict[str, str] = {
    "H": "H sits between U and V.",
    "Q": "The slowest symbol of winter passenger tires.",
    "M": "The usual symbol of temporary spares and truck tires.",
    "V": "The full load index holds up to 210 km/h; at 240 it is 91 % of it.",
    "W": "The full load index holds up to 240 km/h; at 270 it is 85 % of it.",
    "Y": "The full load index holds up to 270 km/h; at 300 it is 85 % of it.",
}
_LETTERS: dict[str, tuple[str, str]] = {
    "M+S": ("Mud and snow: the maker's own claim about the tread.", "No test stands behind it, unlike 3PMSF."),
    "3PMSF": ("Three-peak mountain snowflake: passed the test of grip on snow.", ""),
    "TL": ("Tubeless.", ""),
    "TT": ("Tube type: needs an inner tube.", "Never run it tubeless."),
    "TL/TT": ("Runs with or without an inner tube, as the wheel needs it.", ""),
    "FRT": ("Free rolling tire: for trailers and other undriven axles.", "Not on steered or driven axles."),
    "ET": ("Extra tread, a special-use tire.", ""),
    "POR": ("Professional off-road, a special-use tire.", ""),
    "MPT": ("Multi-purpose truck tire, a special-use tire.", ""),
    "TRAILER": ("For trailers.", ""),
    "M/C": ("A motorcycle tire.", "Rims of the same code for cars are shaped otherwise: never mix them."),
    "NHS": ("Not for highway service.", "Its load and speed hold off the road only."),
    "REGROOVABLE": ("The tread may be recut.", "Only by trained people, to the maker's depth."),
    "RF": ("Reinforced, the same as XL; some use it for run-flat.", "Alone it does not settle which of the two."),
    "IF": FAMILY_PREFIX["IF"],
    "VF": FAMILY_PREFIX["VF"],
}


def speed_remark(symbol: str) -> str:
    """What is unusual about a speed symbol, or empty."""
    if symbol[0] == "A":
        return "A1 to A8 are 5 to 40 km/h, for machines."
    return _SPEED_REMARKS.get(symbol, "")


def letters_words(word: str) -> tuple[str, str]:
    """(meaning, remark) of understood letters."""
    known = _LETTERS.get(word)
    if known is not None:
        return known
    # Start-up: most markings have no letters to explain.
    from auditor.marking.letters import MEANINGS

    meaning = MEANINGS.get(word)
    if meaning is not None:
        return f"{meaning[0].upper()}{meaning[1:]}.", ""
    return "Tread type code of farm, loader and earthmover tires.", ""
