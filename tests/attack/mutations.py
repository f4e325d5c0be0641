"""Makes hostile bytes and cells of sound ones, by a seeded chance."""

from __future__ import annotations

import random
from collections.abc import Callable

Chance = random.Random

PIECES = [
    b'"',
    b'""',
    b"\n",
    b"\r\n",
    b"\r",
    b"\0",
    b",",
    b";",
    b"\t",
    b"{",
    b"}",
    b"[",
    b"]",
    b"\\",
    b"\\u0000",
    b"\\ud83d",
    b"\xff",
    b"\xef\xbb\xbf",
    b"\xff\xfe",
    b"\x1e",
    b"\x1f",
    b"\x1c",
    b"\x0b",
    b"\x85",
    b"\xc2\x85",
    b"\xe2\x80\xa8",
    b"1E400",
    b"-1E400",
    b"12E456",
    b"NaN",
    b"Infinity",
    b"-0",
    b"1e-400",
    b"9" * 400,
    b"0x1F",
    b"\xd9\xa1\xd9\xa7",
    b"PK\x03\x04",
    b"PK\x05\x06",
    b"PAR1",
    b"null",
    b"true",
    b"{}",
    b"[]",
    b'{"a":' * 600,
    b"[" * 600,
    b"]" * 600,
    b"=1+1",
    b"<script>",
    b"&#0;",
    b"&#x110000;",
    b"kg",
    b"lb",
    b"225/65R17 102H",
    b"(((((((",
    b"((98Y))",
    b"R" * 3000,
]
ODD_TEXTS = [
    "",
    " ",
    "-",
    "\x1f",
    "\x1e",
    "\x1f1,0,,,2",
    "\x1e102H",
    "225/65R17\x1f102H",
    "225/65R17\x1c102H",
    "\0",
    "a\0b",
    "1E400",
    "-1E400",
    "12E456",
    "1e-400",
    "9" * 400,
    "9" * 20 + ".5",
    "NaN",
    "inf",
    "-0",
    "0",
    "+5",
    "1e5",
    "1E3 kg",
    "1.2.3",
    "1,2,3",
    "1/2/3/4/5",
    "1/0",
    "0/0",
    "850 kg 850 lb",
    "850kg/1874lb",
    "kg",
    "1,360/1,250 kg",
    "²²5",
    "½",
    "١٧",
    "１０２",
    "Ⅷ",
    "1 000",
    "1 000",
    "1\u202f000",
    "1'000",
    "102H 102H 102H",
    "(98Y",
    "98Y)",
    "/102H",
    "102/H",
    "225/65R17",
    "225/65R17 102H XL HL",
    "225/65R999 102H",
    "9999/99R99 999Z",
    "0/0R0 0A",
    "1/1R1 1A",
    "P/65R17",
    "LTLT245/75R16",
    "31x10.50R15LT 109S",
    "R17",
    '17"',
    "17''",
    "17 in.",
    "ÿ" * 300,
    "\U0001f525" * 50,
    "\ufffd",
    "\ufeff",
    "\u202e850",
    "a" * 5000,
    "225/65R17 102H " * 300,
    "<b>850 kg</b>",
    "&lt;&amp;&#850;",
    "&#x110000;",
    "&#0;",
    "=1+1",
    "@x",
    "load index 102 max 850 kg 210 km/h",
    "not 850 kg",
    "instead of 225/65R17 102H",
    "up to 850 kg per pair",
    "XL" * 400,
    "D" * 100,
    "102" + "H" * 200,
    "\r",
    "\n",
    "a\rb",
    "a\nb",
    "\u2028",
    "\x85",
    "\x0b",
    "%s%n{}",
    "{0}",
    "\\",
    "'",
    '"',
]


def flipped(data: bytearray, chance: Chance) -> None:
    if data:
        data[chance.randrange(len(data))] = chance.randrange(256)


def cut(data: bytearray, chance: Chance) -> None:
    del data[chance.randrange(len(data) + 1) :]


def removed(data: bytearray, chance: Chance) -> None:
    at = chance.randrange(len(data) + 1)
    del data[at : at + chance.choice([1, 2, 5, 30, 300])]


def put_in(data: bytearray, chance: Chance) -> None:
    at = chance.randrange(len(data) + 1)
    data[at:at] = chance.choice(PIECES) * chance.choice([1, 1, 1, 2, 50])


def doubled(data: bytearray, chance: Chance) -> None:
    at = chance.randrange(len(data) + 1)
    piece = bytes(data[at : at + chance.choice([1, 10, 200, 100_000])])
    other = chance.randrange(len(data) + 1)
    data[other:other] = piece * chance.choice([1, 1, 3])


def swapped(data: bytearray, chance: Chance) -> None:
    """One byte sort for another all over the file: delimiters, quotes, line ends, digits."""
    one, other = chance.choice(b',;\t"\n{}[]:.0175/R'), chance.choice(b',;\t"\n\r {}[]:.0175/R\0')
    data[:] = data.replace(bytes([one]), bytes([other]), chance.choice([1, 5, 10_000]))


def in_another_cell(data: bytearray, chance: Chance) -> None:
    """An odd text where a number or a word stands."""
    words = [b"850", b"102", b"Larkmoor", b"210", b"225/65R17", b"Nordhall", b"S1", b"marking", b"max_load_kg", b"17"]
    word = chance.choice(words)
    at = data.find(word, chance.randrange(len(data) + 1))
    if at >= 0:
        data[at : at + len(word)] = chance.choice(ODD_TEXTS).encode("utf-8", "surrogatepass")


def a_number(data: bytearray, chance: Chance) -> None:
    """Lengths and offsets of binary formats, written to their limits."""
    if len(data) >= 8:
        at = chance.randrange(len(data) - 7)
        size = chance.choice([1, 2, 4, 8])
        value = chance.choice([0, 1, (1 << (8 * size - 1)) - 1, (1 << (8 * size)) - 1, 1 << (8 * size - 1)])
        data[at : at + size] = value.to_bytes(size, "little")


MUTATIONS: list[Callable[[bytearray, Chance], None]] = [
    flipped,
    cut,
    removed,
    put_in,
    doubled,
    swapped,
    in_another_cell,
    in_another_cell,
    a_number,
    put_in,
]


def hostile(content: bytes, chance: Chance) -> bytes:
    """The content with one to four mutations."""
    data = bytearray(content)
    for _ in range(chance.choice([1, 1, 2, 3, 4])):
        chance.choice(MUTATIONS)(data, chance)
    return bytes(data[: 4 << 20])


def odd_text(known: str, chance: Chance) -> str:
    """A text for a cell: an odd one, or the known one with something odd in it."""
    if chance.random() < 0.5:
        return chance.choice(ODD_TEXTS)
    at = chance.randrange(len(known) + 1)
    piece = chance.choice(ODD_TEXTS) if chance.random() < 0.6 else chr(chance.choice([0x1F, 0x2044, 0x41, 0x30, 0xA0]))
    return known[:at] + piece[:200] + known[at + chance.choice([0, 0, 1, 3]) :]
