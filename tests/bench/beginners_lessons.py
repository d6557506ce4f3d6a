"""Takes as they come up at lessons, on songs that nobody had tried.

Each teacher's sentence was written before the program was asked; see `tests.bench.beginners`.
"""

from collections.abc import Sequence

from evaluator.chart.graph import Bar
from tests.bench.by_hand import (
    Script,
    beat_again,
    chords,
    moved,
    only,
    put_right,
    struck_twice,
    trying_out,
)
from tests.bench.habits import Habits
from tests.playing import WrongBass, WrongChord
from tests.playing.mistakes import Fault

ROAD, LINEN = "quarry_road", "linen_day"

MINOR = {"G": "Gm", "C": "Cm", "D": "Dm", "D7": "Dm7", "G/B": "Gm", "D/F#": "Dm", "D/C": "Dm"}


def _fifth_below(bars: Sequence[Bar]) -> list[Fault]:
    """In the choruses the left hand plays D under G and G under C."""
    under = {"G/B": "D", "C": "G", "G": "D"}
    return [
        WrongBass(place, under[bar.spans[0].chord.text])
        for place, bar in enumerate(bars, 1)
        if bar.section.startswith("Chorus")
        and bar.spans[0].chord is not None
        and bar.spans[0].chord.text in under
    ]


LESSONS: tuple[Script, ...] = (
    Script(
        "counted in on one key",
        ROAD,
        "You counted in on a G, and then the whole song was right.",
        after=(trying_out(67, 67, 67, 67, apart=0.77, rest=0.0),),
    ),
    Script(
        "the left hand low and loud",
        ROAD,
        "The notes are right, but your left hand drowns the right one: play it softer.",
        manner={"left_velocity": 96.0, "right_velocity": 54.0},
        habits=Habits(octaves_off={"left": -1}),
    ),
    Script(
        "one beat again",
        ROAD,
        "Four times you stumbled and struck one beat again; the chords are right.",
        after=(beat_again(7, 15, 27, 38, beat=2, beats=4),),
    ),
    Script(
        "two chords in the wrong order",
        ROAD,
        "At the end of each verse you play D7 before A minor; all else is right.",
        faults=(
            WrongChord(17, "D7"),
            WrongBass(17, "D"),
            WrongChord(18, "Am"),
            WrongBass(18, "A"),
            WrongChord(41, "D7"),
            WrongBass(41, "D"),
            WrongChord(42, "Am"),
            WrongBass(42, "A"),
        ),
    ),
    Script(
        "minor for major throughout",
        ROAD,
        "G, C and D are major chords and you play them all as minor: the thirds are B, E and F#.",
        slips=chords(MINOR),
    ),
    Script(
        "the waltz in four",
        LINEN,
        "You give each bar four beats; it is a waltz and has three. The chords are right.",
        in_mind={
            "meter: 3/4": "meter: 4/4",
            "| 1 2 3 |": "| 1 2 3 4 |",
            "| x . . |": "| x . . . |",
            "| . x x |": "| . x x x |",
        },
    ),
    Script(
        "the last line three times",
        ROAD,
        "You played the last line three times for an ending; all the chords are right.",
        bars="1-56 53-56 53-56",
    ),
    Script(
        "twice through",
        LINEN,
        "You played the song twice from beginning to end, and all of it was right.",
        bars="1-32 1-32",
    ),
    Script(
        "only the intro",
        ROAD,
        "The intro was right; the rest of the song is still to come.",
        bars="1-4",
    ),
    Script(
        "verse 2 with the left hand",
        ROAD,
        "In verse 2 your right hand rested; the left one and all the rest is right.",
        after=(only("left", first=29, last=44),),
    ),
    Script(
        "faster and faster",
        ROAD,
        "You get faster from beginning to end: play it with a metronome.",
        habits=Habits(bend="slowing", bent_to=1.45),
    ),
    Script(
        "ends on another chord",
        ROAD,
        "All right to the last chord, which is G and not E minor.",
        faults=(WrongChord(56, "Em"), WrongBass(56, "E")),
    ),
    Script(
        "each chord struck twice",
        ROAD,
        "Every chord is right, and struck twice where the pattern has it once.",
        after=(struck_twice,),
    ),
    Script(
        "begins with the chorus",
        ROAD,
        "You began with the chorus, and left out the intro and verse 1; all you played was right.",
        bars="21-56",
    ),
    Script(
        "the transpose button in the middle",
        LINEN,
        "From verse 2 on it sounds a tone higher (the transpose button?); the chords are right.",
        after=(moved(2, first=17, last=32),),
    ),
    Script(
        "the fifth in the bass of the choruses",
        ROAD,
        "In the choruses you play the fifth in the bass, D under G and G under C.",
        slips=_fifth_below,
    ),
    Script(
        "every other bar put right",
        LINEN,
        "In every other bar you began on a wrong chord and put it right at once: look ahead.",
        after=(put_right(*range(2, 33, 2)),),
    ),
    Script(
        "arpeggios through both hands",
        ROAD,
        "You let each chord climb from the bass through both hands; all of them are right.",
        kind="broken through both hands",
    ),
)
