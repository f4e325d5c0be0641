"""What a text was understood to say, clause by clause; and the lexicon of texts, as the terminal shows them."""

from __future__ import annotations

from pathlib import Path
from textwrap import fill

from auditor.claims.own_cells import own_of
from auditor.claims.sentences import (
    LONG,
    START,
    Claim,
    Sentence,
    State,
    more_in_long,
    quotes_own,
    read_sentence,
    spelled,
    understand,
)
from auditor.claims.subject.clauses import Fragment
from auditor.claims.terms.lexicon import Lexicon, cut, lexicon_of
from auditor.claims.terms.own import LIKELY, NOBODY, Own
from auditor.claims.terms.weights import BARE, HINDERED, LINKED, UNFRAMED
from auditor.claims.terms.words import LOWER, OWN, OWN_MODEL, OWN_SERVICE, UPPER
from auditor.claims.texts import prose_of, read_claims, said_of
from auditor.claims.titled import WHOLE, with_marking
from auditor.claims.values.look import Given, Value
from auditor.rulebook.texts import COMMON, read_entries, role_meanings
from auditor.trade.tables import default_tables

_WIDTH = 80
_QUOTES = "'"
_MOST_TOLD = 3  # cues of a value
_SIGNS = {
    OWN: "[this size]",
    OWN_SERVICE: "[its service description]",
    OWN_MODEL: "[this model]",
    LOWER: "...",
    UPPER: "...",
    "#": "another figure",
}
_REASONS = {
    "asked": "the sentence asks",
    "listed": "several values of one kind are listed",
    "stranger": "the subject is a word that no lexicon holds",
    "quoted": "it is quoted",
    "bare": "a bare figure: no label, no verb, not a line of its own",
}


def understood(text: str, marking: str, folder: Path | None, *, title: bool) -> str:
    """Every sentence of a text: its clauses with their subject and mood, its values, and why one does not count."""
    lexicon, meanings = lexicon_of(folder), role_meanings()
    own = own_of(marking, "", "") if marking else NOBODY
    lines: list[str] = []
    state: State = START
    prose, labelled = prose_of(text, lexicon, own, title)
    every = list(prose)
    long = not title and len(every) >= LONG
    for number, tokens in enumerate(every, 1):
        sentence = understand(tokens, state, lexicon, title)
        lines.append(f"sentence {number}, read as {sentence.language}")
        lines += [line for fragment in sentence.cues.fragments if (line := _clause(sentence, fragment, meanings))]
        lines += _values(sentence, own, lexicon, meanings, long=long)
        _, state = read_sentence(tokens, state, lexicon, title)
    for claim in labelled:
        told = f"labelled, {claim.words!r}: {claim.field} {_said(claim, claim.value)}: claimed"
        lines.append(fill(told, _WIDTH, subsequent_indent="  "))
    if title and (whole := _as_marking(text, own, lexicon)):
        lines.append(whole)
    return "\n".join(lines or ["nothing to read"]) + "\n"


def _as_marking(text: str, own: Own, lexicon: Lexicon) -> str:
    """What a title says read as one marking, where that takes the place of what was claimed."""
    said = said_of(read_claims(text, lexicon, own, True), default_tables())
    whole = with_marking(said, text, own)
    if whole == said:
        return ""
    told = " ".join(own.signs.get(one.words, one.words) for one in whole if one.field in WHOLE)
    return fill(f"read as one marking: {told}, in the place of such claims", _WIDTH, subsequent_indent="  ")


def _clause(sentence: Sentence, fragment: Fragment, meanings: dict[str, str]) -> str:
    items = sentence.items[fragment.start : fragment.end]
    if not items:
        return ""
    told = [f"{items[at - fragment.start].text!r}: {meanings[role]}" for role, at in _cues(fragment)]
    if fragment.this >= 0:
        told.insert(0, "this tire")
    if fragment.each:
        told.insert(0, "each tire")
    words = spelled([_SIGNS.get(item.text, item.text) for item in items])
    return fill(f"  | {words}" + (f"   ({'; '.join(told)})" if told else ""), _WIDTH, subsequent_indent="      ")


def _cues(fragment: Fragment) -> list[tuple[str, int]]:
    return [(role, at) for role, at in fragment.cues.items() if fragment.start <= at < fragment.end]


def _values(sentence: Sentence, own: Own, lexicon: Lexicon, meanings: dict[str, str], *, long: bool) -> list[str]:
    lines, weights, quotes = [], lexicon.weights, quotes_own(sentence)
    for one in sentence.readings:
        value = one.value
        more = more_in_long(one, lexicon, own=quotes) if long else 0.0
        odds = own.worth(value.field, value.value, weights) - one.needs - more
        given = value.given is None or own.has(*value.given)
        claimed = one.best and given and odds >= 0
        if not claimed and one.framed in (UNFRAMED, LINKED):
            continue
        shown = _said(value, own.signs.get(str(value.value), value.value))
        if one.framed == LINKED:
            lines.append(f"    {value.field} {shown}: claimed, for it explains a code of the marking")
            continue
        told = [_told(weight, cue) for weight, cue in weights.told(value.field, one.cues, denied=value.denied)]
        other = [] if given or value.given is None else [_given(value.given)]
        why = "; ".join([*other, *_framed(one.framed, meanings), *told[:_MOST_TOLD]])
        line = f"    {value.field} {shown}: {'claimed' if claimed else 'no claim'}, log-odds {odds:+.1f} ({why})"
        lines.append(fill(line, _WIDTH, subsequent_indent="      "))
    return lines or ["    no value"]


def _said(one: Value | Claim, shown: float | str) -> str:
    """A value as it is shown, and whether it is denied or the least of what is said."""
    said = "not " if one.denied else "or more than " if one.open_ended else ""
    return f"{said}{shown:g}" if isinstance(shown, float) else f"{said}{shown}"


def _given(given: Given) -> str:
    return "far from the marking's" if given.field in LIKELY else f"said of tires with {given.field} {given.value}"


def _told(weight: float, cue: str) -> str:
    return f"{'for' if weight > 0 else 'against'} it: {_SIGNS.get(cue.strip(_QUOTES), cue)}"


def _framed(framed: str, meanings: dict[str, str]) -> list[str]:
    """What the frames make of a value, in words."""
    if framed.startswith(HINDERED):
        reason = framed.removeprefix(HINDERED)
        return [_REASONS.get(reason) or meanings.get(reason, reason)]
    return {BARE: [_REASONS["bare"]], UNFRAMED: ["no frame finds it"]}.get(framed, [])


def whole_lexicon(folder: Path | None) -> str:
    """What is recognized, language by language and role by role."""
    meanings = role_meanings()
    lines: list[str] = []
    entries = read_entries(folder, cut)
    for language in (COMMON, *lexicon_of(folder).all_languages):
        lines += ["", language if language != COMMON else "in every language"]
        for role, meaning in meanings.items():
            words = [word for one in entries if one.language == language and one.role == role for word in one.words]
            if words:
                head = f"  {role} ({meaning}): "
                lines.append(fill(head + ", ".join(words), _WIDTH, subsequent_indent="      ", break_on_hyphens=False))
    return "\n".join(lines[1:]) + "\n"
