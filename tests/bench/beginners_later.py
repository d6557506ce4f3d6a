"""Takes in the manner of beginners that were made after the sentences had been mended.

Ten that nobody had in mind then; see `tests.bench.beginners`.
"""

from tests.bench.by_hand import Script, chords
from tests.bench.habits import Habits
from tests.playing import Pause, Restart

LATER: tuple[Script, ...] = (
    Script(
        "chorus 1 rushed",
        "kettle_lane",
        "You rush chorus 1, at more than a third above the tempo of the rest; the notes are right.",
        habits=Habits(bend="section", slow="Chorus 1", bent_to=1.4),
    ),
    Script(
        "F minor for F",
        "paper_boat",
        "F is a major chord: you play F minor each time.",
        kind="quarters",
        slips=chords({"F": "Fm"}),
    ),
    Script(
        "F and C exchanged",
        "mill_wheel",
        "You exchange F and C: look which of them comes first.",
        slips=chords({"F": "C", "C": "F"}),
    ),
    Script(
        "the left hand an octave lower",
        "tallow_moon",
        "All right; your left hand is an octave lower than usual.",
        habits=Habits(octaves_off={"left": -1}),
    ),
    Script(
        "verse 1 begun three times",
        "kettle_lane",
        "You began verse 1 three times before it went on; then all was right.",
        bars="1-10 5-10 5-86",
        faults=(Pause(11, 0.0, 2.0), Pause(17, 0.0, 2.0)),
    ),
    Script(
        "one bar of three beats",
        "paper_boat",
        "Bar 7 is a beat short; everything else is right.",
        kind="quarters",
        faults=(Restart(7, 3.0, 0.0),),
    ),
    Script(
        "the last line once more",
        "mill_wheel",
        "You played the last line of verse 2 once more; the rest is right.",
        bars="1-24 21-26",
    ),
    Script(
        "slower and slower",
        "paper_boat",
        "You slow down from beginning to end: play it with a metronome.",
        kind="quarters",
        habits=Habits(bend="slowing", bent_to=0.65),
    ),
    Script(
        "the left hand behind",
        "kettle_lane",
        "Your left hand is a little behind the right all the time; the notes are right.",
        habits=Habits(behind_ms={"left": 110.0}),
    ),
    Script(
        "triads for sevenths",
        "kettle_lane",
        "You play triads where the chart has sevenths, Bm for Bm7 and Em for Em7; the rest is "
        "right.",
        slips=chords({"Bm7": "Bm", "Em7": "Em", "A7": "A", "Bm7/A": "Bm"}),
    ),
)
