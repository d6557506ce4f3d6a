"""What marks does a take get? Common practice, no source."""

from dataclasses import replace
from math import prod

from evaluator.chart import read_chart
from evaluator.judge import judge
from evaluator.judge.marks import form_mark, leaves
from evaluator.judge.rubric import STEADY
from evaluator.parts import PARTS
from evaluator.take.strike import strikes
from tests.judge.songs import followed, order, song, take
from tests.judge.truth_path import take_of, truth_path
from tests.playing import BarsMissing, Missed, Pause, Restart, Slip, WrongBass, WrongChord, play

WALTZ = """title: Slow Boat
key: C major
meter: 3/4
tempo: 100

[A]
        | C             | F             | G             | C     |
  right | C5 D5 E5      | F5 E5 D5      | B4 C5 D5      | C5    |
  left  | C3+E3 . C3+E3 | F3+A3 . F3+A3 | G3+B3 . G3+B3 | C3+E3 |
[B]
        | C             | F             | G             | C     |
  right | E5 D5 C5      | A4 F5 E5      | D5 B4 G4      | C5    |
  left  | C3+E3 . C3+E3 | F3+A3 . F3+A3 | G3+B3 . G3+B3 | C3+E3 |
"""


def with_confidence(confidence: float):
    graph = song()
    performance = play(graph, faults=[WrongChord(3, "F")])
    recorded = take_of(performance)
    struck = strikes(recorded)
    path = truth_path(graph, performance, struck)
    bars = tuple(
        replace(bar, confidence=confidence) if place == 2 else bar
        for place, bar in enumerate(path.bars)
    )
    return judge(graph, recorded, struck, replace(path, bars=bars))


def test_an_exact_take_has_full_marks() -> None:
    marks = take().marks
    assert {marks.overall, *(marks[part] for part in PARTS if part != "touch")} == {100.0}


def test_each_mistake_costs_its_own_mark_only() -> None:
    assert take(WrongChord(3, "F")).marks["bass"] == 100.0
    assert take(WrongChord(3, "F")).marks["chord"] < 100.0
    assert take(WrongBass(3, "F")).marks["chord"] == 100.0
    assert take(Missed(3, 2.5, "right")).marks["rhythm"] < 100.0
    assert take(Missed(3, 2.5, "right")).marks["form"] == 100.0


def test_more_mistakes_cost_more() -> None:
    one = take(WrongChord(3, "F")).marks
    two = take(WrongChord(3, "F"), WrongChord(5, "F")).marks
    assert two.overall < one.overall < 100.0


def test_a_slip_hardly_costs() -> None:
    assert take(Slip(3, 2.5)).marks.overall > 99.5


def test_a_lost_bar_costs_more_than_a_break() -> None:
    graph = song()
    lost = take(graph=graph, bars=order(graph, 1, 2, *range(4, 28))).marks["form"]
    halted = take(Pause(3, 2.0, 1.5)).marks["form"]
    again = take(Restart(3, 2.0, 2.0), bars=order(graph, 1, 2, 3, 3, *range(4, 28))).marks["form"]
    assert lost < again < halted < 100.0


def test_a_legal_choice_costs_nothing() -> None:
    graph = song()
    marks = take(graph=graph, bars=order(graph, *range(1, 17), *range(21, 28))).marks
    assert marks["form"] == 100.0


def test_form_never_falls_below_nothing() -> None:
    graph = song()
    bars = order(graph, 1, 3, 5, 7, 9, 11, 17, 19, 21, 23)
    found = take(graph=graph, bars=bars).form
    assert form_mark(found * 10, 10) == 0.0


def test_what_could_not_be_followed_is_not_held_against_anyone() -> None:
    sure, unsure = with_confidence(1.0), with_confidence(0.1)
    assert sure.bars[2].judged
    assert not unsure.bars[2].judged
    assert sure.marks["chord"] < 100.0
    assert unsure.marks["chord"] == 100.0


def test_another_song_in_the_same_rhythm_does_not_match() -> None:
    other = [WrongChord(bar, "Ebm") for bar in range(1, 28)]
    basses = [WrongBass(bar, "Ab") for bar in range(1, 28)]
    assert not followed(*other, *basses).matches
    assert followed(*other[::3], *basses[::3]).matches


def test_nothing_played_is_no_take_of_the_song() -> None:
    graph = song()
    performance = play(graph, [])
    recorded = take_of(performance)
    path = truth_path(graph, performance, ())
    verdict = judge(graph, recorded, (), path)
    assert not verdict.matches
    assert (verdict.marks.overall, verdict.marks["chord"]) == (0.0, None)


def test_a_transposed_take_is_judged_in_the_charts_key() -> None:
    graph = song()
    performance = play(graph, faults=[BarsMissing(1, (1,))] * 0).transposed(3)
    recorded = take_of(performance)
    struck = strikes(recorded)
    verdict = judge(graph, recorded, struck, truth_path(graph, performance, struck))
    assert verdict.marks.overall == 100.0


def test_the_touch_has_its_share_where_it_can_be_told() -> None:
    halted = take(Pause(3, 2.0, 1.5))
    marks = halted.marks
    assert marks["touch"] == halted.touch.mark
    left = leaves({part: marks[part] for part in STEADY.shares}, STEADY)
    assert left["touch"] < 1.0
    assert marks.overall == round(100 * prod(left.values()), 1)


def test_written_notes_tell_the_song_where_its_rhythm_went_to_pieces() -> None:
    graph = read_chart(WALTZ)
    performance = play(graph)
    recorded = take_of(performance)
    struck = strikes(recorded)
    path = truth_path(graph, performance, struck)
    assert judge(graph, recorded, struck, path).matches


def test_other_notes_in_its_rhythm_are_not_the_song() -> None:
    graph = read_chart(WALTZ)
    performance = play(graph)
    notes = tuple(
        replace(note, pitch=note.pitch + (3, -4, 6)[place % 3])
        for place, note in enumerate(performance.notes)
    )
    performance = replace(performance, notes=notes)
    recorded = take_of(performance)
    struck = strikes(recorded)
    path = truth_path(graph, performance, struck)
    assert not judge(graph, recorded, struck, path).matches
