"""What is practised, and on what is it judged? Rules of this program, no outside source."""

from dataclasses import replace

from evaluator.grading import grade_fully, prepare
from evaluator.live.drill import Course, drill
from evaluator.practise.ladder import ladder
from evaluator.practise.times import BROKEN_OFF, times
from tests.cli.commands import CHART
from tests.playing import WrongChord, play, to_midi

SONG = prepare(CHART, bars="5-6")
STEPS = ladder(96, start=72)


def test_a_wrong_chord_of_two_is_not_taken_for_another_key_or_another_place() -> None:
    """D and A, of which the second is played as Bm: in no key is that A and D."""
    one = drill(SONG, STEPS, hand="right")
    take = play(SONG.whole, [4, 5] * 3, faults=[WrongChord(2, "Bm"), WrongChord(4, "Bm")])
    right = replace(take, notes=tuple(note for note in take.notes if note.hand == "right"))
    found = times(grade_fully(one.song, to_midi(right)).report, Course(one, 0.0).asked)
    wrong = "bar 6, Bm instead of A/C#; the rest right"
    assert [time.told for time in found] == [wrong, wrong, "all right"]


def test_it_is_called_by_its_bars_its_section_and_the_hand() -> None:
    assert drill(SONG, STEPS).label == "bars 5 and 6 (Verse)"
    assert drill(SONG, STEPS, hand="left").label == "bars 5 and 6 (Verse), left hand"
    across = prepare(CHART, bars="7-10")
    assert drill(across, STEPS).label == "bars 7 to 10 (Verse, Chorus)"


def test_both_hands_of_the_passage_are_known_whoever_practises() -> None:
    bars = drill(SONG, STEPS, hand="right").score
    assert {strike.hand for bar in bars for strike in bar.strikes} == {"left", "right"}


def test_a_rung_counts_its_times_and_another_begins_with_another_tempo() -> None:
    good = replace(BROKEN_OFF, right=True)
    course = Course(drill(SONG, STEPS), 0.0)
    kept = [course.after(good, float(now)) for now in range(1, 5)]
    assert [(one.bpm, one.times, one.in_a_row, one.ended) for one in kept] == [
        (72, 1, 1, 1.0),
        (72, 2, 2, 2.0),
        (72, 3, 3, 3.0),
        (80, 1, 1, 4.0),
    ]
    assert course.after(BROKEN_OFF, 5.0).in_a_row == 1
    assert (course.times, course.good) == (5, 4)
