"""Is this text in UTF-16, as some editors save it?

Told by its byte order mark or, without one, by zeros in one of every two bytes, where text
in Latin letters has them (Unicode Standard, sections 3.10 and 23.8; from memory).
"""

import codecs

_BEGINNING = 200
"""Bytes that are looked at where there is no mark."""


def has_utf_16_mark(raw: bytes) -> bool:
    """Whether the bytes begin with a byte order mark of UTF-16."""
    return raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))


def decode_utf_16(raw: bytes, *, errors: str = "strict") -> str | None:
    """The text without its mark; None where nothing says that it is UTF-16.

    Raises:
        UnicodeDecodeError: it is, and is damaged; not with `errors="replace"`.
    """
    if has_utf_16_mark(raw):
        return raw.decode("utf-16", errors=errors)
    even, odd = (raw[start:_BEGINNING:2] for start in (0, 1))
    for high, low, encoding in ((odd, even, "utf-16-le"), (even, odd, "utf-16-be")):
        if 2 * high.count(0) > len(high) and not low.count(0):
            return raw.decode(encoding, errors=errors)
    return None
