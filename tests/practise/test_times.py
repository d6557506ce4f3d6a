"""What is a time through worth, and how is it told? Rules of this program; what is wrong is the
report's own, as `grade --bars` has it."""

import pytest

from evaluator.grading import grade_fully, prepare
from evaluator.practise.times import TimeThrough, asked, line, times
from tests.cli.commands import CHART
from tests.playing import Fault, Missed, Pause, WrongBass, WrongChord, play, to_midi

SONG = prepare(CHART, bars="5-6")


def heard(
    *faults: Fault, bars: tuple[int, ...] = (4, 5), bpm: int = 72, tempo: float = 0.75
) -> tuple[TimeThrough, ...]:
    """Times through of bars 5 and 6, at three quarters of the tempo unless told otherwise."""
    take = to_midi(play(SONG.whole, list(bars), faults=faults, tempo=tempo))
    return times(grade_fully(SONG, take).report, asked(SONG.graph, bpm))


def test_a_time_with_nothing_wrong_in_it_is_good() -> None:
    (one,) = heard()
    assert (one.good, one.told, one.wrong) == (True, "all right", ())


def test_a_wrong_bass_is_told_with_its_bar_and_that_the_rest_is_right() -> None:
    (one,) = heard(WrongBass(2, "A"))
    assert not one.good
    assert line(3, one) == "Third time: bar 6, bass A instead of C#; the rest right."


def test_each_time_is_judged_for_itself() -> None:
    found = heard(WrongChord(3, "Gm"), bars=(4, 5) * 3)
    assert [one.good for one in found] == [True, False, True]
    assert found[1].told == "bar 5, Gm instead of D; the rest right"


def test_what_is_right_but_slower_than_asked_for_is_not_good_at_that_tempo() -> None:
    (one,) = heard(tempo=0.6)
    assert (one.right, one.good) == (True, False)
    assert one.told == "all right, but at 58, not 72"
    (faster,) = heard(tempo=0.9)
    assert faster.good


def test_a_bar_that_is_left_out_is_told() -> None:
    song = prepare(CHART, bars="5-8")
    take = to_midi(play(song.whole, [4, 5, 7], tempo=0.75))
    (one,) = times(grade_fully(song, take).report, asked(song.graph, 72))
    assert (one.good, one.wrong) == (False, (7,))
    assert one.told == "bar 7 left out; the rest right"


def test_a_halt_is_told_where_it_was() -> None:
    (one,) = heard(Pause(2, 0.0, 3.0))
    assert not one.good
    assert "a halt in bar 6" in one.told


def test_who_breaks_off_has_not_been_through() -> None:
    (one,) = heard(bars=(4,))
    assert not one.good
    assert one.told == "broken off in bar 5"


def test_no_more_than_two_things_of_a_bar_are_told() -> None:
    faults = [Missed(1, at, "right") for at in (1.0, 2.5, 3.0)]
    (one,) = heard(*faults, WrongBass(1, "F"), WrongChord(1, "Ab"))
    assert one.told.partition(";")[0].count(",") == 2


@pytest.mark.parametrize(
    ("number", "said"), [(1, "First time"), (12, "Twelfth time"), (13, "Time 13")]
)
def test_times_are_counted_in_words_as_far_as_people_do(number: int, said: str) -> None:
    assert line(number, heard()[0]).startswith(f"{said}: all right.")


def test_who_stops_in_the_last_bar_has_not_been_through_whatever_the_report_lets_pass() -> None:
    report = grade_fully(SONG, to_midi(play(SONG.whole, [4, 5], tempo=0.75))).report
    (one,) = times(report, asked(SONG.graph, 72), finished=False)
    assert (one.good, one.told) == (False, "broken off in bar 6")
