"""Does a chart name its notes as in German, where H is B and B is Bb?

Where H stands, every B is doubtful: whoever only writes B for the H that is refused would have
a wrong chord in silence at each of them. (Common practice, no source.)
"""

import re
from collections.abc import Iterator, Sequence

from evaluator.chart.graph import HANDS
from evaluator.chart.header import header_name
from evaluator.chart.lines import TextLine
from evaluator.chart.mistakes import Mistakes
from evaluator.chart.rows import row_hand
from evaluator.theory.symbol import is_chord

_NAME = re.compile(r"(?<![^\s|()<>,=/:+{}])[BH](?![#b♯♭])[^\s|()<>,=/:+{}~]*")
_WITH_OCTAVE = re.compile(r"[BH]\d")


def check(lines: Sequence[TextLine], mistakes: Mistakes) -> None:
    """Note the first B of a chart in which H stands, too."""
    names = [(line, found) for line in lines if _has_notes(line) for found in _names(line.text)]
    first = {found[0][0]: (line, found) for line, found in reversed(names)}
    if len(first) < 2:
        return
    (line, name), (_, other) = first["B"], first["H"]
    mistakes.add(
        line.number,
        name.start() + 1,
        f"`{name[0]}` stands beside `{other[0]}`: in German names H is B, and B is Bb",
        "write B for H, and Bb for every B that is meant as in German",
    )


def _has_notes(line: TextLine) -> bool:
    if line.kind == "other":
        return row_hand(line.text) in HANDS or header_name(line.text) == "bass"
    return line.kind in ("bars", "or")


def _names(text: str) -> Iterator[re.Match[str]]:
    for found in _NAME.finditer(text):
        if _WITH_OCTAVE.fullmatch(found[0]) or is_chord("B" + found[0][1:]):
            yield found
