"""How does text get into a chart so that it is read as what it is?

For whatever writes charts: a name in which nothing begins a comment, words that are taken
for nothing else, chords with their beats, patterns.
"""

from collections.abc import Iterator, Sequence

from evaluator.chart.graph import Meter
from evaluator.chart.header import header_name

ASSUMED_BPM = 100.0
"""Where nothing says the tempo: a chart must have one, and takes may be half or twice as fast."""
NO_CHORD = "N.C."


def as_name(text: str) -> str:
    """One line of text in which nothing begins a comment."""
    return " ".join(word for word in _shown(text).split() if not word.startswith("#"))


def as_words(text: str) -> str:
    """Words under a line that a chart does not take for anything else."""
    shown = _shown(text).replace("|", "/")
    words = " ".join(word.lstrip("#") for word in shown.split()).lstrip("[").strip()
    return words.replace(":", " -", 1) if header_name(words) else words


def signs(names: Sequence[str], beats: Sequence[int]) -> str:
    """Chords of one bar, with a slash for each further beat where they do not share it evenly."""
    if len(set(beats)) == 1:
        return " ".join(names)
    return " ".join(name + " /" * (length - 1) for name, length in zip(names, beats, strict=True))


def pattern_rows(left: Sequence[str], right: Sequence[str], meter: Meter) -> Iterator[str]:
    """The rows of a pattern of that meter, which go under its first line."""
    columns = len(left)
    count = ["."] * columns
    for beat in range(meter.beats):
        place = beat * columns / meter.beats
        if place.is_integer():
            count[int(place)] = str(beat + 1)
    width = max(map(len, count))
    for hand, row in (("count", count), ("left", left), ("right", right)):
        yield f"  {hand:<5} | {' '.join(sign.ljust(width) for sign in row)} |"


def _shown(text: str) -> str:
    return "".join(sign if sign.isprintable() else " " for sign in text)
