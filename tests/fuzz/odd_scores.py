"""What holds whatever the attributes and numbers of a score say?

A small piano score with a sign of every sort that is worked out: meters, keys, tempi, repeats
with endings, notes against others, transposing, words under notes. The search puts something
else into any of its attributes and texts; the score is imported as a chart that is read, or
refused in one sentence of ours.
"""

import re
from functools import cache
from typing import Final

from evaluator.chart import read_chart
from evaluator.notation import ScoreError, import_score
from tests.notation.sheets import attributes, chord, metronome, note, repeat, sheet, words

CHANGE: Final = 3
"""Bytes of a change: where, what, and a number in it."""
VALUES: Final = (
    *("{n}", "-{n}", "{n}.5", "0", "", " ", "1-{n}", "1-999999999", "1,{n}", "{n},1-{n}", "+{n}"),
    *("1e{n}", "-1e{n}", "nan", "inf", "{n}/4", "{n}+{n}", "0.000{n}", "{nines}", "{sum}"),
    *("yes", "start", "stop", "forward", "backward", "C", "H", "\N{ARABIC-INDIC DIGIT THREE}", "%"),
)
"""What is put in: a number, as large a number as that has digits, so many summands."""


@cache
def _places() -> tuple[str, ...]:
    """The text of the score, every second piece of it an attribute's value or a text."""
    triplet = "<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes>"
    triplet += "</time-modification><tie type='start'/><voice>1</voice><type>quarter</type>"
    transposing = "<attributes><transpose><diatonic>1</diatonic><chromatic>2</chromatic>"
    transposing += "<octave-change>0</octave-change></transpose></attributes>"
    bars = [
        attributes("6/8") + metronome(96) + chord("C") + note("C5", 3, words="1:Row"),
        repeat("forward") + attributes("3+2/4") + chord("F#", "minor-seventh") + note("F5", 5),
        repeat("", ending="1", stop=False) + attributes("4/4", fifths=2) + chord("G", offset=2)
        + note("B4", 4 / 3, extra=triplet) * 3 + repeat("backward", times=2, ending="1"),
        repeat("", ending="2", stop=False) + words("slow", tempo=60) + chord("A", text="A7")
        + note("C5", 3) + "<backup><duration>12</duration></backup><forward><duration>24</duration>"
        "</forward>" + repeat("", ending="2"),
        transposing + chord("C") + note("rest", 4),
    ]  # fmt: skip
    return tuple(re.split(r"((?<==[\"'])[^\"']*(?=[\"'])|(?<=>)[^<>]+(?=<))", sheet(bars).decode()))


def odd_score(raw: bytes) -> bool:
    """Every three bytes put something in: where, what, and a number."""
    pieces = list(_places())
    for at in range(0, len(raw) - CHANGE + 1, CHANGE):
        where, what, number = raw[at : at + CHANGE]
        value = VALUES[what % len(VALUES)]
        pieces[1 + 2 * (where % (len(pieces) // 2))] = value.format(
            n=number, nines="9" * number, sum="1+" * number**2 + "1"
        )
    try:
        chart = import_score("".join(pieces).encode(), name="Song")
    except ScoreError as refusal:
        said = str(refusal)
        assert said.endswith("."), said
        assert "\n" not in said, said
        return False
    read_chart(chart.text)
    return True
