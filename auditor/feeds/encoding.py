"""Which encoding a text feed is in, judged on a sample of its bytes."""

from __future__ import annotations

import codecs
import re
from pathlib import Path

from auditor.feeds.other_encodings import encoding_by_headers, encoding_by_letters
from auditor.feeds.spool import spool_path

_BOMS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# What catalogs in Western and Central European languages hold beyond ASCII.
_WESTERN = set("äöüÄÖÜßàâçéèêëîïôœùûüÀÂÇÉÈÊËÎÏÔŒÙÛáíóúñÁÍÓÚÑ¿¡ìòÌÒãõÃÕåÅæÆøØ°±²³µ·×÷¼½¾«»®©™“”‘’‚„–—…€£§ºª\u00a0†•´¨")
_CENTRAL = set("ąćęłńóśźżĄĆĘŁŃÓŚŹŻáčďéěíňřšťúůýžÁČĎÉĚÍŇŘŠŤÚŮÝŽäôľĺŕÄÔĽĹŔőűŐŰöüÖÜß°×\u00a0§´")
_POLISH = set("ąćęłńśźżĄĆĘŁŃŚŹŻ")
_SIGN_IN_A_WORD = re.compile(r"[^\W\d_][¹²³±¼½¾¿¡¶][^\W\d_]")  # "ca³oroczna": a letter of another encoding
_POLISH_TEXT = _POLISH | set("óÓäöüÄÖÜßé")  # and names from elsewhere
SAMPLE_BYTES = 2 << 20


def sample_bytes(path: Path) -> bytes:
    """The whole of a small file; of a large one its start and 32 stretches spread over the rest."""
    size = path.stat().st_size
    with path.open("rb") as file:
        if size <= 4 * SAMPLE_BYTES:
            return file.read()
        parts = [file.read(SAMPLE_BYTES)]
        for step in range(1, 33):
            file.seek(size * step // 33)
            file.readline(1 << 16)
            parts.append(file.read(1 << 15))
        return b"".join(part[: part.rfind(b"\n") + 1] or part for part in parts)


def byte_order_mark(head: bytes) -> tuple[str, int] | None:
    """Encoding and length of the byte order mark that `head` starts with, if any."""
    for mark, encoding in _BOMS:
        if head.startswith(mark):
            return encoding, len(mark)
    return None


def detect_encoding(sample: bytes) -> str:
    """utf-8, utf-16-le, utf-16-be, utf-32-*, windows-1252, iso-8859-2, windows-1250, or one of another script.

    Latin-1 text is given as windows-1252, which agrees with it and knows more signs.
    A text that is UTF-8 but for a few bytes stays UTF-8: the records with those bytes are at fault, not the rest.
    """
    marked = byte_order_mark(sample)
    if marked:
        return marked[0]
    wide = _wide_encoding(sample)
    if wide:
        return wide
    try:
        codecs.getincrementaldecoder("utf-8")().decode(sample, final=False)
        return "utf-8"
    except UnicodeDecodeError:
        pass
    if (told := encoding_by_headers(sample)) is not None:
        return told
    lenient = sample.decode("utf-8", "replace")
    bad = lenient.count("\ufffd")
    good = sum(1 for char in lenient if ord(char) > 127) - bad
    if 10 * good >= bad and good:  # other encodings hardly ever make a valid sequence by chance
        return "utf-8"
    return _single_byte_encoding(sample)


def _wide_encoding(sample: bytes) -> str | None:
    """UTF-16 without a byte order mark: nearly every other byte is zero."""
    head = sample[:4096]
    if len(head) < 8:
        return None
    even, odd = head[0::2].count(0), head[1::2].count(0)
    half = len(head) // 2
    if odd > 0.6 * half and even < 0.1 * half:
        return "utf-16-le"
    if even > 0.6 * half and odd < 0.1 * half:
        return "utf-16-be"
    return None


def _single_byte_encoding(sample: bytes) -> str:
    """Windows-1252 and its kin by their letters; where no reading makes sense, UTF-8 with broken records."""
    high = bytes(sorted({byte for byte in sample if byte > 127}))
    western = _fit(high, "windows-1252", _WESTERN)
    central = max(("iso-8859-2", "windows-1250"), key=lambda name: _fit(high, name, _CENTRAL))
    polish = sum(1 for char in high.decode(central, "replace") if char in _POLISH)
    likely = western < 1.0 or _SIGN_IN_A_WORD.search(sample.decode("windows-1252", "replace")) is not None
    if _fit(high, central, _CENTRAL) == 1.0 and polish and (likely or _guessed_polish(sample, high, central)):
        return central
    if western == 1.0:
        return "windows-1252"
    return encoding_by_letters(sample) or "utf-8"


def _fit(high: bytes, encoding: str, letters: set[str]) -> float:
    decoded = high.decode(encoding, "replace")
    return sum(char in letters for char in decoded) / len(decoded) if decoded else 1.0


def _guessed_polish(sample: bytes, high: bytes, central: str) -> bool:
    """Asks charset-normalizer, where the bytes make sense in both worlds; not where it would be no one language.

    French in a central encoding is words with Polish and Slovak letters: "pręt ŕ rouler".
    """
    if not _POLISH_TEXT.issuperset(char for char in high.decode(central, "replace") if char.isalpha()):
        return False
    from charset_normalizer import from_bytes

    lines = [line for line in sample.splitlines() if any(byte > 127 for byte in line)][:2000]
    best = from_bytes(b"\n".join(lines), cp_isolation=["cp1250", "iso8859_2", "cp1252", "latin_1"]).best()
    return best is not None and best.encoding in {"cp1250", "iso8859_2"}


def is_wide(encoding: str) -> bool:
    """UTF-16 or UTF-32, in any spelling."""
    return codecs.lookup(encoding).name.startswith(("utf-16", "utf-32"))


def rewrite_as_utf8(path: Path, encoding: str, skip: int) -> Path:
    """A spooled UTF-8 copy of a wide text without its byte order mark.

    What is no valid text stays invalid in the copy, so that the record with it is found and rejected.
    """
    target = spool_path(".txt")
    decode = codecs.getincrementaldecoder(encoding)("surrogatepass").decode
    with path.open("rb") as source, target.open("wb") as out:
        source.seek(skip)
        while chunk := source.read(1 << 20):
            out.write(decode(chunk).encode("utf-8", "surrogatepass"))
        try:
            decode(b"", final=True)
        except UnicodeDecodeError:
            out.write(b"\xff")  # the file ends in the middle of a character
    return target
