"""What of a text from outside may be shown on a screen, or stand in a spreadsheet's cell?

Titles, words, file names and chart lines are typed by strangers. Control characters
could move the cursor or rename the window, marks of writing direction could turn a line
round, invisible ones could hide in it, and stacks of accents could run over the lines
above. All of these are taken out here and nowhere else; letters of every script stay.
Categories after the Unicode Character Database. A text that a spreadsheet would take for a
formula (OWASP, CSV Injection) gets an apostrophe before it, as spreadsheets themselves mark texts.
"""

from typing import Final
from unicodedata import category

MOST_ACCENTS: Final = 3
"""Combining marks on one letter; no script in ordinary use needs more."""

FORMULAS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""Also in the full-width forms that spreadsheets in East Asia take for the others."""


def clean(text: str) -> str:
    """One line of text without anything but visible characters and plain spaces.

    Each tab, line feed or other kind of space becomes one space, so that columns are kept.
    """
    if text.isascii() and text.isprintable():
        return text
    kept: list[str] = []
    accents = 0
    for sign in text:
        kind = category(sign)
        accents = accents + 1 if kind in ("Mn", "Me") else 0
        if sign in "\t\n\r\v\f" or kind in ("Zs", "Zl", "Zp"):
            kept.append(" ")
        elif kind == "Cs":
            kept.append("?")
        elif kind not in ("Cc", "Cf", "Co", "Cn") and accents <= MOST_ACCENTS:
            kept.append(sign)
    return "".join(kept)


def clean_lines(text: str) -> str:
    """The same for several lines: line feeds stay, and with them a caret under its place."""
    return "\n".join(clean(line) for line in text.split("\n"))


def cell_text(text: str) -> str:
    """A text that a spreadsheet takes for text and never for a formula."""
    # Before the signs that nobody sees are taken out, and after.
    cleaned = clean(text)
    formula = text.startswith(FORMULAS) or cleaned.lstrip().startswith(FORMULAS)
    return f"'{cleaned}" if formula else cleaned
