"""Scores of two staves are played as music21 expands them: which keys, and when.

music21 writes each score, and says by its own expansion (repeats played out, ties joined)
which keys are struck at which quarter note. The chart must want the same, and a take of just
these keys must get no finding.
"""

from collections import defaultdict
from collections.abc import Callable
from fractions import Fraction

import pytest
from music21 import bar, layout, meter, note, stream, tie
from music21 import chord as chords
from music21.musicxml.m21ToXml import GeneralObjectExporter

from evaluator.grading import grade_fully, prepare
from evaluator.notation import import_score
from tests.playing import Note, to_midi
from tests.playing.mistakes import Truth
from tests.playing.performance import Performance

QUARTER = 0.6


def hand(*measures: str, time: str = "4/4") -> stream.PartStaff:
    """Bars of `C4:1 E4+G4:.5 r:1`, lengths in quarter notes; `~` at the end ties onward, two
    voices stand about a semicolon."""
    staff = stream.PartStaff()
    tied: set[str] = set()
    for number, text in enumerate(measures, 1):
        measure = stream.Measure(number=number)
        if number == 1:
            measure.timeSignature = meter.TimeSignature(time)
        voices = text.split(";")
        for index, row in enumerate(voices):
            home = measure if len(voices) == 1 else stream.Voice(id=str(index + 1))
            for word in row.split():
                one, tied = sound(word, tied)
                home.append(one)
            if len(voices) > 1:
                measure.insert(0, home)
        staff.append(measure)
    return staff


def sound(word: str, tied: set[str]) -> tuple[note.GeneralNote, set[str]]:
    names, _, length = word.rstrip("~").partition(":")
    quarters = Fraction(length)
    if names == "r":
        return note.Rest(quarterLength=quarters), set()
    keys = names.split("+")
    one: note.NotRest = note.Note(keys[0]) if len(keys) == 1 else chords.Chord(keys)
    one.quarterLength = quarters
    onward = word.endswith("~")
    if onward or names in tied:
        kind = "continue" if onward and names in tied else "start" if onward else "stop"
        one.tie = tie.Tie(kind)
    return one, {names} if onward else set()


def piece(right: stream.PartStaff, left: stream.PartStaff) -> stream.Score:
    score = stream.Score([right, left])
    score.insert(0, layout.StaffGroup([right, left], symbol="brace"))
    return score


def crossing_hands() -> stream.Score:
    return piece(
        hand("C4:1 E4:1 C4:1 E4:1", "B3:1 D4:1 B3:1 D4:1", "C4:4"),
        hand("C3:1 G4:1 C3:1 A4:1", "G2:1 B4:1 G2:1 G4:1", "C3:4"),
    )


def unisons() -> stream.Score:
    return piece(
        hand("C4:1 E4:1 G4:1 E4:1", "D4:2 G4:2", "C4:4"),
        hand("C4:2 G3:2", "D4:1 B3:1 G4:1 B3:1", "C4:4"),
    )


def ties_over_bar_lines() -> stream.Score:
    return piece(
        hand("C5:2 E5:2~", "E5:1 D5:1 F5:2~", "F5:4~", "F5:2 E5:2"),
        hand("C3:4~", "C3:2 G3:2", "A3:2 D3+A3:2~", "D3+A3:4"),
    )


def two_voices() -> stream.Score:
    return piece(
        hand("E5:4 ; C5:1 B4:1 A4:1 G4:1", "D5:2 F5:2 ; B4:.5 A4:.5 G4:1 A4:2", "E5:4"),
        hand("C3:4 ; r:1 G3:1 E3:1 G3:1", "G2:4 ; r:1 D3:1 B2:1 D3:1", "C3:4"),
    )


def tuplets() -> stream.Score:
    return piece(
        hand("C5:1/3 D5:1/3 E5:1/3 F5:1 G5:2/3 A5:2/3 G5:2/3", "E5:1/4 D5:1/4 C5:1/2 B4:3", "C5:4"),
        hand("C3:.5 G3:.5 C3:.5 G3:.5 C3:1 G3:1", "G2:1/3 D3:1/3 B2:1/3 G2:3", "C3:4"),
    )


def six_eight() -> stream.Score:
    return piece(
        hand("C5:.5 D5:.5 E5:.5 G5:1.5", "F5:.75 E5:.25 D5:.5 B4:1 D5:.5", "C5:3", time="6/8"),
        hand("C3:1.5 E3:1.5", "G2:1.5 B2:.5 D3:1", "C3:3", time="6/8"),
    )


def repeated() -> stream.Score:
    score = piece(
        hand("C5:1 D5:1 E5:1 G5:1", "A5:1 F5:1 D5:1 B4:1", "G5:2 E5:2", "C5:4"),
        hand("C3:2 E3:2", "F3:2 G3:2", "E3:2 G3:2", "C3:4"),
    )
    for staff in score.parts:
        measures = list(staff.getElementsByClass("Measure"))
        measures[1].leftBarline = bar.Repeat(direction="start")
        measures[2].rightBarline = bar.Repeat(direction="end")
    return score


SCORES = [
    crossing_hands,
    unisons,
    ties_over_bar_lines,
    two_voices,
    tuplets,
    six_eight,
    repeated,
]


def expanded(score: stream.Score) -> dict[Fraction, set[int]]:
    """Keys by the quarter note at which music21 strikes them."""
    found: dict[Fraction, set[int]] = defaultdict(set)
    for part in score.parts:
        for one in part.expandRepeats().stripTies().flatten().notes:
            found[Fraction(one.offset)] |= {pitch.midi for pitch in one.pitches}
    return dict(found)


def wanted(text: str) -> dict[Fraction, set[int]]:
    """Keys by the quarter note at which the chart wants them, every repeat played."""
    graph = prepare(text).graph
    found: dict[Fraction, set[int]] = defaultdict(set)
    begins = Fraction(0)
    for index in graph.written:
        one = graph.bars[index]
        for strike in one.strikes:
            found[begins + strike.beat * 4 / one.meter.unit] |= set(strike.pitches)
        begins += one.beats * 4 / one.meter.unit
    return dict(found)


@pytest.mark.parametrize("make", SCORES)
def test_the_chart_wants_what_music21_expands(make: Callable[[], stream.Score]) -> None:
    score = make()
    text = import_score(GeneralObjectExporter(score).parse(), name="x").text
    assert wanted(text) == expanded(score)


@pytest.mark.parametrize("make", SCORES)
def test_a_take_of_the_expansion_gets_no_finding(make: Callable[[], stream.Score]) -> None:
    score = make()
    text = import_score(GeneralObjectExporter(score).parse(), name="x").text
    notes = [
        Note(1 + QUARTER * float(at), 1 + QUARTER * float(at) + 0.3, key, 64, "right")
        for at, keys in sorted(expanded(score).items())
        for key in sorted(keys)
    ]
    truth = Truth(bars=(), form=(), tempo=1.0, transposed=0, complete=True)
    take = to_midi(Performance(notes=tuple(notes), pedal=(), truth=truth))
    judgement = grade_fully(prepare(text), take).judgement
    for one in judgement.bars:
        assert one.judged
        assert {one.chord.word, one.bass.word} <= {"right", "not judged"}
        assert not one.rhythm.faults
    assert not [finding for finding in judgement.form if finding.kind != "choice"]
