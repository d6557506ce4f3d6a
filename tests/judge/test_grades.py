"""What does a strike off its place cost, and is it this song at all?

The shape of the grade, exp(-d^2 / 2 sigma^2), is that of Cemgil's beat accuracy (in mir_eval);
that nothing is taken off within a tenth of a beat is our own.
The rest is common practice, no source.
"""

import math
from dataclasses import replace

import pytest

from evaluator.follow.grid import lay_out
from evaluator.follow.one_way import follow_in
from evaluator.follow.path import Path
from evaluator.judge import Judgement, judge
from evaluator.take.strike import strikes
from tests.judge.songs import HEAD, SONG, VERSE, judged, song, take
from tests.judge.truth_path import take_of, truth_path
from tests.playing import Added, Fill, Late, Missed, Note, play


def score(*faults, text: str = SONG, bar: int = 3) -> float:
    found = take(*faults, graph=song(text)).bars[bar - 1].rhythm.score
    assert found is not None
    return found


@pytest.mark.parametrize(("tempo", "sigma"), [(96, 0.0625), (60, 0.1), (150, 0.05)])
@pytest.mark.parametrize("ms", [50, 120])
def test_a_late_strike_costs_by_its_lateness_and_less_in_slow_music(
    tempo: int, sigma: float, ms: int
) -> None:
    text = SONG.replace("tempo: 96", f"tempo: {tempo}")
    beyond = max(0.0, ms / 1000 - 6 / tempo)
    own = math.exp(-(beyond**2) / (2 * sigma**2))
    assert score(Late(3, 2.0, "left", ms), text=text) == pytest.approx((4 + own) / 5, abs=0.03)


def test_a_missed_strike_costs_itself_and_an_added_one_half() -> None:
    assert score(Missed(3, 2.5, "right")) == pytest.approx(4 / 5)
    assert score(Added(3, 1.0, "left")) == pytest.approx(5 / 5.5)


def test_a_fill_hardly_costs() -> None:
    assert score(Fill(3, 3.5)) == pytest.approx(5 / 5.03)


def test_where_the_right_hand_plays_single_notes_one_more_is_added() -> None:
    broken = HEAD.replace("right | . . x . . x x .", "right | . . 1 . . 3 5 .") + VERSE
    found = take(Fill(3, 3.5), graph=song(broken)).bars[2].rhythm.faults
    assert [(one.kind, one.beat, one.hand) for one in found] == [("added", 3.5, "right")]


def test_faults_stand_by_beat_and_the_left_hand_first() -> None:
    faults = (Missed(3, 2.5, "right"), Missed(3, 2.0, "left"), Missed(3, 0.0, "left"))
    found = take(*faults, Added(3, 1.5, "left")).bars[2].rhythm.faults
    assert [(one.kind, one.beat) for one in found] == [
        ("missed", 0.0),
        ("added", 1.5),
        ("missed", 2.0),
        ("missed", 2.5),
    ]


def test_the_mean_and_the_spread_of_the_lateness_are_told() -> None:
    found = take(Late(3, 0.0, "left", 60), Late(3, 2.0, "left", 60)).bars[2].rhythm
    # Two of five strikes 60 ms late are 24 on the average, part of which is taken for tempo,
    # and 29 about it.
    assert 5 < found.late_ms < 24
    assert found.spread_ms == pytest.approx(29, abs=6)
    assert take().bars[2].rhythm.spread_ms == pytest.approx(0.0, abs=0.5)


def unsure(count: int) -> Judgement:
    graph = song(HEAD + VERSE)
    performance = play(graph)
    found = take_of(performance)
    path = truth_path(graph, performance, strikes(found))
    bars = tuple(replace(bar, confidence=0.4) for bar in path.bars[:count]) + path.bars[count:]
    return judge(graph, found, strikes(found), replace(path, bars=bars))


def test_a_take_that_could_hardly_be_followed_is_not_one_of_this_song() -> None:
    assert unsure(6).matches
    assert not unsure(7).matches
    assert not unsure(8).matches


def test_a_bar_that_could_not_be_followed_is_not_judged() -> None:
    verdict = unsure(2)
    assert [bar.judged for bar in verdict.bars] == [False, False] + [True] * 6


def test_another_song_in_the_same_rhythm_is_not_this_one() -> None:
    head = HEAD.replace("bass: A = C#\n", "")
    graph = song(head + "[A]\n| D | G | D | A | D | G | A | D |\n")
    other = song(head + "[A]\n| F | Bb | F | C | F | Bb | C | F |\n")
    performance = play(other)
    found = take_of(performance)
    # In the chart's own key: three semitones up it would be the very song.
    path: Path = follow_in(lay_out(graph), strikes(found), 0)
    assert not judge(graph, found, strikes(found), path).matches


def test_the_bass_alone_or_the_chords_alone_show_the_song() -> None:
    graph = song(HEAD + VERSE)
    for hand in ("left", "right"):
        performance = play(graph)
        kept = tuple(note for note in performance.notes if note.hand == hand)
        assert judged(graph, replace(performance, notes=kept)).matches, hand


def test_the_tempo_of_a_bar_is_that_of_its_beats() -> None:
    verdict = take(tempo=0.75)
    assert verdict.bars[4].bpm == pytest.approx(72, abs=0.5)
    assert verdict.bars[10].bpm == pytest.approx(72, abs=0.5)


def test_a_note_struck_as_the_last_bar_ends_stays_in_it() -> None:
    performance = play(song(HEAD + VERSE))
    last = performance.truth.bars[-1]
    more = Note(last.end - 0.1, last.end + 0.2, 70, 60, "right")
    found = judged(song(HEAD + VERSE), replace(performance, notes=(*performance.notes, more)))
    assert found.bars[-1].chord.word == "right"
    assert found.bars[-1].rhythm.faults == ()


def test_what_the_follower_took_for_an_ornament_is_judged_with_its_bar() -> None:
    graph = song(HEAD + VERSE)
    performance = play(graph, faults=[Added(3, 1.0, "left")])
    found = take_of(performance)
    path = truth_path(graph, performance, strikes(found))
    bar = path.bars[2]
    odd = next(placed.strike for placed in bar.strikes if placed.beat == 1.0)
    kept = tuple(placed for placed in bar.strikes if placed.strike != odd)
    with_it = replace(bar, strikes=kept, ornaments=(odd,))
    path = replace(path, bars=(*path.bars[:2], with_it, *path.bars[3:]))
    faults = judge(graph, found, strikes(found), path).bars[2].rhythm.faults
    assert [(one.kind, one.beat) for one in faults] == [("added", 1.0)]
