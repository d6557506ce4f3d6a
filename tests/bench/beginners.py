"""Does the program say of a beginner's take what a fair teacher would say?

    python -m tests.bench.beginners                  all takes: the teacher, the program
    python -m tests.bench.beginners --only "hands apart"

Each take is made by hand in the manner of beginners (tests/bench/by_hand.py), with the one
sentence that a fair teacher would say of it. There is nothing to count: read them, and ask
of each sentence of the program whether it is true, fair, and the first thing to say.
"""

import argparse

from evaluator.grading import grade_fully, prepare
from evaluator.report.model import Report
from tests.bench.beginners_later import LATER
from tests.bench.beginners_lessons import LESSONS
from tests.bench.beginners_more import MORE
from tests.bench.by_hand import (
    Script,
    before_lines,
    broken_off_at,
    chords,
    instead,
    only,
    pedal_down,
    plain_roots,
    played,
    put_right,
    transposed,
    trying_out,
    without_thirds,
)
from tests.bench.habits import Habits
from tests.playing import Pause, Restart, WrongBass, WrongChord

KETTLE, LADDER, TALLOW = "kettle_lane", "ladder_shuffle", "tallow_moon"
BOAT, MILL = "paper_boat", "mill_wheel"

FIRST: tuple[Script, ...] = (
    Script(
        "bass and chord once a bar",
        KETTLE,
        "All the chords and basses are right; you struck each once and held it, so the stroll "
        "of the right hand comes next.",
        kind="whole notes",
        manner={"tempo": 0.75},
    ),
    Script(
        "half notes at half the tempo",
        KETTLE,
        "Every chord is right in half notes at half the tempo: a good first step, and the "
        "pattern can come now.",
        kind="half notes",
        manner={"tempo": 0.55},
    ),
    Script(
        "only the one of the waltz",
        TALLOW,
        "The chords and basses are right, but a waltz needs its two and three in the right hand.",
        kind="whole notes",
    ),
    Script(
        "chords on every beat, no pattern asked",
        BOAT,
        "Every chord right and steady: well played.",
        kind="quarters",
    ),
    Script(
        "right hand in eighths",
        KETTLE,
        "All chords right; your right hand plays straight eighths where the pattern has two, "
        "three and the and of three.",
        kind="right hand in eighths",
    ),
    Script(
        "chords broken",
        MILL,
        "You broke the chords into eighths instead of the pattern, and every one of them is right.",
        kind="broken in eighths",
    ),
    Script(
        "the blues in quarters",
        LADDER,
        "The chords of the blues are right, on plain quarters: now learn the shuffle's own rhythm.",
        kind="quarters",
        manner={"tempo": 0.7},
    ),
    Script(
        "straight, not swung",
        LADDER,
        "Everything is there, but you play the eighths straight: let them swing.",
        manner={"swing": 1.0},
    ),
    Script(
        "roots for every bass",
        KETTLE,
        "The right hand is right throughout; mind the basses that are not the root: C# under "
        "A, F# under D/F#.",
        slips=plain_roots,
    ),
    Script(
        "the blues without its slashes",
        LADDER,
        "You play A under A7/E: the bass goes to E there.",
        slips=plain_roots,
        manner={"tempo": 0.8},
    ),
    Script(
        "hands apart, then together",
        KETTLE,
        "You practised the intro and verse 1 with the right hand, then with the left, then "
        "together, and all of it was right.",
        bars="1-20 1-20 1-20",
        faults=(Pause(21, 0.0, 3.0), Pause(41, 0.0, 3.0)),
        after=(only("right", last=20), only("left", first=21, last=40)),
    ),
    Script(
        "only the right hand",
        KETTLE,
        "The right hand alone, and right from beginning to end: now the left.",
        after=(only("right"),),
    ),
    Script(
        "only the left hand",
        TALLOW,
        "The left hand alone, every bass right.",
        after=(only("left"),),
    ),
    Script(
        "F for F#",
        KETTLE,
        "You play F where the key of D has F#, in D and Bm7 and in the bass of D/F#; the rest "
        "is right.",
        after=(instead(6, 5),),
    ),
    Script(
        "F for F# in the waltz",
        TALLOW,
        "D7 and Bm have F#, not F; everything else is right.",
        after=(instead(6, 5),),
    ),
    Script(
        "G for G#",
        MILL,
        "E and E7 have G#: you play E minor each time.",
        after=(instead(8, 7),),
    ),
    Script(
        "the third left out",
        KETTLE,
        "Your right hand leaves out the third of every chord; the basses and the pattern are "
        "right.",
        after=(without_thirds,),
    ),
    Script(
        "root and fifth",
        MILL,
        "You play root and fifth in the right hand: add the third, which says whether it is minor.",
        kind="power chords",
    ),
    Script(
        "one finger in the right hand",
        BOAT,
        "With one finger you are at the right chord each time: now build the chord on it.",
        kind="one note in the right hand",
    ),
    Script(
        "put right at once",
        KETTLE,
        "Three times you began on a wrong chord and put it right at once; all else is right.",
        after=(put_right(8, 19, 35),),
    ),
    Script(
        "two lines begun again",
        KETTLE,
        "Twice you broke off and began the line again; the chords themselves are right.",
        bars="1-7 5-27 25-86",
        faults=(Restart(7, 2.0, 1.2), Restart(30, 1.0, 2.0)),
    ),
    Script(
        "from the beginning once more",
        TALLOW,
        "After six bars you began the song again, and then it went right to the end.",
        bars="1-6 1-71",
        faults=(Pause(7, 0.0, 2.5),),
    ),
    Script(
        "skipped into verse 2",
        KETTLE,
        "From the second line of verse 1 you went on with the third of verse 2: by ear, verse 1 "
        "and chorus 1 were left out.",
        bars="1-12 41-86",
    ),
    Script(
        "verse 1 in place of verse 2",
        KETTLE,
        "You played verse 1 again for verse 2, so its last line was left out; all else is right.",
        bars="1-32 5-20 53-86",
    ),
    Script(
        "stopped in the middle",
        KETTLE,
        "You stopped in verse 2; up to there everything was right.",
        bars="1-39",
        after=(broken_off_at(1.2),),
    ),
    Script(
        "a long think",
        KETTLE,
        "Before verse 2 you stood still for seven seconds; the rest is right.",
        faults=(Pause(33, 0.0, 7.0),),
    ),
    Script(
        "a wait before each line",
        TALLOW,
        "You wait two seconds before every line: look ahead while you play the line's last bar.",
        slips=before_lines(2.0),
    ),
    Script(
        "one beat too many at each line's end",
        BOAT,
        "At the end of every line there is a beat too many: count through to the next one.",
        kind="quarters",
        slips=before_lines(0.8),
    ),
    Script(
        "rushes into each line",
        BOAT,
        "You come in a beat too soon at each new line: hold the last bar of a line for four.",
        kind="quarters",
        slips=lambda bars: [
            Restart(place, 3.0, 0.0)
            for place, bar in enumerate(bars, 1)
            if place < len(bars) and bars[place].place == 0
        ],
    ),
    Script(
        "looks for every chord",
        BOAT,
        "The chords are right, but you look for each one: practise the changes without the "
        "beat, then slowly with it.",
        kind="half notes",
        manner={"tempo": 0.6},
        habits=Habits(searching=("left", "right"), search_ms=350.0),
    ),
    Script(
        "the pedal down throughout",
        KETTLE,
        "Chords and pattern are right, but the pedal stayed down from beginning to end: change "
        "it with every chord.",
        after=(pedal_down,),
    ),
    Script(
        "in C",
        KETTLE,
        "You played it in C, a tone lower, and everything was right.",
        after=(transposed(-2),),
    ),
    Script(
        "a tone higher, one chord wrong",
        BOAT,
        "You played it in D, and where the chart has Dm (now Em) you played the major chord.",
        kind="quarters",
        slips=chords({"Dm": "D"}),
        after=(transposed(2),),
    ),
    Script(
        "verse 2 and its refrain left out",
        TALLOW,
        "You left out verse 2 and the second refrain; what you played was right.",
        bars="1-36 65-71",
    ),
    Script(
        "the chorus twice",
        KETTLE,
        "You played chorus 1 twice; all else is right.",
        bars="1-32 21-32 33-86",
    ),
    Script(
        "the hard chords left out",
        LADDER,
        "You go round D#dim7 and F#7 with the chord before: learn these two.",
        slips=chords({"D#dim7": "D7", "F#7": "A7"}),
    ),
    Script(
        "the last chord held after a ritard",
        MILL,
        "All right, with a fine ritard and the last chord held.",
        habits=Habits(last_held=True, bend="ritard", bent_to=0.5),
    ),
    Script(
        "short tails",
        KETTLE,
        "After each chorus you play too few bars of D.",
        bars="1-29 33-60 64-86",
    ),
    Script(
        "the right hand behind",
        TALLOW,
        "Your right hand is a little behind the left all the time; the notes are right.",
        habits=Habits(behind_ms={"right": 110.0}),
    ),
    Script(
        "a tune above the chords",
        BOAT,
        "You added a tune of your own above the chords, and the chords are right.",
        kind="a tune above the chords",
    ),
    Script(
        "a false start",
        KETTLE,
        "After trying some notes and a false start of three bars you played the song right.",
        bars="1-3 1-86",
        faults=(Pause(4, 0.0, 2.0),),
        after=(trying_out(62, 66, 69, 66, 62, 64, 66, 67),),
    ),
    Script(
        "each section another way",
        MILL,
        "Every chord is right, each section in another rhythm of your own: now the pattern.",
        kind="another manner each section",
    ),
    Script(
        "the solo much slower",
        KETTLE,
        "The solo is at little more than half the tempo of the rest; the notes are right.",
        habits=Habits(bend="section", slow="Solo", bent_to=0.55),
    ),
    Script(
        "three chords in ten wrong",
        MILL,
        "You know how the song goes, but a good third of the chords is wrong: D minor, E and F "
        "need work.",
        slips=chords({"Dm": "F", "E": "Am", "E7": "Am"}),
        faults=(WrongBass(5, "A"),),
    ),
    Script(
        "one wrong chord",
        BOAT,
        "All right but for bar 7, where you played G for Dm.",
        kind="quarters",
        faults=(WrongChord(7, "G"),),
    ),
)

SCRIPTS = (*FIRST, *LATER, *MORE, *LESSONS)


def said(report: Report) -> list[str]:
    """Headline, what else must be known, and the three things to put right."""
    mark = f"(mark {report.marks.overall:.0f})" if report.matches else "(no mark)"
    lines = [f"{report.headline} {mark}", *(f"+ {remark}" for remark in report.remarks)]
    return lines + [f"{number}. {fix}" for number, fix in enumerate(report.fix_first, 1)]


def main() -> None:
    """Print the teacher's sentence beside what the program says."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--only", action="append", metavar="NAME", help="a take by its name")
    options = parser.parse_args()
    for number, script in enumerate(SCRIPTS, 1):
        if options.only and script.name not in options.only:
            continue
        take = played(script)
        report = grade_fully(prepare(take.chart_text), take.midi_bytes).report
        print(f"\n{number}. {script.name} ({script.chart})")
        print(f"   teacher: {script.teacher}")
        print("\n".join(f"   program: {line}" for line in said(report)))


if __name__ == "__main__":
    main()
