"""From a piano score to a mark: the notes of the score are the yardstick. Common practice
of lessons, no source."""

from evaluator.grading import Graded, grade_fully, prepare
from evaluator.notation import import_score
from tests.notation.sheets import note, piano
from tests.playing import WrongNote, play, to_midi

MELODY = ["E5 D5 C5 D5", "E5 E5 E5 F5", "D5 D5 F5 D5", "E5 G5 G5 A5", "C5 A4 B4 G4", "C5 E5 C5 C5"]
BASS = ["C3", "A2", "G2", "E3", "F2", "C3"]
SONG = prepare(
    import_score(
        piano(
            *(
                ("".join(note(p, 1) for p in bar.split()), note(bass))
                for bar, bass in zip(MELODY, BASS, strict=True)
            )
        ),
        name="x",
    ).text
)


def graded(*faults: WrongNote, without: int | None = None) -> Graded:
    order = [i for i in SONG.graph.written if SONG.graph.bars[i].number != without]
    return grade_fully(SONG, to_midi(play(SONG.graph, order, faults=faults)))


def test_the_score_as_it_stands_is_worth_a_hundred():
    found = graded().judgement
    assert found.marks.overall == 100.0
    assert found.form == ()


def test_each_bar_missing_well_inside_is_found():
    for number in range(2, 5):
        (finding,) = graded(without=number).judgement.form
        assert (finding.kind, finding.bars) == ("missing", (number,))


def test_a_wrong_note_of_the_melody_is_named():
    report = graded(WrongNote(4, 1, 79, 77)).report
    assert any("F5" in fix and "G5" in fix for fix in report.fix_first), report.fix_first


def test_a_wrong_note_of_the_left_hand_is_named():
    bar = graded(WrongNote(3, 0, 43, 45)).judgement.bars[2]
    assert [(s.expected, s.played) for s in bar.bass.spans] == [("G2", "A2")]
