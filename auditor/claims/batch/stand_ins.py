"""Sentences read with other sizes in the place of theirs: what is said is the same, whichever tire is named.

A feed's texts name thousands of sizes of other tires ("Need 235/55R19 instead?"), and no reading asks for the numbers
of a size; so each such sentence is understood once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from auditor.claims.sentences import Claim, State
from auditor.claims.terms.items import names_size
from auditor.trade.patterns import Pattern

Read = tuple[tuple[Claim, ...], State]
_PLAIN = Pattern(r"[1-3][0-9]5/[2-8][05]R[12][0-9]")  # letters of other sizes say more: LT takes a load range
_STAND_INS = ("205/55R16", "225/45R17", "235/65R18", "255/35R19")  # for the first size of a sentence, the second ...


def read_with_stand_ins(tokens: Sequence[str], read: Callable[[tuple[str, ...]], Read]) -> Read:
    """What `read` makes of a sentence, asked about one with other sizes, the same for all sentences but for these."""
    plain = (token for place, token in enumerate(tokens) if _PLAIN.fullmatch(token) and names_size(tokens, place))
    sizes = list(dict.fromkeys(plain))
    if not sizes or len(sizes) > len(_STAND_INS):
        return read(tuple(tokens))
    stand_in = dict(zip(sizes, _STAND_INS, strict=False))
    claims, state = read(tuple(stand_in.get(token, token) for token in tokens))
    meant = {instead: size for size, instead in stand_in.items()}
    return tuple(_named(claim, meant) for claim in claims), state


def _named(claim: Claim, meant: dict[str, str]) -> Claim:
    """A claim with the sizes that were meant."""
    given = claim.given and (claim.given[0], _with(claim.given[1], meant))
    return claim._replace(value=_with(claim.value, meant), words=str(_with(claim.words, meant)), given=given)


def _with(value: float | str, meant: dict[str, str]) -> float | str:
    if not isinstance(value, str):
        return value
    # Each is put in by a sign first, for one that is meant may be another's stand-in.
    signs = {instead: chr(0xE800 + number) for number, instead in enumerate(meant)}
    for instead, sign in signs.items():
        value = value.replace(instead, sign)
    for instead, sign in signs.items():
        value = value.replace(sign, meant[instead])
    return value
