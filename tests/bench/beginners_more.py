"""Takes in the manner of beginners of fifteen kinds that nobody here had tried.

Each teacher's sentence was written before the program was asked; see `tests.bench.beginners`.
"""

from collections.abc import Sequence

from evaluator.chart.graph import Bar
from tests.bench.by_hand import (
    Script,
    moved,
    one_finger,
    only,
    pedal_each,
    quicker,
)
from tests.playing import Pause, Restart, WrongBass, WrongChord
from tests.playing.mistakes import Fault


def _before_choruses(bars: Sequence[Bar]) -> list[Fault]:
    return [
        Pause(place, 0.0, 3.0)
        for place, bar in enumerate(bars, 1)
        if bar.section.startswith("Chorus") and not bar.line and not bar.place
    ]


def _d_under_g(bars: Sequence[Bar]) -> list[Fault]:
    return [
        WrongBass(place, "D", float(span.beat))
        for place, bar in enumerate(bars, 1)
        for span in bar.spans
        if span.chord is not None and span.chord.text == "G"
    ]


def _in_three(bars: Sequence[Bar]) -> list[Fault]:
    return [Restart(place, 3.0, 0.0) for place in range(1, len(bars))]


def _stays_on_the_first(bars: Sequence[Bar]) -> list[Fault]:
    found: list[Fault] = []
    for place, bar in enumerate(bars, 1):
        first = bar.spans[0].chord
        for span in bar.spans[1:]:
            if first is not None:
                found.append(WrongChord(place, first.text, float(span.beat)))
                found.append(WrongBass(place, first.root.text, float(span.beat)))
    return found


MORE: tuple[Script, ...] = (
    Script(
        "only the roots",
        "mill_wheel",
        "You find every root in time; in the right hand the rest of each chord is still to come.",
        after=(one_finger,),
    ),
    Script(
        "each line's last bar twice",
        "paper_boat",
        "You play the last bar of each line twice: go straight on to the next line.",
        kind="quarters",
        bars="1-4 4-8 8-12 12-16 16-20 20-24 24-26",
    ),
    Script(
        "stops before each chorus",
        "kettle_lane",
        "You stop for three seconds before each chorus: practise the last bar of the verse into "
        "the first of the chorus.",
        slips=_before_choruses,
    ),
    Script(
        "the intro at two tempi",
        "kettle_lane",
        "You began too fast, stopped after the intro, and took it again at the tempo of the "
        "rest; then all was right.",
        bars="1-4 1-86",
        faults=(Pause(5, 0.0, 1.5),),
        after=(quicker(1.5, first=1, last=4),),
    ),
    Script(
        "an octave higher from halfway",
        "tallow_moon",
        "All right; from the second half on your right hand lay an octave higher.",
        after=(moved(12, first=36, last=71, hand="right"),),
    ),
    Script(
        "the tails forgotten",
        "kettle_lane",
        "After each chorus you go on at once and leave out its bars of D.",
        bars="1-28 33-60 64-79 84-86",
    ),
    Script(
        "the refrain's pattern in verse 1",
        "tallow_moon",
        "In verse 1 you play the refrain's pattern instead of the verse's; the chords are right.",
        in_mind={"[Verse 1]": "[Verse 1] pattern ripple"},
    ),
    Script(
        "the right hand stops for four bars",
        "kettle_lane",
        "In the last line of verse 1, bars 17 to 20, your right hand stopped; the rest is right.",
        after=(only("left", first=17, last=20),),
    ),
    Script(
        "the pedal once a line",
        "tallow_moon",
        "All notes right, but you change the pedal only once a line, so the chords run together.",
        after=(pedal_each(4),),
    ),
    Script(
        "twice from the top",
        "tallow_moon",
        "You began three times: after three bars, and after five, you went back to the top; then "
        "all was right.",
        bars="1-3 1-5 1-71",
        faults=(Pause(4, 0.0, 2.5), Pause(9, 0.0, 2.0)),
    ),
    Script(
        "two lines exchanged",
        "mill_wheel",
        "In the first refrain you play the second line before the first; all else is right.",
        bars="1-8 13-16 9-12 17-26",
    ),
    Script(
        "the refrain a tone lower",
        "tallow_moon",
        "You played the first refrain a tone lower than the rest; its chords are right in "
        "themselves.",
        after=(moved(-2, first=17, last=28),),
    ),
    Script(
        "D under every G",
        "kettle_lane",
        "Under G you play D in the bass each time, where G belongs; all else is right.",
        slips=_d_under_g,
    ),
    Script(
        "three beats in every bar",
        "paper_boat",
        "You give each bar three beats; the song has four.",
        kind="quarters",
        slips=_in_three,
    ),
    Script(
        "stays on the bar's first chord",
        "ladder_shuffle",
        "Where a bar has two chords you stay on the first: practise the changes on beat 3.",
        slips=_stays_on_the_first,
    ),
)
