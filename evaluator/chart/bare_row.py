"""Is this line of words one of chords whose bar lines were forgotten?

`C  Am  F  G` between the lines of bars is how sheets with chords above words are typed. In a
chart it would be sung.
"""

import re

from evaluator.chart import values
from evaluator.theory.symbol import is_chord

_BETWEEN = frozenset("-–—,;.·")
"""What may stand alone between chords."""
_SYLLABLE = re.compile(r"[A-G]o")
"""`Do`, `Go`: sung more often than it is a diminished chord."""
_ARTICLE = "A"


def with_bar_lines(text: str) -> str:
    """The line with a bar for each chord, as in `| C | Am |`; empty where it is not all chords."""
    words = [word.rstrip(",;") for word in text.split() if word not in _BETWEEN]
    count = words.pop() if words and values.is_count(words[-1]) else ""
    bars: list[str] = []
    for word in words:
        if word == "/" or _is_chord(word.removeprefix("(").removesuffix(")")):
            belongs = word.startswith(("/", "("))
            if not belongs:
                bars.append(word)
            elif bars:
                bars[-1] += f" {word}"
            else:
                return ""
        else:
            return ""
    if not bars or bars == [_ARTICLE]:
        return ""
    return f"| {' | '.join(bars)} | {count}".rstrip()


def _is_chord(word: str) -> bool:
    if word.casefold() in values.NO_CHORD or word == "%":
        return True
    if _SYLLABLE.fullmatch(word):
        return False
    return is_chord(word)
